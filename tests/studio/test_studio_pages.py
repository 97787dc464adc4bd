"""The studio's own pages: settings, shelf, instruments, people; each change from the next visit on."""

import re
from datetime import date
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from evenground.example import example_bundle
from evenground.records.models import AuditEntry, Instrument, Person, Player, Role, StockList
from evenground.records.visits import current_snapshot, start_visit, studio_file
from evenground.studio.context import PLACES
from evenground.studio.models import DeskSession
from tests.studio.conftest import As

SETTINGS = {
    "name": "The Reed Loft",
    "units": "inch quarters",
    "paper": "us-letter",
    "margin_deg": "1.5",
    "instrument_days": "7",
    "valid_weeks": "8",
    "putt_past_m": "0.43",
    "order_families": "on",
    "mat_thickness_mm": "1/2 in",
}


def shelf_text() -> str:
    return (example_bundle() / "stock.toml").read_text("utf-8")


def test_settings_take_effect_from_the_next_visit_on(owner: Client) -> None:
    before = start_visit(Player.objects.create(name="Odo", handed="left"), day=date(2026, 5, 9))
    assert owner.post("/studio/settings", SETTINGS).status_code == 302
    now = studio_file(current_snapshot())
    assert (now.settings.name, now.settings.margin_deg, now.settings.valid_weeks) == ("The Reed Loft", 1.5, 8)
    assert now.mat_thickness_mm == pytest.approx(12.7)
    assert studio_file(before.snapshot).settings.name == "this studio"
    assert "The Reed Loft" in owner.get("/").content.decode()


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("margin_deg", "0"),
        ("margin_deg", "wide"),
        ("valid_weeks", "53"),
        ("mat_thickness_mm", "thick"),
        ("name", ""),
    ],
)
def test_a_setting_that_cannot_be_is_said_and_changes_nothing(field: str, typed: str, owner: Client) -> None:
    answer = owner.post("/studio/settings", SETTINGS | {field: typed})
    assert answer.status_code == 422
    assert 'class="error"' in answer.content.decode()
    assert current_snapshot() is None


def test_a_stock_list_is_taken_in_as_a_file_and_used_by_the_next_visit(owner: Client) -> None:
    owner.post("/studio/stock", {"file": SimpleUploadedFile("stock.toml", shelf_text().encode())})
    snapshot = current_snapshot()
    assert snapshot is not None
    assert snapshot.stock_id == StockList.objects.get().blob_id
    assert studio_file(snapshot).stock == "stock.toml"
    assert StockList.objects.get().items.count() == shelf_text().count("[[grips]]")
    assert owner.get("/studio/stock.toml").content.decode() == shelf_text()


def test_settings_changed_later_keep_the_shelf(owner: Client) -> None:
    owner.post("/studio/stock", {"text": shelf_text()})
    owner.post("/studio/settings", SETTINGS)
    snapshot = current_snapshot()
    assert snapshot is not None
    assert snapshot.stock_id is not None
    assert studio_file(snapshot).stock == "stock.toml"


def test_a_stock_list_with_a_mistake_is_told_and_the_old_one_stays(owner: Client) -> None:
    owner.post("/studio/stock", {"text": shelf_text()})
    bad = shelf_text().replace("mass_g = 47", "mass_g = -47")
    answer = owner.post("/studio/stock", {"text": bad})
    assert answer.status_code == 422
    assert "mass" in answer.content.decode()
    assert StockList.objects.count() == 1
    assert "mass_g = -47" in answer.content.decode()  # what was typed is still there


def test_an_instrument_taken_out_of_use_keeps_its_checks(owner: Client) -> None:
    owner.post("/studio/instruments", {"kind": "mat", "name": "mat at the window"})
    row = Instrument.objects.get()
    owner.post(f"/instruments/{row.pk}/check", {"passed": "yes", "back": "instruments"})
    owner.post(f"/studio/instruments/{row.pk}/retire")
    row.refresh_from_db()
    assert row.retired_at is not None
    assert row.checks.count() == 1
    owner.get("/")  # what was said about it
    assert "mat at the window" not in owner.get("/").content.decode()


def test_the_only_owner_can_neither_be_switched_off_nor_made_less(
    owner: Client, people: dict[Role, Person]
) -> None:
    address = f"/studio/people/{people[Role.OWNER].pk}"
    answers = [owner.post(address, {"active": "no"}), owner.post(address, {"role": "teacher"})]
    assert [a.status_code for a in answers] == [403, 403]
    assert "at least one owner" in answers[0].content.decode()
    people[Role.OWNER].refresh_from_db()
    assert (people[Role.OWNER].role, people[Role.OWNER].is_active) == ("owner", True)


def test_somebody_switched_off_loses_every_session(
    owner: Client, people: dict[Role, Person], as_role: As
) -> None:
    teacher = as_role(Role.TEACHER)
    teacher.get("/")
    assert DeskSession.objects.filter(person=people[Role.TEACHER]).exists()
    owner.post(f"/studio/people/{people[Role.TEACHER].pk}", {"active": "no"})
    assert not DeskSession.objects.filter(person=people[Role.TEACHER]).exists()
    assert teacher.get("/").headers["Location"].startswith("/sign-in")


def test_every_change_of_the_studio_is_written_down(owner: Client, people: dict[Role, Person]) -> None:
    owner.post("/studio/settings", SETTINGS)
    owner.post("/studio/stock", {"text": shelf_text()})
    owner.post("/studio/instruments", {"kind": "mat", "name": "mat"})
    owner.post(f"/studio/people/{people[Role.TEACHER].pk}", {"role": "owner"})
    said = set(AuditEntry.objects.values_list("action", "what"))
    assert said >= {
        ("changed", "settings"),
        ("changed", "stock"),
        ("made", "instrument"),
        ("changed", "person"),
    }
    assert set(AuditEntry.objects.values_list("person__name", flat=True)) == {"The owner"}


def test_the_audit_is_shown_in_pages_and_given_as_a_table(owner: Client) -> None:
    AuditEntry.objects.bulk_create(AuditEntry(action="saw", what="player") for _ in range(150))
    first = owner.get("/studio/audit").content.decode()
    older = re.search(r'href="\?before=(\d+)">older', first)
    assert older is not None
    second = owner.get(f"/studio/audit?before={older[1]}").content.decode()
    assert (first.count("<tr><td"), second.count("<tr><td")) == (100, 50)
    assert "older</a>" not in second
    assert owner.get("/studio/audit.csv").content.decode().count("saw,player") == 150


@pytest.mark.parametrize("role", list(Role))
def test_the_margin_names_only_places_that_the_role_may_open(role: Role, as_role: As) -> None:
    client = as_role(role)
    page = client.get("/").content.decode()
    shown = [name for name, word in PLACES if f">{word}</a></li>" in page]
    assert shown
    opened = [name for name, _ in PLACES if client.get(reverse(name)).status_code == 200]
    assert shown == opened


def test_every_page_shows_in_an_empty_studio(owner: Client, studio: Path) -> None:
    names = (
        "",
        "players",
        "players/new",
        "me",
        "studio",
        "studio/settings",
        "studio/instruments",
        "studio/stock",
    )
    more = ("studio/orders", "studio/people", "studio/sessions", "studio/audit")
    assert {owner.get(f"/{name}").status_code for name in (*names, *more)} == {200}
