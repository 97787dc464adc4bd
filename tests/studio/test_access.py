"""Every address, for every role and for somebody who is not signed in, against one table written here."""

from collections.abc import Iterator
from typing import Any
from uuid import UUID

import pytest
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from evenground.records.models import Role
from evenground.studio.access import ACCESS, rule_for
from tests.studio.conftest import As

# O owner, T teacher, A assistant; "open" needs nobody signed in.
WHO = {
    "font": "open",
    "look": "open",
    "pair": "open",
    "sign-in": "open",
    "link": "open",
    "sign-out": "OTA",
    "lock": "OTA",
    "unlock": "OTA",
    "today": "OTA",
    "today-now": "OTA",
    "visit-start": "OTA",
    "instrument-check": "OTA",
    "instrument": "OTA",
    "players": "OTA",
    "players-found": "OTA",
    "players-csv": "O",
    "player-new": "OTA",
    "player": "OTA",
    "player-edit": "OTA",
    "consent-new": "OTA",
    "consent-withdraw": "OTA",
    "file": "OTA",
    "visit": "OTA",
    "card": "OTA",
    "effects": "OTA",
    "card-line": "OT",
    "card-cues": "OT",
    "card-accept-rest": "OT",
    "card-sign": "OT",
    "card-draft-paper": "OTA",
    "card-signed": "OTA",
    "card-signed-paper": "OTA",
    "api:api-root": "open",
    "api:openapi-json": "OTA",
    "api:openapi-view": "OTA",
    "api:visit": "open",
    "api:findings": "open",
    "api:readings": "open",
    "api:recordings": "open",
    "api:live": "open",
    "api:live-frames": "open",
    "api:live-finish": "open",
    "tokens": "OT",
    "token-end": "OT",
    "schools": "OTA",
    "school-new": "OT",
    "school": "OTA",
    "school-scan": "OTA",
    "school-event": "OTA",
    "school-leaves": "OTA",
    "school-badges": "OTA",
    "school-cards": "OT",
    "school-roster": "OT",
    "moving": "OT",
    "visit:send-field": "OTA",
    "visit:send-trial": "OTA",
    "visit:send-table": "OTA",
    "visit:send-recording": "OTA",
    "visit:send-hand-photo": "OTA",
    "visit:send-bar-photo": "OTA",
    "visit:send-side-photo": "OTA",
    "visit:send-point": "OTA",
    "visit:points": "OTA",
    "visit:points-picture": "OTA",
    "visit:send-look": "OTA",
    "visit:send-scales": "OTA",
    "visit:send-skip": "OTA",
    "visit:send-take-back": "OTA",
    "visit:history": "OTA",
    "visit:held-load": "OTA",
    "visit:practice": "OTA",
    "visit:practice-sheet": "OTA",
    "visit:routine": "OTA",
    "visit:routine-pdf": "OTA",
    "visit:mat-stream": "OTA",
    "visit:mat-record": "OTA",
    "visit:mat-stop": "OTA",
    "visit:mat-keep": "OTA",
    "visit:mat-discard": "OTA",
    "visit:mat-choose": "OTA",
    "visit:check": "OTA",
    "visit:news": "OTA",
    "me": "OTA",
    "me-password": "OTA",
    "session-end": "OTA",
    "pair-start": "OT",
    "device-end": "OT",
    "studio": "OT",
    "settings": "O",
    "instruments": "OT",
    "instrument-retire": "OT",
    "cameras": "OT",
    "camera-calibrate": "OT",
    "camera-choose": "OT",
    "sheet": "OTA",
    "studio-routine": "OT",
    "studio-cues": "OT",
    "stock": "OT",
    "stock-file": "OT",
    "orders": "OT",
    "order": "OT",
    "order-model": "O",
    "order-new": "OT",
    "order-step": "OT",
    "order-tape": "OT",
    "studies": "OT",
    "study": "OT",
    "study-use": "O",
    "people": "O",
    "person-change": "O",
    "person-link": "O",
    "sessions": "O",
    "audit": "O",
    "audit-csv": "O",
}
LETTER = {Role.OWNER: "O", Role.TEACHER: "T", Role.ASSISTANT: "A"}
SAMPLE: dict[str, Any] = {
    "uuid": UUID("00000000-0000-4000-8000-000000000000"),
    "int": 1,
    "slug": "hip-line",
    "str": "abcdefgh",
}


def patterns(within: Any = None, namespace: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """Name and sample arguments of every address of the app."""
    for found in (within or get_resolver()).url_patterns:
        if isinstance(found, URLResolver):
            for name, sample in patterns(found, f"{found.namespace}:" if found.namespace else namespace):
                yield name, sample_of(found) | sample
        else:
            yield f"{namespace}{found.name}", sample_of(found)


def sample_of(found: URLPattern | URLResolver) -> dict[str, Any]:
    kinds = {
        "UUIDConverter": "uuid",
        "UUIDStrConverter": "uuid",
        "IntConverter": "int",
        "SlugConverter": "slug",
        "StringConverter": "str",
    }
    return {name: SAMPLE[kinds[type(made).__name__]] for name, made in found.pattern.converters.items()}


def turned_away(client: Client, method: str, address: str) -> bool:
    """Whether the door said no: by role, or by sending to the sign-in."""
    answer = getattr(client, method)(address)
    away = answer.status_code == 302 and answer.headers["Location"].startswith("/sign-in?next")
    return bool(answer.status_code == 403 or away)


def test_the_table_names_every_address_once() -> None:
    assert sorted(name for name, _ in patterns()) == sorted(WHO)


def test_every_rule_of_the_app_belongs_to_an_address() -> None:
    names = {name for name, _ in patterns()}
    groups = {f"{name.split(':')[0]}:" for name in names if ":" in name}
    assert set(ACCESS) <= names | groups


@pytest.mark.parametrize("role", [*Role, None], ids=str)
@pytest.mark.parametrize("method", ["get", "post"])
def test_every_address_opens_for_whom_the_table_says(role: Role | None, method: str, as_role: As) -> None:
    letter = "" if role is None else LETTER[role]
    said = {
        name: turned_away(as_role(role), method, reverse(name, kwargs=sample)) for name, sample in patterns()
    }
    wanted = {name: not (who == "open" or (letter and letter in who)) for name, who in WHO.items()}
    # A one-time link that does not work answers 403 by itself, whoever asks: the door let it through.
    assert said | {"link": False} == wanted


def test_an_address_without_a_rule_is_closed_to_the_owner(
    owner: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("evenground.studio.middleware.rule_for", lambda match: rule_for(match, {}))
    assert owner.get("/").status_code == 403


def test_a_page_for_another_role_says_so_in_a_sentence(as_role: As) -> None:
    answer = as_role(Role.ASSISTANT).get("/studio/audit")
    assert answer.status_code == 403
    assert "Your role does not open this page." in answer.content.decode()


def test_a_script_of_somebody_signed_out_is_sent_to_the_door_as_a_whole_page(as_role: As) -> None:
    answer = as_role(None).get("/now", headers={"HX-Request": "true", "HX-Current-URL": "http://testserver/"})
    assert (answer.status_code, answer.headers["HX-Redirect"]) == (401, "/sign-in?next=%2F")
