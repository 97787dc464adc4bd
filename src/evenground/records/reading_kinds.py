"""The kinds of reading: which check each belongs to, which table it fills in, and its versions.

A reading may hold any part of its table: one field as it is typed, or all of it. Fields named in `keys` say
which entry the part belongs to ("trial 4"); they stand in every reading. Stored payloads are never rewritten:
when a table changes, the kind's version rises and a pure upcaster turns the older payload into the newer.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cache
from typing import Annotated, Any, Literal, Self

from pydantic import Field, create_model, field_validator, model_validator

from evenground.body.sizes import SIDED, SizeName, words
from evenground.capture import routine_tables
from evenground.capture import visit_file as tables
from evenground.capture.body_file import Millimetres, ShoeSize
from evenground.capture.club_file import OwnClubTable
from evenground.capture.fields import Count, Number, Typed, UnreadableFieldError, YesNo, checked
from evenground.errors import RecordsError
from evenground.records.entries import canonical
from evenground.visit import AimWay, Check, Family, Limb, LimbState

__all__ = [
    "KINDS",
    "DataFromNewerVersionError",
    "Kind",
    "UnknownKindError",
    "kind_named",
    "part_of",
]

Payload = Mapping[str, Any]
Repeat = Annotated[Count, Field(ge=1, le=200)]
Mark = Annotated[str, Field(min_length=1, max_length=120)]


class UnknownKindError(RecordsError):
    """A reading of a kind that this version does not know."""

    do = "Update Evenground, or check how the kind is spelled; docs/records.md lists them."

    def __init__(self, kind: str) -> None:
        super().__init__(kind)
        self.where = f"reading of kind {kind!r}"
        self.what = "This kind of reading is not known here."


class DataFromNewerVersionError(RecordsError):
    """A stored reading in a form that a newer Evenground wrote."""

    do = "Update Evenground on this machine; nothing was changed."

    def __init__(self, kind: str, version: int, known: int) -> None:
        super().__init__(kind, version, known)
        self.where = f"reading of kind {kind!r}"
        self.what = f"It has version {version}; this program knows versions up to {known}."


class VisitReading(Typed):
    """What the visit is: its name, day, teacher, and how its stance widths are given."""

    visit: Mark
    date: date
    teacher: Annotated[str, Field(max_length=120)] = ""
    width_convention: tables.Convention = "heel centres"


class SizeReading(Typed):
    """One repeat of one size of the body, of one side where the player's two limbs are told apart."""

    name: SizeName
    repeat: Repeat
    side: Literal["left", "right"] | None = None
    size_mm: Millimetres

    @model_validator(mode="after")
    def _only_limbs_have_sides(self) -> Self:
        if self.side is not None and self.name not in SIDED:
            msg = f"{words(self.name)} has no left and right; leave the side out"
            raise ValueError(msg)
        return self


class MassReading(Typed):
    """The mass of the body."""

    mass_kg: Annotated[float, Field(gt=10, lt=350)]


class ShoeReading(Typed):
    """The size that the player's shoes say, with its system."""

    shoe_size: ShoeSize


class LimbReading(Typed):
    """One limb that is absent, prosthetic or not to be tested; null takes that back."""

    limb: Limb
    state: LimbState | None


class SeatedReading(Typed):
    """Whether the player is measured and plays seated."""

    seated: YesNo


class HandReading(tables.HandTable):
    """One hand, flat."""

    side: Literal["left", "right"]


class OwnClubReading(OwnClubTable):
    """One club as it came in; `club` tells clubs apart, however often the mark on it is corrected."""

    club: Mark


class BallReading(Typed):
    """One repeat of where the ball lies for a family."""

    family: Family
    repeat: Repeat
    inside_lead_heel_mm: Annotated[float, Field(gt=-300, lt=700)] | None = None
    from_toe_line_mm: Annotated[float, Field(gt=-100, lt=1500)] | None = None


class HipLineSetUp(Typed):
    """How the hip line is read in this visit, and the turn that a width has to leave if one is asked for."""

    landmark: Mark
    footwear: Literal["barefoot", "golf shoes"] = "golf shoes"
    hands: Literal["hanging", "on the club"] = "hanging"
    bar_error_deg: Annotated[float, Field(ge=0, le=20)] = 0.0
    turn_at_least_deg: tables.TurnAsked | None = None
    turn_toward: Literal["lead", "trail"] = "trail"


class AllowedWidth(Typed):
    """One width, between heel centres, of the teacher's own list; null takes it off the list."""

    number: Repeat
    width_mm: tables.Width | None


class PostureAngles(tables.PostureTable):
    """One address from the side."""

    repeat: Repeat


class PlacedPoint(Typed):
    """One point that a person placed on a photo, or moved from where it was found; in the photo's pixels."""

    view: Mark
    point: tables.PointName
    x_px: tables.Pixel
    y_px: tables.Pixel


class SidePoint(PlacedPoint):
    """One point of a photo from the side."""

    @field_validator("point")
    @classmethod
    def _known(cls, point: str | None) -> str | None:
        tables.known_points({} if point is None else {point: (0.0, 0.0)})
        return point


class HandPhoto(Typed):
    """One photo of a flat hand, the points found in it, and the plane that they are measured on.

    `picture_to_mm` are the nine numbers, row by row, of the map from the photo's pixels to the plane.
    """

    view: Mark
    side: Literal["left", "right"]
    palm_up: YesNo
    scale: Mark
    photo: Mark
    found: tables.Spots
    picture_to_mm: tuple[Number, Number, Number, Number, Number, Number, Number, Number, Number]
    point_sd_mm: Annotated[float, Field(gt=0, lt=100)]
    scale_relative_sd: Annotated[float, Field(ge=0, lt=1)]
    height: tuple[Number, Number, Number, Number] | None = None
    unknown_height_relative_sd: Annotated[float, Field(ge=0, lt=1)] = 0.0
    palm_mm: Annotated[float, Field(gt=0, lt=200)]
    palm_middle: tuple[Number, Number]
    seen_as: Literal["left", "right"]
    wrist_found: Literal["end", "forearm", "proportion"]


class TurnTrial(tables.TurnTable):
    """One turn to one side."""

    repeat: Repeat


class GripSetUp(Typed):
    """Whether the glove is worn throughout the grip trials."""

    glove: YesNo


class AimSetUp(Typed):
    """How far the target is, how aims are read, and what the hole allows."""

    distance_m: tables.Metres
    way: AimWay = "board"
    read_at_m: tables.Metres | None = None
    dot_at_m: tables.Metres | None = None
    past_m: Annotated[float, Field(ge=0, le=3)] | None = None
    green_m: Annotated[float, Field(ge=0.5, le=8)] | None = None
    hole_mm: Annotated[float, Field(gt=40, lt=400)] | None = None
    face_share: Annotated[float, Field(ge=0.5, le=1)] | None = None


class EyeLineReading(tables.EyeLineTable):
    """One look at where the eyes are."""

    repeat: Repeat


class SkipReading(Typed):
    """A check that is not done, and why."""

    check: Check
    why: Mark


class CardLineReading(Typed):
    """What the teacher decided about one proposed line of the card, and what was proposed then.

    *chosen* puts the teacher's own words, for a width its range too, in the place of the proposal, with the
    reason; *open* takes a decision back.
    """

    line: Annotated[str, Field(min_length=1, max_length=2000)]
    choice: Literal["accepted", "chosen", "open"]
    proposed: Annotated[str, Field(max_length=4000)] = ""
    text: Annotated[str, Field(min_length=1, max_length=160)] | None = None
    reason: Annotated[str, Field(min_length=1, max_length=400)] | None = None
    low_mm: Annotated[float, Field(gt=0, lt=2000)] | None = None
    high_mm: Annotated[float, Field(gt=0, lt=2000)] | None = None
    between: Literal["inside edges", "heel centres"] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """One kind of reading.

    `keys` name the fields that tell its entries apart; `number` the one among them that only counts, so that
    an entry moved to another visit may take the next free number there. `upcasters[v]` turns version v into
    v + 1. `files` are the fields that name a stored file.
    """

    name: str
    check: Check | Literal["visit"]
    table: type[Typed]
    keys: tuple[str, ...] = ()
    number: str | None = None
    files: tuple[str, ...] = ()
    version: int = 1
    upcasters: Mapping[int, Callable[[Payload], dict[str, Any]]] = field(default_factory=dict)

    def key_of(self, payload: Payload) -> tuple[Any, ...]:
        """Which entry of its kind a payload belongs to; a key left out has its table's default."""
        fields = self.table.model_fields
        return tuple(payload.get(name, fields[name].default) for name in self.keys)

    def upcast(self, version: int, payload: Payload) -> dict[str, Any]:
        """The payload in the current version; the stored one is left as it is.

        Raises
        ------
        DataFromNewerVersionError
            When it was written by a newer Evenground.
        """
        if version > self.version:
            raise DataFromNewerVersionError(self.name, version, self.version)
        current = dict(payload)
        for step in range(version, self.version):
            current = self.upcasters[step](current)
        return current

    def checked(self, payload: object) -> dict[str, Any]:
        """The payload as it is stored: sizes in their unit, only what was given.

        Raises
        ------
        UnreadableFieldError
            When a field is unknown or its value not allowed, when a key is missing, or when nothing besides
            the keys is given.
        """
        part = checked(part_of(self.table), payload, file=self.name)
        given = part.model_dump(mode="json", exclude_unset=True)
        required = {n for n in self.keys if self.table.model_fields[n].is_required()}
        for missing in sorted(required - set(given)):
            raise UnreadableFieldError(
                self.name, missing, "This is missing", "It says which entry the reading belongs to"
            )
        if not set(given) - set(self.keys):
            fields = ", ".join(n for n in self.table.model_fields if n not in self.keys)
            raise UnreadableFieldError(self.name, "", "The reading holds no value", f"Give one of {fields}")
        _refuse_unstorable(self.name, given)
        return given

    def files_in(self, payload: Payload) -> tuple[str, ...]:
        """The names of the files that a payload names."""
        return tuple(payload[name] for name in self.files if payload.get(name) is not None)


def _refuse_unstorable(kind: str, payload: Payload) -> None:
    """Text that a database cannot hold: NUL, or half of a surrogate pair."""
    for name, value in payload.items():
        try:
            text = canonical(value)
            storable = "\\u0000" not in text and bool(text.encode())
        except UnicodeEncodeError:
            storable = False
        if not storable:
            raise UnreadableFieldError(
                kind, name, "This text holds a character that cannot be stored", "Type it again without it"
            )


@cache
def part_of(table: type[Typed]) -> type[Typed]:
    """The same table with nothing required: what one reading may hold of it."""
    parts: dict[str, Any] = {
        name: (Annotated[(info.annotation, *info.metadata)] if info.metadata else info.annotation, None)
        for name, info in table.model_fields.items()
    }
    return create_model(f"{table.__name__}Part", __base__=Typed, **parts)


_ALL = (
    Kind(name="visit", check="visit", table=VisitReading),
    Kind(name="player", check="visit", table=tables.PlayerTable),
    Kind(name="shoes", check="visit", table=tables.ShoesTable),
    Kind(name="safety", check="safety", table=tables.SafetyTable),
    Kind(name="as arrived", check="as arrived", table=tables.AsArrivedTable, keys=("family",)),
    Kind(
        name="body size",
        check="body",
        table=SizeReading,
        keys=("name", "repeat", "side"),
        number="repeat",
    ),
    Kind(name="body mass", check="body", table=MassReading),
    Kind(name="shoe size", check="body", table=ShoeReading),
    Kind(name="limb", check="body", table=LimbReading, keys=("limb",)),
    Kind(name="seated", check="body", table=SeatedReading),
    Kind(name="hand", check="hands", table=HandReading, keys=("side",)),
    Kind(name="hand photo", check="hands", table=HandPhoto, keys=("view",), files=("photo",)),
    Kind(name="hand point", check="hands", table=PlacedPoint, keys=("view", "point")),
    Kind(name="own club", check="own clubs", table=OwnClubReading, keys=("club",)),
    Kind(name="ball", check="ball", table=BallReading, keys=("family", "repeat"), number="repeat"),
    Kind(
        name="placement",
        check="ground",
        table=tables.GroundTable,
        keys=("recording",),
        files=("recording", "layout"),
    ),
    Kind(name="hip-line set-up", check="hip line", table=HipLineSetUp),
    Kind(name="allowed width", check="hip line", table=AllowedWidth, keys=("number",), number="number"),
    Kind(
        name="hip-line trial",
        check="hip line",
        table=tables.HipLineTrialTable,
        keys=("trial",),
        number="trial",
    ),
    Kind(name="posture", check="posture", table=PostureAngles, keys=("family", "repeat"), number="repeat"),
    Kind(name="side view", check="posture", table=tables.SideViewTable, keys=("view",), files=("photo",)),
    Kind(name="side point", check="posture", table=SidePoint, keys=("view", "point")),
    Kind(name="turn", check="turn", table=TurnTrial, keys=("toward", "repeat", "part"), number="repeat"),
    Kind(name="grip set-up", check="grip", table=GripSetUp),
    Kind(
        name="grip trial",
        check="grip",
        table=tables.GripTrialTable,
        keys=("pair", "club", "grip", "hand"),
        number="pair",
    ),
    Kind(name="aim set-up", check="aim", table=AimSetUp),
    Kind(
        name="aim trial",
        check="aim",
        table=tables.AimTrialTable,
        keys=("condition", "trial"),
        number="trial",
    ),
    Kind(name="eye line", check="aim", table=EyeLineReading, keys=("repeat",), number="repeat"),
    Kind(
        name="full-swing aim",
        check="aim",
        table=tables.FullSwingTable,
        keys=("club", "trial"),
        number="trial",
    ),
    Kind(
        name="routine",
        check="hip line",
        table=routine_tables.RoutineRunTable,
        keys=("run",),
        number="run",
    ),
    Kind(
        name="held load",
        check="ground",
        table=routine_tables.HeldLoadTable,
        keys=("pair",),
        number="pair",
        files=("without_recording", "with_recording"),
    ),
    Kind(
        name="aim practice",
        check="aim",
        table=routine_tables.PracticeTable,
        keys=("entry",),
        number="entry",
    ),
    Kind(name="cue choice", check="visit", table=routine_tables.CueChoiceTable),
    Kind(name="skip", check="visit", table=SkipReading, keys=("check",)),
    Kind(name="card line", check="visit", table=CardLineReading, keys=("line",)),
)

KINDS: Mapping[str, Kind] = {kind.name: kind for kind in _ALL}


def kind_named(name: str) -> Kind:
    """The kind of that name.

    Raises
    ------
    UnknownKindError
        When there is none.
    """
    kind = KINDS.get(name)
    if kind is None:
        raise UnknownKindError(name)
    return kind
