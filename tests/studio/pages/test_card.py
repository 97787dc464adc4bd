"""The card page: lines decided one by one, signed, printed; the signed card stays as it was."""

import hashlib
import io
import re
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from uuid import uuid4

import pdfplumber
import pytest
from django.conf import settings as django_settings
from django.test import Client
from pytest_django import DjangoDbBlocker, Settings

from evenground.example import example_bundle
from evenground.records import assessing
from evenground.records.importing import import_bundle
from evenground.records.log import append
from evenground.records.models import CardVersion, Person, Reading, Role, Visit
from evenground.studio.deciding import choices_of
from evenground.studio.signing import papers_of, proposal, signed_paper
from evenground.studio.working import WORKBENCH
from tests.records.conftest import database, sqlite
from tests.records.making import entry

KEY = "irons.width"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """A teacher at the card of the example's visit."""

    client: Client
    visit: Visit
    teacher: Person

    @property
    def at(self) -> str:
        return f"/visits/{self.visit.pk}/card"

    def decide(self, key: str, choice: str, **more: str) -> Any:
        line = next((d.line for d in proposal(self.visit.pk).lines if d.line.key == key), None)
        seen = "" if line is None else f"{line.answer}: {line.now}"
        body = {"id": str(uuid4()), "line": key, "seen": seen, "choice": choice, **more}
        return self.client.post(f"{self.at}/line", body, headers={"hx-request": "true"})

    def accept_rest(self) -> Any:
        stamp = proposal(self.visit.pk).stamp
        return self.client.post(f"{self.at}/accept-rest", {"id": str(uuid4()), "stamp": stamp})

    def sign(self, number: int = 1, stamp: str | None = None) -> Any:
        stamp = proposal(self.visit.pk).stamp if stamp is None else stamp
        return self.client.post(f"{self.at}/sign", {"stamp": stamp, "number": str(number)})

    def state(self, key: str) -> str:
        return next(d.state for d in proposal(self.visit.pk).lines if d.line.key == key)

    def reading(self, kind: str, **fields: Any) -> None:
        append(self.visit.pk, entry(kind, **fields), person=self.teacher)


def signed_in(role: Role) -> tuple[Client, Person]:
    person = Person.objects.create_person(f"{role}-{uuid4().hex[:4]}", None, name="R. Tall", role=role)
    client = Client()
    client.force_login(person)
    return client, person


@pytest.fixture(scope="module")
def measured(
    migrated: Path, tmp_path_factory: pytest.TempPathFactory, django_db_blocker: DjangoDbBlocker
) -> Path:
    """A data folder with the example's visit, copied for each test."""
    folder = tmp_path_factory.mktemp("measured")
    shutil.copy(migrated, folder / "records.sqlite3")
    before, django_settings.BLOB_FOLDER = django_settings.BLOB_FOLDER, folder / "blobs"
    with django_db_blocker.unblock(), database(sqlite(folder)):
        import_bundle(example_bundle())
    django_settings.BLOB_FOLDER = before
    return folder


@pytest.fixture
def bench(
    measured: Path, tmp_path: Path, settings: Settings, django_db_blocker: DjangoDbBlocker
) -> Iterator[Bench]:
    shutil.copytree(measured, tmp_path, dirs_exist_ok=True)
    settings.BLOB_FOLDER = tmp_path / "blobs"
    with django_db_blocker.unblock(), database(sqlite(tmp_path)):
        client, teacher = signed_in(Role.TEACHER)
        yield Bench(client=client, visit=Visit.objects.get(), teacher=teacher)
        WORKBENCH.close()


def words(pdf: bytes, pages: list[int] | None = None) -> list[str]:
    with pdfplumber.open(io.BytesIO(pdf), pages=pages) as opened:
        return [" ".join((page.extract_text() or "").split()) for page in opened.pages]


def test_every_line_of_the_proposal_stands_on_the_page_with_its_evidence(bench: Bench) -> None:
    page = bench.client.get(bench.at).content.decode()
    for decided in proposal(bench.visit.pk).lines:
        assert decided.line.title in page
    assert "Hip line trial 1:" in page
    assert "What the errors are made of" in page
    assert "% of it is the scatter of a reading" in page
    fitted = [r for r in Reading.objects.filter(kind="placement") if r.payload["stance"] == "fitted"]
    assert fitted
    for reading in fitted:
        if reading.payload["footwear"] == "golf shoes":
            assert f"/files/{reading.blob_links.get(name=reading.payload['recording']).blob_id}" in page


def test_what_moves_the_player_is_a_page_of_the_visit(bench: Bench) -> None:
    page = bench.client.get(f"/visits/{bench.visit.pk}/effects").content.decode()
    assert "place in the series, 1 to 22" in page
    assert "Never varied: phase (before), footwear (golf shoes) and hands (hanging)" in page
    assert page.count("<figure") == 4


def test_the_evidence_of_a_width_leads_down_to_a_recording_that_opens(bench: Bench) -> None:
    page = bench.client.get(bench.at).content.decode()
    address = re.search(r'href="(/files/[0-9a-f]{64})"', page)
    assert address is not None
    answer = bench.client.get(address.group(1))
    assert answer.status_code == 200
    assert hashlib.sha256(answer.content).hexdigest() in address.group(1)


def test_an_accepted_line_is_kept_as_a_reading_with_what_was_proposed(bench: Bench) -> None:
    assert bench.decide(KEY, "accepted").status_code == 200
    kept = Reading.objects.get(kind="card line")
    line = next(d.line for d in proposal(bench.visit.pk).lines if d.line.key == KEY)
    assert kept.payload["proposed"] == f"{line.answer}: {line.now}"
    assert kept.person == bench.teacher
    assert bench.state(KEY) == "accepted"


def test_the_same_press_sent_twice_is_kept_once(bench: Bench) -> None:
    again = str(uuid4())
    for _ in range(2):
        bench.decide(KEY, "accepted", id=again)
    assert Reading.objects.filter(kind="card line").count() == 1


def test_a_line_set_by_the_teacher_needs_words_and_a_reason(bench: Bench) -> None:
    answer = bench.decide(KEY, "chosen", text="455 to 475 mm").content.decode()
    assert "The reason is missing." in answer
    assert 'value="455 to 475 mm"' in answer
    assert "The choice is missing." in bench.decide(KEY, "chosen", reason="wider").content.decode()
    assert bench.state(KEY) == "waits"


def test_a_width_that_is_no_range_is_refused_in_one_sentence_and_stays_as_typed(bench: Bench) -> None:
    answer = bench.decide(KEY, "chosen", text="460", reason="wider").content.decode()
    assert "is not a range" in answer
    assert 'value="460"' in answer
    assert bench.state(KEY) == "waits"


def test_a_width_set_by_the_teacher_is_kept_in_millimetres(bench: Bench) -> None:
    bench.decide(KEY, "chosen", text="455-475", reason="his knee is easier")
    choice = choices_of(proposal(bench.visit.pk).lines)[0]
    assert (choice.low_mm, choice.high_mm, choice.text) == (455.0, 475.0, "455 to 475 mm")


def test_a_line_that_changed_since_the_page_was_drawn_is_not_decided(bench: Bench) -> None:
    body = {"id": str(uuid4()), "line": KEY, "seen": "square: somewhere else", "choice": "accepted"}
    answer = bench.client.post(f"{bench.at}/line", body, headers={"hx-request": "true"})
    assert "changed since the page was drawn" in answer.content.decode()
    assert not Reading.objects.filter(kind="card line").exists()


def test_a_decision_opens_again_when_the_proposal_changes(bench: Bench) -> None:
    bench.decide(KEY, "accepted")
    bench.reading("shoes", name="other golf shoes", heel_breadth_mm=92.0)
    for number in range(30, 36):
        bench.reading("hip-line trial", trial=number, family="irons", width_mm=250.0, hip_line_deg=9.0)
    assert bench.state(KEY) == "changed"
    assert "changed since it was decided" in bench.client.get(bench.at).content.decode()


def test_a_decision_can_be_taken_back_and_stays_in_the_history(bench: Bench) -> None:
    bench.decide(KEY, "chosen", text="455 to 475", reason="wider")
    bench.decide(KEY, "open")
    assert bench.state(KEY) == "waits"
    assert Reading.objects.filter(kind="card line").count() == 2
    assert "1 earlier" in bench.client.get(bench.at).content.decode()


def test_a_card_with_a_waiting_line_cannot_be_signed(bench: Bench) -> None:
    bench.decide(KEY, "accepted")
    answer = bench.sign()
    assert answer.status_code == 409
    assert "Still to be decided" in answer.content.decode()
    assert not CardVersion.objects.exists()


def test_a_signed_card_shows_the_choice_with_its_reason_and_is_the_file_that_was_kept(bench: Bench) -> None:
    bench.decide(KEY, "chosen", text="455 to 475", reason="his knee is easier a little wider")
    bench.accept_rest()
    assert bench.sign().headers["Location"] == f"{bench.at}/1"
    card = CardVersion.objects.get()
    pdf = bench.client.get(f"{bench.at}/1/setup-card.pdf").content
    assert hashlib.sha256(pdf).hexdigest() == card.pdf_id
    first, *overleaf = words(pdf)
    assert "455 to 475 mm" in first
    assert "teacher's choice" in first
    assert "signed by R. Tall" in first
    assert "his knee is easier a little wider" in " ".join(overleaf)
    page = bench.client.get(f"{bench.at}/1").content.decode()
    assert "455 to 475 mm" in page
    assert "his knee is easier a little wider" in page


def test_a_signed_card_is_printed_again_to_the_byte_without_working_anything_out(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    bench.accept_rest()
    bench.sign()
    card = CardVersion.objects.get()
    kept = bench.client.get(f"{bench.at}/1/setup-card.pdf").content

    def never(*_: Any, **__: Any) -> Any:
        raise AssertionError

    monkeypatch.setattr(assessing, "assess", never)
    assessing._kept.clear()
    assert signed_paper(card, "setup-card") == kept
    for name in ("width-strip", "build-sheet"):
        assert bench.client.get(f"{bench.at}/1/{name}.pdf").content.startswith(b"%PDF")


def test_what_is_signed_stays_when_readings_come_in_and_another_signing_is_another_version(
    bench: Bench,
) -> None:
    bench.accept_rest()
    bench.sign()
    before = bench.client.get(f"{bench.at}/1/setup-card.pdf").content
    bench.decide(KEY, "chosen", text="455 to 475", reason="wider")
    assert bench.client.get(f"{bench.at}/1/setup-card.pdf").content == before
    assert bench.sign(number=2).headers["Location"] == f"{bench.at}/2"
    assert [c.number for c in CardVersion.objects.order_by("number")] == [1, 2]


def test_the_same_signing_sent_twice_signs_once(bench: Bench) -> None:
    bench.accept_rest()
    stamp = proposal(bench.visit.pk).stamp
    answers = [bench.sign(stamp=stamp) for _ in range(2)]
    assert {a.headers["Location"] for a in answers} == {f"{bench.at}/1"}
    assert CardVersion.objects.count() == 1


def test_a_card_that_moved_on_since_the_page_was_drawn_is_not_signed(bench: Bench) -> None:
    bench.accept_rest()
    stamp = proposal(bench.visit.pk).stamp
    bench.reading("body mass", mass_kg=71.0)
    answer = bench.sign(stamp=stamp)
    assert answer.status_code == 409
    assert "since the page was drawn" in answer.content.decode()
    assert not CardVersion.objects.exists()


def test_an_assistant_reads_the_card_and_cannot_decide_or_sign(bench: Bench) -> None:
    client, _ = signed_in(Role.ASSISTANT)
    page = client.get(bench.at)
    assert page.status_code == 200
    assert "Accept" not in page.content.decode()
    for to in ("line", "accept-rest", "sign"):
        assert client.post(f"{bench.at}/{to}", {}).status_code == 403


def test_a_draft_says_on_every_paper_that_it_is_not_signed(bench: Bench) -> None:
    for name in ("setup-card", "width-strip", "build-sheet"):
        pdf = bench.client.get(f"{bench.at}/draft/{name}.pdf").content
        assert "draft, not signed" in words(pdf, pages=[1])[0]


def test_a_measured_check_bar_corrects_the_strip_and_a_wild_one_is_refused(bench: Bench) -> None:
    plain = bench.client.get(f"{bench.at}/draft/width-strip.pdf").content
    corrected = bench.client.get(f"{bench.at}/draft/width-strip.pdf", {"check_bar": "98.5"})
    assert corrected.content != plain
    refused = bench.client.get(f"{bench.at}/draft/width-strip.pdf", {"check_bar": "25 mm"})
    assert refused.status_code == 422
    assert "100 mm bar" in refused.content.decode()


def test_the_papers_on_the_page_are_those_of_the_command_line(bench: Bench) -> None:
    from evenground.report.card_view import card_view

    shown = proposal(bench.visit.pk)
    ours = papers_of(shown).card
    fitted = card_view(shown.inputs.visit, shown.inputs.studio.settings, shown.findings)
    assert ours.rows == fitted.rows
    assert ours.evidence == fitted.evidence


def test_no_card_of_a_number_that_was_never_signed(bench: Bench) -> None:
    assert bench.client.get(f"{bench.at}/7").status_code == 404
    assert bench.client.get(f"{bench.at}/draft/shopping-list.pdf").status_code == 404
