"""A studio with something on every page, for the walks over all of them."""

from dataclasses import dataclass
from typing import Any
from uuid import UUID, uuid4

from django.utils import timezone

from evenground.example import example_bundle
from evenground.records.importing import import_bundle
from evenground.records.models import Blob, Consent, Instrument, InstrumentCheck, Person, Role
from evenground.studio.deciding import decide
from evenground.studio.links import make_link
from evenground.studio.models import LinkPurpose, School, SchoolMember
from evenground.studio.signing import proposal, sign
from evenground.studio.stock_room import take_stock
from evenground.studio.study_room import take_study
from evenground.studio.tokens import make_token
from tests.studio.browser.live import Live
from tests.studio.browser.photos import hand_photo, side_photo
from tests.studio.test_studies import TEXT

__all__ = ["World", "filled"]


@dataclass(frozen=True, slots=True, kw_only=True)
class World:
    """A studio with something on every page: whose it is, and what the addresses of its pages hold."""

    owner: Person
    holds: dict[str, Any]


def filled(live: Live) -> World:
    owner = Person.objects.create_person("quill", None, name="Quill Marrowby", role=Role.OWNER)
    row = import_bundle(example_bundle(), person=owner)
    sign(row.pk, owner, stamp=_accepted(row.pk, owner), number=1)
    take_stock((example_bundle() / "stock.toml").read_bytes(), "stock.toml", owner)
    bar = Instrument.objects.create(kind="bar", name="hip-line bar")
    InstrumentCheck.objects.create(instrument=bar, person=owner, passed=False, note="1.2 deg apart")
    given = {"kind": "photos", "text_version": "1", "given_by": "the player", "given_on": row.day}
    consent = Consent.objects.create(player=row.player, **given)
    school = School.objects.create(name="May school", day=row.day)
    SchoolMember.objects.create(school=school, visit=row, code="WREN1")
    make_token(owner, row, "the mat's script")
    view, _ = side_photo(row.pk)
    hand_photo(row.pk)
    study = take_study("hip line", TEXT.encode(), "pasted lines", owner)
    return World(
        owner=owner,
        holds={
            "visit_id": row.pk,
            "view": view,
            "player_id": row.player_id,
            "consent_id": consent.pk,
            "school_id": school.pk,
            "instrument_id": bar.pk,
            "study_id": study.pk,
            "person_id": live.person.pk,
            "station": "mat",
            "sheet": "hand-sheet",
            "slug": "hip-line",
            "number": 1,
            "name": "setup-card",
            "sha256": Blob.objects.filter(media_type__contains="parquet").values_list("pk", flat=True)[0],
            "token": make_link(LinkPurpose.SET_PASSWORD, person=live.person),
        },
    )


def _accepted(visit_id: UUID, person: Person) -> str:
    """Accept whatever waits; gives the stamp to sign under."""
    for waiting in proposal(visit_id).waiting:
        accepted = {"choice": "accepted"}
        decide(visit_id, waiting.line, accepted, new_id=uuid4(), at=timezone.now(), person=person)
    return proposal(visit_id).stamp
