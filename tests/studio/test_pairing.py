"""Letting devices in: a code that works once for two minutes, a device that can be shut out at once."""

from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from evenground.records.models import Person, Role
from evenground.studio.models import PairedDevice, PairingCode
from evenground.studio.pairing import PairingCodeError, make_code, pair, show_code
from evenground.studio.throttle import TooManyTriesError

TABLET = "192.0.2.40"  # RFC 5737: an address of documentation


@pytest.fixture
def wren(people: dict[Role, Person]) -> Person:
    return people[Role.OWNER]


def knocked(code: str, client: Client | None = None) -> tuple[Client, Any]:
    client = client or Client(REMOTE_ADDR=TABLET)
    return client, client.post("/pair", {"code": code, "name": "tablet at the mat"})


@pytest.mark.parametrize("address", ["/", "/sign-in", "/players", "/link/whatever"])
def test_an_unpaired_device_gets_no_further_than_the_pairing_page(address: str, studio: Path) -> None:
    assert Client(REMOTE_ADDR=TABLET).get(address).headers["Location"].startswith("/pair?next=")


def test_an_unpaired_device_cannot_even_try_a_password(wren: Person) -> None:
    answer = Client(REMOTE_ADDR=TABLET).post("/sign-in", {"username": "owner", "password": "whatever else"})
    assert answer.headers["Location"].startswith("/pair")


def test_a_code_lets_one_device_in_as_an_assistant(wren: Person) -> None:
    tablet, answer = knocked(show_code(make_code(wren)).lower())
    assert answer.headers["Location"] == "/"
    assert tablet.get("/").status_code == 200
    assert tablet.get("/studio/people").status_code == 403


def test_a_code_made_for_all_that_the_person_may_opens_their_pages(wren: Person) -> None:
    tablet, _ = knocked(make_code(wren, Role.OWNER))
    assert tablet.get("/studio/people").status_code == 200


def test_a_code_works_once(wren: Person) -> None:
    code = make_code(wren)
    knocked(code)
    _, again = knocked(code)
    assert again.status_code == 403
    assert "This code does not open the door." in again.content.decode()


def test_a_code_is_over_after_two_minutes(wren: Person) -> None:
    code = make_code(wren)
    row = PairingCode.objects.get()
    assert timedelta(seconds=119) < row.expires_at - timezone.now() <= timedelta(seconds=120)
    PairingCode.objects.update(expires_at=timezone.now())
    assert knocked(code)[1].status_code == 403


def test_a_new_code_ends_the_one_before(wren: Person) -> None:
    first = make_code(wren)
    make_code(wren)
    assert knocked(first)[1].status_code == 403


def test_guessing_is_stopped_after_six_tries_a_minute(wren: Person) -> None:
    for _ in range(6):
        with pytest.raises(PairingCodeError):
            pair("2222 2222", name="x", address=TABLET)
    with pytest.raises(TooManyTriesError):
        pair(make_code(wren), name="x", address=TABLET)


def test_codes_and_device_secrets_are_kept_as_hashes_only(wren: Person) -> None:
    code = make_code(wren)
    tablet, _ = knocked(code)
    kept = str(list(PairingCode.objects.values())) + str(list(PairedDevice.objects.values()))
    assert code not in kept
    assert tablet.cookies["evenground_device"].value not in kept


def test_a_device_that_is_shut_out_is_out_at_once(wren: Person, owner: Client) -> None:
    tablet, _ = knocked(make_code(wren))
    owner.post(f"/devices/{PairedDevice.objects.get().pk}/end")
    assert tablet.get("/").headers["Location"].startswith("/pair")


def test_a_session_taken_to_a_device_that_is_not_paired_does_not_open(wren: Person) -> None:
    tablet, _ = knocked(make_code(wren))
    thief = Client(REMOTE_ADDR="192.0.2.66")
    thief.cookies["evenground"] = tablet.cookies["evenground"].value
    assert thief.get("/").headers["Location"].startswith("/pair")


def test_a_paired_session_taken_to_another_paired_device_does_not_open(wren: Person) -> None:
    tablet, _ = knocked(make_code(wren))
    other, _ = knocked(make_code(wren))
    other.cookies["evenground"] = tablet.cookies["evenground"].value
    assert other.get("/").headers["Location"].startswith("/pair")


def test_the_page_with_the_code_shows_it_and_its_picture_when_serving_the_network(
    owner: Client, settings: Any
) -> None:
    settings.LAN, settings.LAN_ADDRESS, settings.LAN_FINGERPRINT = True, "https://192.0.2.1:8710", "ABCD 1234"
    page = owner.post("/devices/pair").content.decode()
    assert "https://192.0.2.1:8710/pair" in page
    assert '<path d="M' in page
    assert "ABCD 1234" in page
