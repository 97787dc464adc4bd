import json
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from typer.testing import CliRunner

from evenground.capture.bundle import read_bundle
from evenground.capture.bundle_writer import write_bundle
from evenground.cli import app
from evenground.example import example_bundle


@pytest.fixture(scope="module")
def visits(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """Two bundles of one player, six weeks apart, without recordings."""
    folder = tmp_path_factory.mktemp("visits")
    read = read_bundle(example_bundle())
    first = replace(read.visit, ground=())
    more = tuple(replace(t, turn_deg=t.turn_deg + 15.0) for t in first.turn)
    second = replace(first, visit="second", day=first.day + timedelta(weeks=6), turn=more)
    for visit, name in ((first, "first"), (second, "second")):
        write_bundle(folder / name, visit, replace(read.studio, stock=None), {})
    return folder / "first", folder / "second"


def test_two_bundles_give_a_word_and_a_reason_for_each_line(
    visits: tuple[Path, Path], tmp_path: Path
) -> None:
    chart = tmp_path / "change.svg"
    ran = CliRunner().invoke(app, ["change", *map(str, visits), "--chart", str(chart), "--json"])
    found = json.loads(ran.stdout)
    words = {line["key"]: line["word"] for line in found["change"]["lines"]}
    assert words["turn.lead.mean_deg"] == "changed"
    assert words["posture.irons.trunk_deg"] == "no real change"
    assert found["change"]["days"] == 42
    assert 0.0 <= found["score"]["brier"] <= 1.0
    assert chart.stat().st_size > 5000


def test_a_person_reads_the_words_and_how_the_card_fared(visits: tuple[Path, Path]) -> None:
    said = CliRunner().invoke(app, ["change", *map(str, visits)]).stdout
    assert "Turn toward the target" in said
    assert "the player came with" in said
    assert "claimed by the earlier card" in said
    assert "too few to judge" in said


def test_the_wrong_order_is_said(visits: tuple[Path, Path]) -> None:
    ran = CliRunner().invoke(app, ["change", str(visits[1]), str(visits[0])])
    assert "Give the earlier visit first" in str(ran.exception)
