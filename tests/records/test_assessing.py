import json
from pathlib import Path
from typing import Any

import pytest

from evenground.assess import assess
from evenground.capture.bundle import read_bundle
from evenground.findings import Findings
from evenground.plain import to_plain
from evenground.records import assessing
from evenground.records.assessing import findings_json, findings_of, inputs_of
from evenground.records.blobs import erase_blob
from evenground.records.importing import import_bundle
from evenground.records.log import VisitNotFoundError, append
from evenground.records.models import FindingsRow, ReadingBlob
from tests.records.making import entry, visit

EXAMPLE = Path(__file__).parents[2] / "examples" / "ilvy-tarrowmere"


@pytest.fixture
def counted(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """A list that grows by one each time a visit is really assessed, with no memory of earlier tests."""
    runs: list[str] = []

    def counting(*args: Any, **kwargs: Any) -> Findings:
        runs.append("run")
        return assess(*args, **kwargs)

    monkeypatch.setattr("evenground.records.assessing.assess", counting)
    assessing._kept.clear()
    return runs


def test_the_app_finds_what_the_command_line_finds_in_the_same_bundle(sqlite_records: Path) -> None:
    read = read_bundle(EXAMPLE)
    told = assess(read.visit, read.studio, read.open_blob, digests=read.digests)
    ours = findings_of(import_bundle(EXAMPLE).pk)
    assert json.dumps(to_plain(ours)) == json.dumps(to_plain(told))
    assert any(f.kind.startswith("ground.") and f.status == "measured" for f in ours.findings)


def test_findings_are_worked_out_again_only_when_something_changed(records: str, counted: list[str]) -> None:
    of = visit()
    one = findings_of(of.pk)
    assert findings_of(of.pk) is one
    assert findings_json(of.pk) == to_plain(one)
    assert counted == ["run"]
    append(of.pk, entry("safety", screening="cleared"))
    assert findings_json(of.pk) != to_plain(one)
    assert counted == ["run", "run"]


def test_the_cache_may_be_thrown_away(records: str, counted: list[str]) -> None:
    of = visit()
    before = findings_json(of.pk)
    FindingsRow.objects.all().delete()
    assessing._kept.clear()
    assert findings_json(of.pk) == before
    assert counted == ["run", "run"]


def test_a_deleted_recording_makes_a_finding_not_measured_and_never_a_failed_visit(
    sqlite_records: Path,
) -> None:
    of = import_bundle(EXAMPLE)
    findings_of(of.pk)  # what was known before it was deleted is not told any more
    link = ReadingBlob.objects.filter(name__endswith="fitted-1.parquet").get()
    erase_blob(link.blob_id, "asked for")
    found = findings_of(of.pk)
    assert any("deleted (asked for)" in (f.reason or "") for f in found.findings)
    assert "deleted (asked for)" in json.dumps(findings_json(of.pk))


def test_there_is_nothing_to_assess_without_a_visit(records: str) -> None:
    from uuid import uuid4

    with pytest.raises(VisitNotFoundError):
        inputs_of(uuid4())
