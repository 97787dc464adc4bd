"""`verify`: a signed card is worked out again from its bundle, and whoever changes one is found out."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from django.utils import timezone
from typer.testing import CliRunner

from evenground.cli import app
from evenground.example import example_bundle
from evenground.methods import METHODS
from evenground.records.blobs import erase_blob
from evenground.records.exchange import export_visit
from evenground.records.importing import ChangedFileError, ContradictingVisitError, import_bundle
from evenground.records.log import append
from evenground.records.models import Person, Reading, Role, Visit
from evenground.records.verifying import CardChecked, verify_bundle
from evenground.studio.deciding import decide
from evenground.studio.signing import proposal, sign
from tests.records.making import entry


def signed() -> Visit:
    """The example's visit with every proposed line accepted and the card signed."""
    teacher = Person.objects.create_person("wren", None, name="W. Aldercote", role=Role.TEACHER)
    row = import_bundle(example_bundle(), person=teacher)
    for waiting in proposal(row.pk).waiting:
        accepted = {"choice": "accepted"}
        decide(row.pk, waiting.line, accepted, new_id=uuid4(), at=timezone.now(), person=teacher)
    sign(row.pk, teacher, stamp=proposal(row.pk).stamp, number=1)
    return row


def changed(folder: Path, change: Callable[[dict[str, Any]], None]) -> CardChecked:
    """The card of a bundle after somebody edited what it keeps; the bundle is put right again."""
    file = folder / "cards" / "card-1.json"
    kept = file.read_text("utf-8")
    plain = json.loads(kept)
    change(plain["findings"])
    file.write_text(json.dumps(plain), "utf-8")
    (card,) = verify_bundle(folder).cards
    file.write_text(kept, "utf-8")
    return card


def finding(kept: dict[str, Any], kind: str) -> dict[str, Any]:
    found: dict[str, Any] = next(f for f in kept["findings"]["findings"] if f["kind"] == kind)
    return found


def edited(kept: dict[str, Any]) -> None:
    """A stance as an earlier method found it, a name on the card and a figure of the turn written over."""
    kept["setup-card"]["name"] = "Somebody Else"
    finding(kept, "stance")["methods"]["stance"] = METHODS["stance"] - 1
    finding(kept, "stance")["value"]["drift_deg_per_trial"]["value"] += 0.1
    finding(kept, "turn")["reason"] = "somebody said so"


def test_a_signed_card_is_worked_out_again_and_whoever_changes_it_is_found_out(
    sqlite_records: Path, tmp_path: Path
) -> None:
    row = signed()
    append(row.pk, entry("body mass", mass_kg=81.5))  # what is signed does not move with later readings
    folder = tmp_path / "out"
    export_visit(row.pk, folder)
    done = CliRunner().invoke(app, ["verify", str(folder)])
    assert done.exit_code == 0, done.output
    assert "prints to the byte; worked out again to the same digits" in done.stdout
    assert f"{Reading.objects.filter(visit=row).count()} readings, as visit.toml says" in done.stdout

    card = changed(folder, edited)
    assert card.findings_differing == ("stance", "turn")
    assert card.methods_moved == (f"stance {METHODS['stance'] - 1} -> {METHODS['stance']}",)
    assert (card.unexplained, card.printed_same, card.sound) == (("turn",), False, False)

    recording = next(folder.glob("**/*.parquet"))
    frames = recording.read_bytes()
    recording.write_bytes(frames[:-1] + b"x")
    with pytest.raises(ChangedFileError, match="not the file that"):
        verify_bundle(folder)
    recording.write_bytes(frames)
    typed = (folder / "visit.toml").read_text("utf-8")
    (folder / "visit.toml").write_text(typed.replace("mass_kg = 81.5", "mass_kg = 82.5"), "utf-8")
    with pytest.raises(ContradictingVisitError, match="body"):
        verify_bundle(folder)

    digest = json.loads((folder / "cards" / "card-1.json").read_text("utf-8"))["findings"]["digests"]
    name, sha256 = next(iter(digest.items()))
    erase_blob(sha256, "asked for")
    export_visit(row.pk, tmp_path / "again")
    (card,) = verify_bundle(tmp_path / "again").cards
    assert card.sound
    assert card.printed_same
    assert card.unchecked is not None
    assert name in card.unchecked


def test_a_bundle_without_a_log_is_read_and_has_no_cards() -> None:
    done = CliRunner().invoke(app, ["verify", str(example_bundle()), "--json"])
    assert done.exit_code == 0, done.output
    told = json.loads(done.stdout)
    assert told["readings"] is None
    assert told["cards"] == []
    assert told["files"] > 5
