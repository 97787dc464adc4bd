"""An invented studio to look around in: the example visit, and a few more players in mixed states today."""

import shutil
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any
from uuid import NAMESPACE_URL, UUID, uuid5

from evenground.studio.serving import DEFAULT_PORT, Wanted, leave_when_told, run, start

__all__ = ["fill_demo_studio", "open_demo_studio"]

Said = tuple[tuple[str, dict[str, Any]], ...]

_WIDTHS = (("putter", 262.0, 4.0, 6.0), ("irons", 412.0, 9.0, 5.0), ("woods", 468.0, 14.0, 6.0))
"""As arrived: heel centres and the toe-out of each foot, all invented."""
_TRIALS = ((240.0, -3.1), (480.0, 2.2), (360.0, 4.3), (300.0, 1.4), (430.0, 3.0))
"""Hip-line trials before the routine: width and hips open, invented."""

_OPEN_VISIT: Said = (
    ("shoes", {"name": "own golf shoes", "length_mm": 302.0, "heel_breadth_mm": 71.0}),
    ("safety", {"screening": "cleared"}),
    *(
        (
            "as arrived",
            {"family": family, "width_mm": width, "toe_out_lead_deg": lead, "toe_out_trail_deg": trail},
        )
        for family, width, lead, trail in _WIDTHS
    ),
    ("body size", {"name": "stature", "repeat": 1, "size_mm": 1812.0}),
    ("body size", {"name": "stature", "repeat": 2, "size_mm": 1814.0}),
    ("body mass", {"mass_kg": 84.5}),
    ("hand", {"side": "left", "length_mm": 196.0, "palm_length_mm": 112.0}),
    ("hand", {"side": "right", "length_mm": 197.0, "palm_length_mm": 112.0}),
    ("hip-line set-up", {"landmark": "back of the pelvis"}),
    *(
        ("hip-line trial", {"phase": "before", "trial": number, "width_mm": width, "hip_line_deg": angle})
        for number, (width, angle) in enumerate(_TRIALS, start=1)
    ),
)
_YOUNG_VISIT: Said = (
    ("safety", {"screening": "cleared"}),
    ("body size", {"name": "stature", "repeat": 1, "size_mm": 1548.0}),
)
_SEATED_VISIT: Said = (
    ("safety", {"screening": "measuring only"}),
    ("seated", {"seated": True}),
    ("limb", {"limb": "left arm", "state": "absent"}),
    ("hand", {"side": "right", "length_mm": 184.0, "palm_length_mm": 105.0}),
)


def fill_demo_studio() -> str:
    """Fill empty records with the invented studio; gives the secret of a link that signs in its owner."""
    from evenground.capture.fields import load_toml
    from evenground.capture.studio_file import StudioFile
    from evenground.example import example_bundle
    from evenground.records.importing import import_bundle
    from evenground.records.models import Person, Role
    from evenground.records.visits import use_snapshot
    from evenground.studio.demo_instruments import fill_demo_instruments
    from evenground.studio.links import make_link
    from evenground.studio.models import LinkPurpose
    from evenground.studio.stock_room import take_stock

    owner = Person.objects.create_person("wren", None, name="Wren Aldercote", role=Role.OWNER)
    Person.objects.create_person("tamsel", None, name="Tamsel Oakhurn", role=Role.TEACHER)
    Person.objects.create_person("pim", None, name="Pim Ferrowick", role=Role.ASSISTANT)
    bundle = example_bundle()
    use_snapshot(load_toml(bundle / "studio.toml", StudioFile).model_copy(update={"stock": None}))
    take_stock((bundle / "stock.toml").read_bytes(), "stock.toml", owner)
    import_bundle(bundle, person=owner)
    fill_demo_instruments(owner)
    _players(owner)
    return make_link(LinkPurpose.SIGN_IN, person=owner, minutes=24 * 60)


def _players(owner: Any) -> None:
    """Players of today: one half-way, a minor without a guardian's consent, one seated, one late."""
    from evenground.records.models import Player
    from evenground.studio.days import today_here

    year = today_here().year
    half_way = Player.objects.create(
        name="Odo Fennimark", handed="left", birth_year=1979, reference="men", email="odo@fennimark.example"
    )
    young = Player.objects.create(
        name="Maren Quillby",
        handed="right",
        birth_year=year - 14,
        reference="women",
        guardian_name="Hesper Quillby",
        guardian_email="hesper@quillby.example",
    )
    seated = Player.objects.create(name="Ruan Sedgecomb", handed="right", birth_year=1968, reference="men")
    visits = [
        _visit(player, said, owner)
        for player, said in ((half_way, _OPEN_VISIT), (young, _YOUNG_VISIT), (seated, _SEATED_VISIT))
    ]
    late = Player.objects.create(name="Tessaly Brookmere", handed="right")
    _school([*visits, _visit(late, (), owner)], owner)


def _school(visits: list[Any], person: Any) -> None:
    """A school of today's players: one at the hip line, one at the desk, one waiting, one not here yet."""
    from evenground.studio.days import today_here
    from evenground.studio.models import School, SchoolEvent, SchoolMember
    from evenground.studio.roster import make_code

    school = School.objects.create(name="Short school", day=today_here())
    members = [SchoolMember.objects.create(school=school, visit=v, code=make_code()) for v in visits]
    half_way, young, seated, _ = members
    for member, what, station in (
        (half_way, "came", ""),
        (half_way, "done", "desk"),
        (half_way, "at", "hip-line"),
        (young, "came", ""),
        (young, "at", "desk"),
        (seated, "came", ""),
    ):
        SchoolEvent.objects.create(member=member, what=what, station=station, person=person)


def _visit(player: Any, said: Said, person: Any) -> Any:
    """Start today's visit and append what was read."""
    from django.utils import timezone

    from evenground.records.entries import Entry
    from evenground.records.log import append
    from evenground.records.reading_kinds import kind_named
    from evenground.records.visits import start_visit
    from evenground.studio.days import today_here

    visit = start_visit(player, day=today_here(), teacher=person.name, person=person)
    for number, (kind, payload) in enumerate(said):
        entry = Entry(
            id=_named(visit.pk, number),
            kind=kind,
            version=kind_named(kind).version,
            payload=payload,
            at=timezone.now(),
            by=person.name,
        )
        append(visit.pk, entry, person=person)
    return visit


def _named(visit_id: UUID, number: int) -> UUID:
    return uuid5(NAMESPACE_URL, f"{visit_id}/{number}")


def open_demo_studio(
    *, port: int = DEFAULT_PORT, say: Callable[[str], None] = print, folder: Path | None = None
) -> None:
    """Serve the invented studio until it is stopped; its data folder goes away with it unless one is named.

    Raises
    ------
    PortInUseError
        When something listens at the port already.
    """
    leave_when_told()
    place = folder or Path(tempfile.mkdtemp(prefix="evenground-demo-"))
    try:
        started = start(Wanted(folder=place, port=port))
        token = fill_demo_studio()
        lines = (
            f"The invented studio is open at {started.address}",
            f"Sign in once with {started.address}/link/{token}",
            "Ctrl-C closes it and throws its data away." if folder is None else f"Its data stay in {place}.",
        )
        run(started, ready=lambda: say("\n".join(lines)))
    finally:
        if folder is None:
            shutil.rmtree(place, ignore_errors=True)
