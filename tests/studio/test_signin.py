"""Signing in: throttled before hashing, locked out after five, one-time links, idle lock, sessions ended."""

import re
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth.hashers import Argon2PasswordHasher
from django.test import Client
from django.utils import timezone

from evenground.records.models import AuditEntry, Person, Role
from evenground.studio import signin
from evenground.studio.links import LinkUsedUpError, make_link, open_link, use_link
from evenground.studio.models import DeskSession, LinkPurpose, OneTimeLink
from tests.studio.conftest import PASSWORD, As

TESSA = {"username": "tessa", "password": PASSWORD}


@pytest.fixture
def tessa(studio: Path) -> Person:
    return Person.objects.create_person("tessa", PASSWORD, name="Tessa Rowanby", role=Role.TEACHER)


@pytest.fixture
def hashed(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Every password that was hashed to be checked."""
    seen: list[str] = []
    checks = Argon2PasswordHasher.verify

    def counted(self: Argon2PasswordHasher, password: str, encoded: str) -> bool:
        seen.append(password)
        return bool(checks(self, password, encoded))

    monkeypatch.setattr(Argon2PasswordHasher, "verify", counted)
    return seen


def tried(client: Client, name: str = "tessa", password: str = "wrong every time") -> Any:  # noqa: S107 - a wrong one
    return client.post("/sign-in", {"username": name, "password": password})


def test_name_and_password_open_today(tessa: Person) -> None:
    client = Client()
    answer = client.post("/sign-in", TESSA | {"username": " Tessa ", "next": "/players"})
    assert (answer.status_code, answer.headers["Location"]) == (302, "/players")
    assert client.get("/").status_code == 200


def test_passwords_are_kept_as_argon2id(tessa: Person) -> None:
    assert tessa.password.startswith("argon2$argon2id$")


def test_a_page_of_another_site_is_never_where_one_lands(tessa: Person) -> None:
    answer = Client().post("/sign-in", TESSA | {"next": "//elsewhere.example/"})
    assert answer.headers["Location"] == "/"


def test_wrong_name_and_wrong_password_sound_the_same(tessa: Person) -> None:
    said = [
        re.findall(r"<p>(This name.*?)</p>", tried(Client(), name).content.decode())
        for name in ("tessa", "nobody")
    ]
    assert said[0] == said[1] != []


def test_after_five_wrong_ones_even_the_right_password_waits_and_nothing_is_hashed(
    tessa: Person, hashed: list[str]
) -> None:
    client = Client()
    statuses = [tried(client).status_code for _ in range(5)]
    before = len(hashed)
    answer = client.post("/sign-in", TESSA)
    assert statuses == [403] * 5
    assert "rests for 15 minutes" in answer.content.decode()
    assert len(hashed) == before


def test_a_lock_out_elsewhere_leaves_this_machine_alone(tessa: Person) -> None:
    for _ in range(5):
        signin.BY_ADDRESS.forget()
        Client(REMOTE_ADDR="127.0.0.2").post("/sign-in", TESSA | {"password": "wrong"})
    assert Client().post("/sign-in", TESSA).status_code == 302


def test_too_many_tries_are_stopped_before_hashing(tessa: Person, hashed: list[str]) -> None:
    answers = [tried(Client(), f"somebody-{i}") for i in range(12)]
    assert [a.status_code for a in answers[-2:]] == [429, 429]
    assert len([a for a in answers if a.status_code == 403]) == 10
    assert len(hashed) == 0  # nobody of these names exists: Django spends the time on a made-up hash


def test_right_sign_ins_never_use_up_the_tries(tessa: Person) -> None:
    assert {Client().post("/sign-in", TESSA).status_code for _ in range(11)} == {302}


def test_signing_in_gives_a_new_session_key(tessa: Person) -> None:
    client = Client()
    client.get("/sign-in")
    client.post("/sign-in", TESSA)
    first = client.cookies["evenground"].value
    client.post("/sign-in", TESSA)
    assert client.cookies["evenground"].value != first
    assert not DeskSession.objects.filter(pk=first).exists()


def test_a_person_switched_off_is_out_at_once(tessa: Person) -> None:
    client = Client()
    client.post("/sign-in", TESSA)
    Person.objects.filter(pk=tessa.pk).update(is_active=False)
    assert client.get("/").headers["Location"].startswith("/sign-in")


def test_a_session_left_alone_asks_for_the_password_and_goes_on_where_it_was(tessa: Person) -> None:
    client = Client()
    client.post("/sign-in", TESSA)
    session = client.session
    session["seen_at"] = (timezone.now() - timedelta(minutes=21)).isoformat()
    session.save()
    sent = client.get("/players").headers["Location"]
    assert sent == "/unlock?next=%2Fplayers"
    assert client.post("/unlock", {"password": "wrong", "next": "/players"}).status_code == 403
    assert (
        client.post("/unlock", {"password": PASSWORD, "next": "/players"}).headers["Location"] == "/players"
    )
    assert client.get("/players").status_code == 200


def test_a_page_that_looks_again_by_itself_does_not_keep_a_session_awake(tessa: Person) -> None:
    client = Client()
    client.post("/sign-in", TESSA)
    session = client.session
    session["seen_at"] = seen = (timezone.now() - timedelta(minutes=19)).isoformat()
    session.save()
    assert client.get("/now").status_code == 200
    assert client.session["seen_at"] == seen


def test_a_locked_session_shows_nothing_but_the_door(tessa: Person) -> None:
    client = Client()
    client.post("/sign-in", TESSA)
    client.post("/lock", {"next": "/players"})
    assert client.get("/").headers["Location"].startswith("/unlock")
    assert client.get("/now", headers={"HX-Request": "true"}).status_code == 401


def test_sessions_are_listed_and_one_that_is_ended_is_out(tessa: Person) -> None:
    here, there = Client(), Client(HTTP_USER_AGENT="Mozilla/5.0 (iPad) Safari/605")
    here.post("/sign-in", TESSA)
    there.post("/sign-in", TESSA)
    page = here.get("/me").content.decode()
    mark = DeskSession.objects.get(pk=there.cookies["evenground"].value).mark
    assert "Safari on iPad" in page
    here.post(f"/sessions/{mark}/end")
    assert there.get("/").headers["Location"].startswith("/sign-in")
    assert here.get("/").status_code == 200


def test_a_teacher_cannot_end_somebody_elses_session(tessa: Person, as_role: As) -> None:
    owner, teacher = as_role(Role.OWNER), Client()
    owner.get("/")
    teacher.post("/sign-in", TESSA)
    teacher.post(f"/sessions/{DeskSession.objects.get(pk=owner.cookies['evenground'].value).mark}/end")
    assert owner.get("/").status_code == 200


def test_no_session_key_stands_on_any_page(tessa: Person) -> None:
    client = Client()
    client.post("/sign-in", TESSA)
    assert client.cookies["evenground"].value not in client.get("/me").content.decode()


def test_a_new_password_ends_the_other_sessions(tessa: Person) -> None:
    here, there = Client(), Client()
    here.post("/sign-in", TESSA)
    there.post("/sign-in", TESSA)
    here.post("/me/password", {"old": PASSWORD, "password": "another quiet green"})
    assert here.get("/").status_code == 200
    assert there.get("/").headers["Location"].startswith("/sign-in")


def test_the_first_link_makes_an_owner_once(studio: Path) -> None:
    token = make_link(LinkPurpose.FIRST_OWNER)
    client = Client()
    assert "Whose studio is this?" in client.get(f"/link/{token}").content.decode()
    weak = client.post(f"/link/{token}", {"name": "Wren", "sign_in": "wren", "password": "password12"})
    assert "too common" in weak.content.decode()
    made = client.post(f"/link/{token}", {"name": "Wren", "sign_in": "Wren", "password": PASSWORD})
    assert made.headers["Location"] == "/"
    assert Person.objects.get().role == Role.OWNER
    assert client.get("/studio/people").status_code == 200
    assert Client().get(f"/link/{token}").status_code == 403


def test_a_second_first_link_is_dead_once_there_is_an_owner(studio: Path) -> None:
    token = make_link(LinkPurpose.FIRST_OWNER)
    Person.objects.create_person("wren", PASSWORD, role=Role.OWNER)
    assert Client().get(f"/link/{token}").status_code == 403


def test_a_sign_in_link_works_once_and_looking_at_it_uses_nothing_up(tessa: Person) -> None:
    token = make_link(LinkPurpose.SIGN_IN, person=tessa)
    client = Client()
    pages = [client.get(f"/link/{token}") for _ in range(2)]
    assert [page.status_code for page in pages] == [200, 200]
    assert "None" not in pages[0].content.decode()
    assert client.post(f"/link/{token}").headers["Location"] == "/"
    assert client.get("/").status_code == 200
    assert Client().post(f"/link/{token}").status_code == 403


def test_of_two_who_use_one_link_at_once_one_gets_through(tessa: Person) -> None:
    token = make_link(LinkPurpose.SIGN_IN, person=tessa)
    one, other = open_link(token), open_link(token)
    use_link(one)
    with pytest.raises(LinkUsedUpError):
        use_link(other)


def test_a_link_runs_out(tessa: Person) -> None:
    token = make_link(LinkPurpose.SIGN_IN, person=tessa)
    OneTimeLink.objects.update(expires_at=timezone.now() - timedelta(seconds=1))
    assert Client().get(f"/link/{token}").status_code == 403


def test_links_are_kept_as_hashes_only(tessa: Person) -> None:
    token = make_link(LinkPurpose.SIGN_IN, person=tessa)
    assert token not in str(list(OneTimeLink.objects.values()))


def test_a_new_person_has_no_password_until_their_link_sets_one(owner: Client) -> None:
    page = owner.post(
        "/studio/people", {"name": "Pim", "sign_in": "pim", "role": "assistant"}
    ).content.decode()
    assert not Person.objects.get(sign_in="pim").has_usable_password()
    link = re.search(r'value="http://testserver(/link/[^"]+)"', page)
    assert link is not None
    Client().post(link[1], {"password": PASSWORD})
    assert Client().post("/sign-in", {"username": "pim", "password": PASSWORD}).status_code == 302


def test_the_audit_tells_of_sign_ins_refusals_and_lock_outs_without_names(tessa: Person) -> None:
    client = Client()
    for _ in range(6):
        tried(client)
    Client(REMOTE_ADDR="127.0.0.1").post("/sign-in", TESSA)
    actions = set(AuditEntry.objects.values_list("action", flat=True))
    assert {"sign-in refused", "locked out"} <= actions
    assert "tessa" not in str(list(AuditEntry.objects.values_list("detail", flat=True)))
