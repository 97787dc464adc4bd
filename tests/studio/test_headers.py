"""What every answer carries, what is refused before any page is asked, and that no page holds a script."""

import re
from pathlib import Path

import pytest
from django.test import Client

import evenground.studio
from evenground.records.models import Role
from tests.studio.conftest import As

TEMPLATES = sorted((Path(evenground.studio.__file__).parent / "templates").rglob("*.html"))


def directives(policy: str) -> dict[str, list[str]]:
    return {part.split()[0]: part.split()[1:] for part in policy.split(";")}


@pytest.mark.parametrize(
    "address", ["/", "/sign-in", "/nowhere", "/static/sheet/sheet.css", "/fonts/sans-400.woff"]
)
def test_every_answer_carries_the_policy_and_plain_headers(address: str, owner: Client) -> None:
    headers = owner.get(address).headers
    policy = directives(headers["Content-Security-Policy"])
    assert policy["default-src"] == ["'none'"]
    assert policy["script-src"] == policy["style-src"] == policy["connect-src"] == ["'self'"]
    assert policy["frame-ancestors"] == policy["base-uri"] == policy["object-src"] == ["'none'"]
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Referrer-Policy"] == "same-origin"
    assert headers["X-Frame-Options"] == "DENY"


def test_pages_are_not_kept_by_the_browser_and_static_files_are(owner: Client) -> None:
    assert owner.get("/").headers["Cache-Control"] == "no-store"
    assert "max-age=31536000" in owner.get("/static/sheet/sheet.css").headers["Cache-Control"]


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda p: p.name)
def test_no_template_holds_an_inline_script_a_style_or_a_foreign_address(path: Path) -> None:
    text = re.sub(r"xmlns(:\w+)?=\"[^\"]+\"", "", path.read_text("utf-8"))
    assert not re.findall(r"<script(?![^>]*\bsrc=)", text)
    assert not re.findall(r"<style|\sstyle=|\son[a-z]+=|javascript:|hx-on", text)
    assert not re.findall(r"(?:src|href|action)=\"(?:https?:)?//", text)


@pytest.mark.parametrize("host", ["elsewhere.example", "127.0.0.1.elsewhere.example", "192.0.2.1"])
def test_a_foreign_host_name_is_refused(host: str, studio: Path) -> None:
    answer = Client().get("/sign-in", headers={"host": host})
    assert answer.status_code == 400
    assert "at the address that it printed" in answer.content.decode()


def test_a_form_without_its_token_is_refused_in_a_sentence(as_role: As) -> None:
    client = as_role(Role.OWNER)
    strict = Client(enforce_csrf_checks=True)
    strict.cookies = client.cookies
    answer = strict.post("/studio/instruments", {"kind": "mat", "name": "mat"})
    assert answer.status_code == 403
    assert "Load the page again" in answer.content.decode()


def test_session_cookies_are_out_of_reach_of_scripts(owner: Client) -> None:
    owner.get("/")
    owner.get("/sign-in")
    assert owner.cookies["evenground"]["httponly"]
    assert owner.cookies["csrftoken"]["httponly"]
    assert owner.cookies["csrftoken"]["samesite"] == "Strict"


def test_a_page_that_fails_tells_nothing_of_its_inside(
    owner: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*_: object, **__: object) -> None:
        raise RuntimeError("the inside")

    monkeypatch.setattr("evenground.studio.pages.today.visits_on", fails)
    owner.raise_request_exception = False
    answer = owner.get("/")
    assert answer.status_code == 500
    assert "the inside" not in answer.content.decode()
    assert "What was saved before is safe" in answer.content.decode()


def test_the_look_is_kept_for_this_device(owner: Client) -> None:
    owner.post("/look", {"look": "dark", "next": "/players"})
    assert 'data-look="dark"' in owner.get("/").content.decode()
    owner.post("/look", {"look": "<b>", "next": "/"})
    assert 'data-look="dark"' in owner.get("/").content.decode()
