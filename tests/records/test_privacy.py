import json
import shutil
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from django.db import connection

from evenground.records.blobs import BlobErasedError, open_blob, path_of, put_blob
from evenground.records.cards import draft_card, sign_card
from evenground.records.consent import (
    BirthYearMissingError,
    ConsentMissingError,
    GuardianMissingError,
    has_consent,
    require_consent,
)
from evenground.records.exchange import export_visit
from evenground.records.importing import PlayerErasedError, import_bundle
from evenground.records.log import append
from evenground.records.models import (
    AuditEntry,
    CardVersion,
    Consent,
    ConsentKind,
    Erasure,
    Person,
    Player,
    Reading,
    Role,
    Visit,
)
from evenground.records.privacy import (
    PlayerNotFoundError,
    erase_again,
    erase_player,
    erased_file,
    export_player,
)
from tests.records.conftest import database, sqlite
from tests.records.making import DAY, entry, player, visit

NAME = "Wren Quillfeather Halloway"


def stand(of: Visit, content: bytes) -> str:
    """Store a placement; gives the digest of its recording."""
    blob = put_blob(content, "application/octet-stream")
    fields: dict[str, Any] = {
        "recording": f"{blob.sha256[:8]}.parquet",
        "footwear": "barefoot",
        "stance": "fitted",
    }
    append(of.pk, entry("placement", **fields, blobs={fields["recording"]: blob.sha256}))
    return blob.sha256


def whole_player() -> Player:
    """A player with contact, a consent, a visit with a recording, and a signed card."""
    whose = player(NAME)
    whose.email, whose.note = "wren@example.org", "likes mornings"
    whose.save()
    Consent.objects.create(
        player=whose, kind=ConsentKind.MEASURING, given_on=DAY, text_version="1", given_by=NAME
    )
    of = visit(whose)
    stand(of, b"hers alone")
    owner = Person.objects.create_person("olga", None, role=Role.OWNER)
    sign_card(draft_card(of.pk, [{"key": "irons"}], {}, "ab").pk, owner, b"%PDF-1.7 hers")
    return whose


def test_an_erased_player_is_gone_with_everything_that_was_theirs(records: str) -> None:
    whose, other = whole_player(), visit(player("Ash Fennimore"))
    (mine,) = Visit.objects.filter(player=whose)
    shared, own = stand(mine, b"both have this"), stand(mine, b"only mine")
    assert stand(other, b"both have this") == shared
    erase_player(whose.pk, by="O. Underhill")
    assert list(Player.objects.values_list("name", flat=True)) == ["Ash Fennimore"]
    assert not Reading.objects.exclude(visit=other).exists()
    assert not CardVersion.objects.exists()
    assert not Consent.objects.exists()
    with pytest.raises(BlobErasedError, match="player erased"):
        open_blob(own)
    assert not path_of(own).exists()
    with open_blob(shared) as stream:
        assert stream.read() == b"both have this"
    assert Erasure.objects.get().player_id == whose.pk
    assert AuditEntry.objects.filter(action="erased", player_id=whose.pk).count() == 1


def test_no_byte_of_an_erased_players_name_stays_in_the_data_folder(sqlite_records: Path) -> None:
    whose = whole_player()

    def holding() -> list[str]:
        files = [p for p in sqlite_records.rglob("*") if p.is_file()]
        return [p.name for p in files if NAME.encode() in p.read_bytes() or b"hers" in p.read_bytes()]

    assert holding()
    erase_player(whose.pk, by="O. Underhill")
    assert holding() == []


def test_an_erasure_outlasts_a_restore_from_backup(sqlite_records: Path, tmp_path: Path) -> None:
    whose = whole_player()
    connection.close()
    shutil.copytree(sqlite_records, tmp_path / "backup")
    erase_player(whose.pk, by="O. Underhill")
    connection.close()
    shutil.copy(tmp_path / "backup" / "records.sqlite3", sqlite_records / "records.sqlite3")
    for left in sqlite_records.glob("records.sqlite3-*"):
        left.unlink()
    shutil.copytree(tmp_path / "backup" / "blobs", sqlite_records / "blobs", dirs_exist_ok=True)
    with database(sqlite(sqlite_records)):
        assert Player.objects.filter(pk=whose.pk).exists()
        assert erase_again() == 1
        assert not Player.objects.exists()
        assert not Reading.objects.exists()
        assert erase_again() == 0
    assert [p for p in (sqlite_records / "blobs").glob("*/*") if p.is_file()] == []


def test_an_erasure_cut_off_half_way_is_finished_at_the_next_start(
    records: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    whose = whole_player()

    def fail(self: Player) -> None:
        raise ConnectionAbortedError

    with monkeypatch.context() as broken:
        broken.setattr(Player, "delete", fail)
        with pytest.raises(ConnectionAbortedError):
            erase_player(whose.pk, by="O. Underhill")
    assert Player.objects.filter(pk=whose.pk).exists()
    with erased_file().open("a") as out:
        out.write('{"player": "cut')  # the next line was cut by a pulled plug
    assert erase_again() == 1
    assert not Player.objects.exists()


def test_an_erased_players_bundle_does_not_come_back(records: str, tmp_path: Path) -> None:
    whose = whole_player()
    (mine,) = Visit.objects.filter(player=whose)
    export_visit(mine.pk, tmp_path / "out")
    erase_player(whose.pk, by="O. Underhill")
    with pytest.raises(PlayerErasedError):
        import_bundle(tmp_path / "out")
    assert not Player.objects.exists()


def test_a_player_is_exported_whole(records: str, tmp_path: Path) -> None:
    whose = whole_player()
    export_player(whose.pk, tmp_path / "all")
    told = json.loads((tmp_path / "all" / "player.json").read_text("utf-8"))
    assert (told["name"], told["email"], told["note"]) == (NAME, "wren@example.org", "likes mornings")
    assert [c["kind"] for c in told["consents"]] == ["measuring"]
    (bundle,) = (tmp_path / "all").glob("visit-*")
    erased = whose.pk
    Player.objects.filter(pk=erased).delete()
    assert import_bundle(bundle).player_id == erased


def test_nobody_can_be_erased_or_exported_who_is_not_there(records: str, tmp_path: Path) -> None:
    gone = whole_player().pk
    erase_player(gone, by="O. Underhill")
    with pytest.raises(PlayerNotFoundError):
        erase_player(gone, by="O. Underhill")
    with pytest.raises(PlayerNotFoundError):
        export_player(gone, tmp_path / "all")


def consent(whose: Player, *, by_guardian: bool, withdrawn_on: date | None = None) -> None:
    Consent.objects.create(
        player=whose,
        kind=ConsentKind.PHOTOS,
        given_on=DAY,
        text_version="1",
        given_by="G. Halloway",
        by_guardian=by_guardian,
        withdrawn_on=withdrawn_on,
    )


@pytest.mark.parametrize(("birth_year", "minor"), [(2007, False), (2008, True), (2015, True), (None, None)])
def test_a_player_is_a_minor_through_the_year_of_turning_eighteen(
    birth_year: int | None, minor: bool | None
) -> None:
    whose = Player(name="Ash Fennimore", handed="right", birth_year=birth_year)
    assert whose.is_minor(date(2026, 12, 31)) is minor


def test_a_minor_is_photographed_only_with_a_guardians_consent(records: str) -> None:
    child = player("Ash Fennimore", birth_year=2015)
    consent(child, by_guardian=False)
    with pytest.raises(GuardianMissingError):
        require_consent(child, ConsentKind.PHOTOS, DAY)
    consent(child, by_guardian=True)
    require_consent(child, ConsentKind.PHOTOS, DAY)
    assert not has_consent(child, ConsentKind.MAIL, DAY)


def test_a_consent_counts_from_its_day_until_it_is_taken_back(records: str) -> None:
    adult = player()
    with pytest.raises(ConsentMissingError):
        require_consent(adult, ConsentKind.PHOTOS, DAY)
    consent(adult, by_guardian=False, withdrawn_on=date(2026, 6, 1))
    days = [date(2026, 5, 8), DAY, date(2026, 5, 31), date(2026, 6, 1)]
    assert [has_consent(adult, ConsentKind.PHOTOS, day) for day in days] == [False, True, True, False]


def test_without_a_birth_year_nobody_is_photographed(records: str) -> None:
    whose = player(birth_year=None)
    consent(whose, by_guardian=False)
    with pytest.raises(BirthYearMissingError):
        require_consent(whose, ConsentKind.PHOTOS, DAY)
