import json
from io import BytesIO
from pathlib import Path
from uuid import uuid4

import pytest
from django.core.management import call_command

from evenground.capture.bundle import read_bundle
from evenground.capture.bundle_writer import FolderTakenError
from evenground.capture.fields import read_toml
from evenground.capture.studio_file import StudioFile
from evenground.capture.visit_file import VisitFile, visit_from
from evenground.records.assemble import assemble
from evenground.records.blobs import BlobErasedError, erase_blob, open_blob, put_blob
from evenground.records.cards import draft_card, sign_card
from evenground.records.exchange import LOG, DamagedLogError, export_visit, export_zip
from evenground.records.importing import (
    CardConflictError,
    ChangedFileError,
    ContradictingVisitError,
    OtherPlayerError,
    import_bundle,
)
from evenground.records.log import ReadingConflictError, append, correct, entries_of, move, void
from evenground.records.models import AuditEntry, Blob, CardVersion, Person, Reading, Role, Visit
from evenground.records.reading_kinds import DataFromNewerVersionError
from evenground.records.visits import start_visit, use_snapshot
from tests.capture.bundle_samples import FILES, STUDIO, VISIT, folder_of, swapped, zip_of
from tests.records.making import NOON, entry, player, visit

FRAMES = b"PAR1 not read here"


def signed_visit() -> Visit:
    """A visit with a recording, a correction, a void, a moved reading, and one signed card."""
    stock = put_blob(b"# the shelf\n", "application/toml")
    use_snapshot(read_toml(STUDIO.encode(), StudioFile, file="studio.toml"), stock=stock)
    made, other = visit(), visit(player("Ash Fennimore"))
    frames = put_blob(FRAMES, "application/vnd.apache.parquet")
    stand = entry(
        "placement",
        recording="mat/one.parquet",
        footwear="barefoot",
        stance="fitted",
        blobs={"mat/one.parquet": frames.sha256},
    )
    append(made.pk, stand)
    append(made.pk, entry("hip-line set-up", landmark="rear top of the hip bones", by="Tablet"))
    first = append(made.pk, entry("hip-line trial", trial=1, width="15 in", hip_line_deg=3.25)).reading
    fixed = {"trial": 1, "width_mm": 381.5, "hip_line_deg": 3.25}
    correct(made.pk, first.pk, fixed, new_id=uuid4(), at=NOON)
    wrong = append(made.pk, entry("body mass", mass_kg=17)).reading
    void(made.pk, wrong.pk, "scales tilted", new_id=uuid4(), at=NOON)
    strayed = append(other.pk, entry("hip-line trial", trial=1, width_mm=400, hip_line_deg=-1)).reading
    move(other.pk, [strayed.pk], made.pk, "wrong badge", move_id=uuid4(), at=NOON)
    owner = Person.objects.create_person("olga", None, name="O. Underhill", role=Role.OWNER)
    card = draft_card(made.pk, [{"key": "irons", "now": "375 to 390 mm"}], {"visit": "x"}, "ab" * 32)
    sign_card(card.pk, owner, b"%PDF-1.7 signed")
    return made


def files_of(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def empty(folder: Path) -> None:
    """Another studio: the same tables, nothing in them, no files."""
    call_command("flush", verbosity=0, interactive=False)
    for path in (folder / "blobs").rglob("*"):
        if path.is_file():
            path.unlink()


def test_import_after_export_is_the_identity(records: str, studio_folder: Path, tmp_path: Path) -> None:
    made = signed_visit()
    export_visit(made.pk, tmp_path / "out")
    said = files_of(tmp_path / "out")
    log, cards = entries_of(made.pk), list(CardVersion.objects.values("id", "number", "lines", "findings"))
    assert {"visit.toml", "studio.toml", LOG, "stock.toml", "mat/one.parquet"} <= set(said)
    assert {"cards/card-1.json", "cards/card-1.pdf"} <= set(said)
    empty(studio_folder)
    again = import_bundle(tmp_path / "out")
    assert entries_of(again.pk) == log
    assert list(CardVersion.objects.values("id", "number", "lines", "findings")) == cards
    assert (again.pk, again.player_id, again.day, again.state) == (
        made.pk,
        made.player_id,
        made.day,
        made.state,
    )
    export_visit(again.pk, tmp_path / "again")
    assert files_of(tmp_path / "again") == said


def test_the_exported_bundle_is_one_that_the_command_line_reads(records: str, tmp_path: Path) -> None:
    made = signed_visit()
    export_visit(made.pk, tmp_path / "out")
    read = read_bundle(tmp_path / "out")
    assert read.visit == assemble(entries_of(made.pk))
    assert read.studio.settings.name == "Upstairs Room"
    with read.open_blob("mat/one.parquet") as stream:
        assert stream.read() == FRAMES


def test_a_zip_holds_the_same_files_as_the_folder(records: str, tmp_path: Path) -> None:
    made = signed_visit()
    export_visit(made.pk, tmp_path / "out")
    one, two = BytesIO(), BytesIO()
    export_zip(made.pk, one)
    export_zip(made.pk, two)
    assert one.getvalue() == two.getvalue()
    (tmp_path / "visit.zip").write_bytes(one.getvalue())
    before = Reading.objects.count()
    assert import_bundle(tmp_path / "visit.zip") == made  # what is here already stays as it is
    assert Reading.objects.count() == before


def test_importing_twice_changes_nothing(records: str, studio_folder: Path, tmp_path: Path) -> None:
    export_visit(signed_visit().pk, tmp_path / "out")
    empty(studio_folder)
    one = import_bundle(tmp_path / "out")
    counted = [model.objects.count() for model in (Visit, Reading, Blob, CardVersion)]
    assert import_bundle(tmp_path / "out") == one
    assert [model.objects.count() for model in (Visit, Reading, Blob, CardVersion)] == counted


def test_readings_of_two_copies_that_went_on_apart_come_together(
    records: str, studio_folder: Path, tmp_path: Path
) -> None:
    made = visit()
    export_visit(made.pk, tmp_path / "before")
    append(made.pk, entry("safety", screening="cleared"))
    export_visit(made.pk, tmp_path / "there")
    empty(studio_folder)
    here = import_bundle(tmp_path / "before")
    append(here.pk, entry("body mass", mass_kg=71))
    import_bundle(tmp_path / "there")
    told = assemble(entries_of(here.pk))
    assert told.screening == "cleared"
    assert told.body is not None
    assert told.body.mass_kg == 71.0


def test_a_visit_file_that_contradicts_the_log_is_refused_whole(
    records: str, studio_folder: Path, tmp_path: Path
) -> None:
    export_visit(signed_visit().pk, tmp_path / "out")
    empty(studio_folder)
    file = tmp_path / "out" / "visit.toml"
    file.write_text(swapped("width_mm = 381.5", "width_mm = 391.5", file.read_text("utf-8")), "utf-8")
    with pytest.raises(ContradictingVisitError, match="hip_line differ"):
        import_bundle(tmp_path / "out")
    assert not Visit.objects.exists()
    assert not Blob.objects.exists()


def test_a_recording_that_is_not_the_one_named_is_refused(
    records: str, studio_folder: Path, tmp_path: Path
) -> None:
    export_visit(signed_visit().pk, tmp_path / "out")
    empty(studio_folder)
    (tmp_path / "out" / "mat" / "one.parquet").write_bytes(b"something else")
    with pytest.raises(ChangedFileError, match=r"mat/one\.parquet"):
        import_bundle(tmp_path / "out")
    assert not Visit.objects.exists()


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (lambda lines: lines[:-1], "readings should be there"),
        (lambda lines: [lines[0], *lines[2:]], "reading 1 should stand here, not 2"),
        (lambda lines: [*lines[:2], lines[2][:40], *lines[3:]], "line 3"),
        (lambda lines: [*lines[:2], lines[1], *lines[3:]], "reading 2 should stand here, not 1"),
        (lambda lines: [lines[0].replace('"format":1', '"format":2'), *lines[1:]], "reads format 1"),
        (lambda lines: lines[:0], "line 1"),
    ],
)
def test_a_damaged_log_is_refused_at_its_line(
    sqlite_records: Path, tmp_path: Path, spoil: object, said: str
) -> None:
    export_visit(signed_visit().pk, tmp_path / "out")
    log = tmp_path / "out" / LOG
    assert callable(spoil)
    log.write_text("\n".join(spoil(log.read_text("utf-8").splitlines())) + "\n", "utf-8")
    with pytest.raises(DamagedLogError, match=said):
        import_bundle(tmp_path / "out")


def test_a_log_cut_at_any_byte_is_never_taken_for_a_whole_one(sqlite_records: Path, tmp_path: Path) -> None:
    made = signed_visit()
    export_visit(made.pk, tmp_path / "out")
    log = tmp_path / "out" / LOG
    whole = log.read_bytes()
    before = Reading.objects.count()
    for length in range(0, len(whole) - 1, 97):  # the last byte is only the line's end
        log.write_bytes(whole[:length])
        with pytest.raises(DamagedLogError):
            import_bundle(tmp_path / "out")
    assert Reading.objects.count() == before


def test_a_log_from_a_newer_version_is_left_alone(
    sqlite_records: Path, studio_folder: Path, tmp_path: Path
) -> None:
    export_visit(signed_visit().pk, tmp_path / "out")
    empty(studio_folder)
    log = tmp_path / "out" / LOG
    log.write_text(log.read_text("utf-8").replace('"version":1', '"version":2'), "utf-8")
    with pytest.raises(DataFromNewerVersionError):
        import_bundle(tmp_path / "out")
    assert not Reading.objects.exists()


def test_one_reading_with_two_contents_is_refused_and_nothing_is_stored(records: str, tmp_path: Path) -> None:
    made = signed_visit()
    export_visit(made.pk, tmp_path / "out")
    for name, old, new in (
        (LOG, '"mass_kg":17.0', '"mass_kg":18.0'),
        ("cards/card-1.json", "375 to 390 mm", "380 to 395 mm"),
    ):
        path = tmp_path / "out" / name
        before = path.read_text("utf-8")
        path.write_text(before.replace(old, new), "utf-8")
        counted = Reading.objects.count(), AuditEntry.objects.count()
        with pytest.raises((ReadingConflictError, CardConflictError)):
            import_bundle(tmp_path / "out")
        assert (Reading.objects.count(), AuditEntry.objects.count()) == counted
        path.write_text(before, "utf-8")


def test_a_visit_cannot_be_imported_under_another_player(records: str, tmp_path: Path) -> None:
    export_visit(signed_visit().pk, tmp_path / "out")
    with pytest.raises(OtherPlayerError):
        import_bundle(tmp_path / "out", player=player("Ash Fennimore"))


def test_a_deleted_recording_leaves_its_tombstone_in_the_next_studio(
    records: str, studio_folder: Path, tmp_path: Path
) -> None:
    made = signed_visit()
    (frames,) = (b for b in Blob.objects.all() if b.media_type == "application/vnd.apache.parquet")
    erase_blob(frames.sha256, "asked for")
    export_visit(made.pk, tmp_path / "out")
    assert not (tmp_path / "out" / "mat" / "one.parquet").exists()
    empty(studio_folder)
    again = import_bundle(tmp_path / "out")
    assert len(assemble(entries_of(again.pk)).ground) == 1
    with pytest.raises(BlobErasedError, match="asked for"):
        open_blob(frames.sha256)


@pytest.mark.parametrize("packed", [False, True])
def test_a_typed_bundle_becomes_readings_once(records: str, tmp_path: Path, packed: bool) -> None:
    path = zip_of(FILES, tmp_path / "v.zip", top="v/") if packed else folder_of(FILES, tmp_path / "v")
    made = import_bundle(path)
    assert assemble(entries_of(made.pk)) == visit_from(read_toml(VISIT.encode(), VisitFile, file=""))
    assert made.player.name == "Wren Halloway"
    counted = Reading.objects.count()
    assert import_bundle(path) == made
    assert Reading.objects.count() == counted


def test_a_typed_bundle_can_be_a_known_players_visit(records: str, tmp_path: Path) -> None:
    whose = player()
    made = import_bundle(folder_of(FILES, tmp_path / "v"), player=whose)
    assert made.player == whose


def test_an_export_never_writes_over_something(records: str, tmp_path: Path) -> None:
    made = start_visit(player(), day=visit().day)
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "visit.toml").write_text("mine", "utf-8")
    with pytest.raises(FolderTakenError):
        export_visit(made.pk, tmp_path / "out")
    assert (tmp_path / "out" / "visit.toml").read_text("utf-8") == "mine"


def test_the_log_names_no_contact_of_the_player(records: str, tmp_path: Path) -> None:
    whose = player()
    whose.email, whose.phone, whose.note = "wren@example.org", "555 0100", "likes mornings"
    whose.save()
    export_visit(start_visit(whose, day=visit().day).pk, tmp_path / "out")
    said = b"".join(files_of(tmp_path / "out").values())
    assert not any(word in said for word in (b"wren@example.org", b"555 0100", b"mornings"))
    head = json.loads((tmp_path / "out" / LOG).read_text("utf-8").splitlines()[0])
    assert head["player"] == str(whose.pk)
