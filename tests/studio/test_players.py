"""Players' pages: taking one in, changing, consents of players and guardians, what changed, the table."""

from datetime import date, timedelta
from pathlib import Path

import pytest
from django.test import Client

from evenground.records.consent import require_consent
from evenground.records.models import AuditEntry, Consent, ConsentKind, FindingsRow, Player
from evenground.records.visits import start_visit
from evenground.studio.consent_texts import TEXTS, current_text
from evenground.studio.days import today_here
from evenground.studio.lists import changed_lines
from tests.studio.test_today import read

NEW = {"name": "Maren Quillby", "handed": "right", "birth_year": "", "reference": ""}


@pytest.fixture
def maren(studio: Path) -> Player:
    """A player in the year of turning 18."""
    return Player.objects.create(
        name="Maren Quillby",
        handed="right",
        birth_year=today_here().year - 18,
        guardian_name="Hesper Quillby",
    )


def consent(owner: Client, player: Player, **said: str) -> int:
    body = {"kind": "photos", "given_by": "Hesper Quillby", "given_on": today_here().isoformat()} | said
    return owner.post(f"/players/{player.pk}/consents", body).status_code


def test_a_player_needs_a_name_and_a_golfing_hand_only(owner: Client) -> None:
    owner.post("/players/new", NEW)
    made = Player.objects.get()
    assert (made.name, made.handed, made.birth_year) == ("Maren Quillby", "right", None)


@pytest.mark.parametrize("year", ["1850", "2999", "84", "last year"])
def test_a_birth_year_that_cannot_be_is_said_beside_its_field(year: str, owner: Client) -> None:
    page = owner.post("/players/new", NEW | {"birth_year": year}).content.decode()
    assert 'aria-invalid="true"' in page
    assert Player.objects.count() == 0


def test_a_change_is_kept_and_written_down_by_field_without_its_content(owner: Client, maren: Player) -> None:
    said = NEW | {"birth_year": str(maren.birth_year), "email": "maren@quillby.example"}
    owner.post(f"/players/{maren.pk}/edit", said)
    assert Player.objects.get().email == "maren@quillby.example"
    entry = AuditEntry.objects.get(action="changed", what="player")
    assert entry.detail == {"fields": ["email", "guardian_name"]}


def test_whoever_sees_a_player_is_written_down(owner: Client, maren: Player) -> None:
    owner.get(f"/players/{maren.pk}")
    assert AuditEntry.objects.filter(action="saw", player_id=maren.pk).count() == 1


def test_through_the_year_of_turning_18_only_a_guardian_agrees(owner: Client, maren: Player) -> None:
    assert consent(owner, maren) == 422
    assert not Consent.objects.exists()
    assert consent(owner, maren, by_guardian="on") == 302
    require_consent(maren, ConsentKind.PHOTOS, today_here())


def test_the_year_after_the_player_agrees_alone(owner: Client, maren: Player) -> None:
    Player.objects.update(birth_year=today_here().year - 19)
    assert consent(owner, maren, given_by="Maren Quillby") == 302


def test_the_page_of_a_minor_says_that_a_guardian_comes_first(owner: Client, maren: Player) -> None:
    assert "A guardian agrees before any photo" in owner.get(f"/players/{maren.pk}").content.decode()
    consent(owner, maren, by_guardian="on")
    assert "A guardian agrees before any photo" not in owner.get(f"/players/{maren.pk}").content.decode()


def test_a_consent_keeps_which_text_was_agreed_to(owner: Client, maren: Player) -> None:
    consent(owner, maren, by_guardian="on")
    assert Consent.objects.get().text_version == current_text(ConsentKind.PHOTOS).version == "photos-1"


def test_a_consent_taken_back_stays_in_the_list_and_counts_no_more(owner: Client, maren: Player) -> None:
    consent(owner, maren, by_guardian="on")
    owner.post(f"/players/{maren.pk}/consents/{Consent.objects.get().pk}/withdraw")
    assert Consent.objects.get().withdrawn_on == today_here()
    assert "taken back" in owner.get(f"/players/{maren.pk}").content.decode()
    assert not Consent.objects.exclude(withdrawn_on__lte=today_here()).exists()


def test_a_consent_from_tomorrow_is_refused(owner: Client, maren: Player) -> None:
    tomorrow = (today_here() + timedelta(days=1)).isoformat()
    assert consent(owner, maren, by_guardian="on", given_on=tomorrow) == 422


def test_every_kind_of_consent_has_a_text_and_no_version_stands_twice() -> None:
    assert {t.kind for t in TEXTS} == set(ConsentKind)
    assert len({t.version for t in TEXTS}) == len(TEXTS)


def line(key: str, now: str) -> dict[str, str]:
    return {"key": key, "title": key, "now": now, "answer": "square"}


def test_the_last_two_visits_with_findings_are_compared_line_by_line(maren: Player) -> None:
    for day, lines in ((1, [line("a", "1"), line("b", "2")]), (2, [line("a", "1"), line("c", "3")])):
        visit = start_visit(maren, day=date(2026, 5, day))
        read(visit, "safety", screening="cleared")
        FindingsRow.objects.create(visit=visit, input_hash="0" * 64, body={"card": lines})
    found = changed_lines(maren)
    assert found is not None
    now, before, lines_now = found
    assert (now.day, before.day) == (date(2026, 5, 2), date(2026, 5, 1))
    assert [(c.title, c.before, c.now, c.same) for c in lines_now] == [
        ("a", "1", "1", True),
        ("c", "not measured", "3", False),
        ("b", "2", "not measured", False),
    ]


def test_one_visit_compares_with_nothing(maren: Player) -> None:
    read(start_visit(maren, day=date(2026, 5, 1)), "safety", screening="cleared")
    assert changed_lines(maren) is None


def test_the_table_of_players_holds_no_formula(owner: Client, studio: Path) -> None:
    Player.objects.create(name='=HYPERLINK("x")', handed="right", phone="+49 170")
    text = owner.get("/players.csv").content.decode("utf-8-sig")
    assert '"\'=HYPERLINK(""x"")"' in text
    assert ",'+49 170," in text


def test_a_name_is_shown_as_text_whatever_stands_in_it(owner: Client, studio: Path) -> None:
    row = Player.objects.create(name="<img src=x onerror=alert(1)>", handed="right")
    for address in ("/", "/players", f"/players/{row.pk}", "/players/found?find=img"):
        page = owner.get(address).content.decode()
        assert "<img" not in page
        assert "&lt;img" in page
