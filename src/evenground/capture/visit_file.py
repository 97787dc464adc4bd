"""`visit.toml`: what was typed during one visit, read through pydantic into the shapes of `visit.py`.

Every length, mass and angle may be given as a number under its full name (``width_mm = 412``) or as text
under the short one (``width = "16 1/4 in"``). Stance widths are between heel centres unless the file says
``width_convention = "inside"`` or ``"outside"``; then the shoes' heel breadth must be known, and converts
them.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Annotated, Any, Literal, Self

from pydantic import Field, field_validator, model_validator

from evenground.capture.body_file import BodyTable
from evenground.capture.club_file import OwnClubTable
from evenground.capture.fields import Count, Short, Typed, YesNo
from evenground.capture.routine_tables import (
    CueChoiceTable,
    HeldLoadTable,
    PracticeTable,
    RoutineRunTable,
    extras_from,
)
from evenground.errors import CaptureError
from evenground.floor import Side
from evenground.measure.posture_view import SIDE_POINTS
from evenground.visit import (
    AimCheck,
    AimTrial,
    AimWay,
    AsArrived,
    BallPlace,
    Check,
    EyeLine,
    Family,
    Footwear,
    FullSwingAim,
    GripCheck,
    GripHand,
    GripTrial,
    HandsAt,
    HandSize,
    HipLineCheck,
    HipLineTrial,
    OwnClub,
    Phase,
    Placement,
    Player,
    PostureReading,
    PostureView,
    Screening,
    Shoes,
    StanceTime,
    TurnPart,
    TurnReading,
    Visit,
)

__all__ = ["BodyTable", "VisitFile", "WidthConventionError", "WidthTooSmallError", "visit_from"]

LEAST_WIDTH_MM = 50.0
"""Two feet side by side stand further apart than this between their heel centres (ours)."""
Width = Annotated[float, Field(gt=LEAST_WIDTH_MM, lt=1500)]
Angle = Annotated[float, Field(ge=-90, le=90)]
ReadingError = Annotated[float, Field(ge=0, lt=20)]
Convention = Literal["heel centres", "inside", "outside"]
HAND_SE_MM = 1.5
"""Error of a hand measured once with a rule, wrist crease to fingertip (ours)."""


class WidthConventionError(CaptureError):
    """Widths were typed between shoe edges, but the shoes' heel breadth is not there to convert them."""

    do = "Give shoes.heel_breadth_mm, or type the widths between heel centres."

    def __init__(self, where: str, convention: str) -> None:
        super().__init__(where, convention)
        self.where = where
        self.what = f"Widths are given between {convention} edges, but the shoes' heel breadth is missing."


class WidthTooSmallError(CaptureError):
    """A width typed between shoe edges that leaves no room between the heel centres."""

    do = "Check the width, its unit, and width_convention."

    def __init__(self, where: str, field: str, typed_mm: float, heel_centres_mm: float) -> None:
        super().__init__(where, field, typed_mm, heel_centres_mm)
        self.where = f"{where}, {field}"
        self.what = (
            f"{typed_mm:g} mm gives {heel_centres_mm:g} mm between heel centres in these shoes; "
            f"more than {LEAST_WIDTH_MM:g} mm is needed."
        )


class PlayerTable(Typed):
    """The ``[player]`` table."""

    name: Short
    handed: Literal["right", "left"]
    birth_year: Annotated[Count, Field(ge=1900, le=2100)] | None = None
    reference: Literal["women", "men"] | None = None


class ShoesTable(Typed):
    """The ``[shoes]`` table: the outsole's length, and its breadth at the heel."""

    name: Short = "own golf shoes"
    length_mm: Annotated[float, Field(gt=150, lt=420)] | None = None
    heel_breadth_mm: Annotated[float, Field(gt=30, lt=130)] | None = None


class SafetyTable(Typed):
    """The ``[safety]`` table."""

    screening: Screening


class AsArrivedTable(Typed):
    """One ``[[as_arrived]]`` entry: the own stance of a family."""

    family: Family
    width_mm: Width
    toe_out_lead_deg: Angle | None = None
    toe_out_trail_deg: Angle | None = None


class HandTable(Typed):
    """The ``[hands.left]`` or ``[hands.right]`` table."""

    length_mm: Annotated[float, Field(gt=80, lt=280)]
    palm_length_mm: Annotated[float, Field(gt=40, lt=180)]
    se_mm: Annotated[float, Field(gt=0, lt=20)] = HAND_SE_MM
    glove: YesNo = False
    sore: YesNo = False

    @model_validator(mode="after")
    def _palm_is_part_of_the_hand(self) -> Self:
        if self.palm_length_mm >= self.length_mm:
            palm, hand = f"{self.palm_length_mm:g} mm", f"{self.length_mm:g} mm"
            msg = f"The palm length {palm} is not shorter than the hand's length {hand}"
            raise ValueError(msg)
        return self


class HandsTable(Typed):
    """The ``[hands]`` table."""

    left: HandTable | None = None
    right: HandTable | None = None


class BallTable(Typed):
    """One ``[[ball]]`` entry: repeats of the ball's place for a family."""

    family: Family
    inside_lead_heel_mm: tuple[Annotated[float, Field(gt=-300, lt=700)], ...]
    from_toe_line_mm: tuple[Annotated[float, Field(gt=-100, lt=1500)], ...] = ()


class GroundTable(Typed):
    """One ``[[ground]]`` entry: a placement and its recording."""

    recording: Short
    layout: Short | None = None
    footwear: Footwear
    stance: StanceTime
    family: Family | None = None


TurnAsked = Annotated[float, Field(ge=1, le=150)]


class HipLineTrialTable(Typed):
    """One ``[[hip_line.trials]]`` entry."""

    trial: Annotated[Count, Field(ge=1, le=200)]
    width_mm: Width
    hip_line_deg: Angle
    heel_line_deg: Angle | None = None
    family: Family | None = None
    phase: Phase = "before"
    confirms: YesNo = False
    footwear: Footwear | None = None
    hands: HandsAt | None = None
    toe_out_deg: Annotated[float, Field(ge=-30, le=60)] | None = None
    ball_mm: Annotated[float, Field(gt=-300, lt=700)] | None = None
    se_deg: ReadingError | None = None
    shared_se_deg: ReadingError | None = None


class HipLineTable(Typed):
    """The ``[hip_line]`` table."""

    landmark: Short
    footwear: Footwear = "golf shoes"
    hands: HandsAt = "hanging"
    bar_error_deg: Annotated[float, Field(ge=0, le=20)] = 0.0
    allowed_mm: Annotated[tuple[Width, ...], Field(max_length=20)] = ()
    turn_at_least_deg: TurnAsked | None = None
    turn_toward: Literal["lead", "trail"] = "trail"
    trials: tuple[HipLineTrialTable, ...] = ()


class PostureTable(Typed):
    """One ``[[posture]]`` entry: one address from the side."""

    family: Family
    trunk_deg: Annotated[float, Field(gt=-20, lt=100)] | None = None
    thigh_deg: Angle | None = None
    knee_flex_lead_deg: Annotated[float, Field(gt=-20, lt=120)] | None = None
    knee_flex_trail_deg: Annotated[float, Field(gt=-20, lt=120)] | None = None
    arm_hang_deg: Angle | None = None


PointName = Annotated[str, Field(min_length=1, max_length=40)]
Pixel = Annotated[float, Field(ge=-20_000, le=20_000, allow_inf_nan=False)]
Spots = dict[PointName, tuple[Pixel, Pixel]]


class SideViewTable(Typed):
    """One photo from the side: what it shows, and the points that the program found in it."""

    view: Short
    family: Family
    side: Side
    repeat: Annotated[Count, Field(ge=1, le=200)] = 1
    photo: Short | None = None
    length_mm: Annotated[float, Field(gt=10, lt=10_000)] | None = None
    length_error_mm: Annotated[float, Field(ge=0, lt=1000)] = 1.0
    found: Spots = Field(default_factory=dict)

    @field_validator("found")
    @classmethod
    def _known(cls, spots: Spots) -> Spots:
        return known_points(spots)


class PostureViewTable(SideViewTable):
    """One ``[[posture_views]]`` entry: the photo, and the points that a person placed on it."""

    placed: Spots = Field(default_factory=dict)

    @field_validator("placed")
    @classmethod
    def _known_too(cls, spots: Spots) -> Spots:
        return known_points(spots)


def known_points(spots: Spots) -> Spots:
    """The same points; refuses a name that no side view has."""
    if unknown := sorted(set(spots) - set(SIDE_POINTS)):
        msg = f"Nobody knows a point called {unknown[0]}"
        raise ValueError(msg)
    return spots


class TurnTable(Typed):
    """One ``[[turn]]`` entry."""

    toward: Literal["lead", "trail"]
    turn_deg: Annotated[float, Field(ge=0, le=180)]
    stopped_by_pain: YesNo = False
    part: TurnPart = "trunk"
    width_mm: Width | None = None
    trunk_deg: Annotated[float, Field(gt=-20, lt=100)] | None = None
    knee_flex_deg: Annotated[float, Field(gt=-20, lt=120)] | None = None


class GripTrialTable(Typed):
    """One ``[[grip.trials]]`` entry."""

    pair: Annotated[Count, Field(ge=1)]
    club: Short
    grip: Literal["own", "proposed"]
    hip_line_deg: Angle
    hand: GripHand = "both"
    knee_flex_lead_deg: Annotated[float, Field(gt=-20, lt=120)] | None = None
    knee_flex_trail_deg: Annotated[float, Field(gt=-20, lt=120)] | None = None
    glove: YesNo | None = None


class GripTable(Typed):
    """The ``[grip]`` table."""

    glove: YesNo = True
    trials: tuple[GripTrialTable, ...] = ()


Offset = Annotated[float, Field(gt=-3000, lt=3000)]
FaceAngle = Annotated[float, Field(gt=-45, lt=45)]
Metres = Annotated[float, Field(gt=0.3, lt=30)]


class AimTrialTable(Typed):
    """One ``[[aim.trials]]`` entry: an offset or a dot, + right as seen from behind the ball, or an angle."""

    trial: Annotated[Count, Field(ge=1)]
    offset_mm: Offset | None = None
    condition: Short = "as arrived"
    dot_mm: Offset | None = None
    face_deg: FaceAngle | None = None
    se_deg: ReadingError | None = None
    shared_se_deg: ReadingError | None = None

    @model_validator(mode="after")
    def _read_in_one_way(self) -> Self:
        _refuse_ways({n: getattr(self, n) for n in ("offset_mm", "dot_mm", "face_deg")})
        return self


class EyeLineTable(Typed):
    """One ``[[aim.eyes]]`` entry: + beyond the ball; + open."""

    offset_mm: Annotated[float, Field(gt=-500, lt=500)] | None = None
    direction_deg: FaceAngle | None = None

    @model_validator(mode="after")
    def _holds_something(self) -> Self:
        if self.offset_mm is None and self.direction_deg is None:
            msg = "Neither offset_mm nor direction_deg is given"
            raise ValueError(msg)
        return self


class FullSwingTable(Typed):
    """One ``[[aim.full_swing]]`` entry."""

    trial: Annotated[Count, Field(ge=1)]
    club: Short
    target_m: Annotated[float, Field(gt=10, lt=400)]
    offset_mm: Offset | None = None
    face_deg: FaceAngle | None = None

    @model_validator(mode="after")
    def _read_in_one_way(self) -> Self:
        _refuse_ways({n: getattr(self, n) for n in ("offset_mm", "face_deg")})
        return self


def _refuse_ways(ways: Mapping[str, float | None]) -> None:
    """One aim is read in one way: not in none, and not in two."""
    given = [name for name, value in ways.items() if value is not None]
    if len(given) != 1:
        names = list(ways)
        found = " and ".join(given) or "none"
        msg = f"One of {', '.join(names[:-1])} or {names[-1]} says where the face pointed; {found} is given"
        raise ValueError(msg)


class AimTable(Typed):
    """The ``[aim]`` table."""

    distance_m: Metres
    trials: tuple[AimTrialTable, ...] = ()
    way: AimWay = "board"
    read_at_m: Metres | None = None
    dot_at_m: Metres | None = None
    past_m: Annotated[float, Field(ge=0, le=3)] | None = None
    green_m: Annotated[float, Field(ge=0.5, le=8)] | None = None
    hole_mm: Annotated[float, Field(gt=40, lt=400)] | None = None
    face_share: Annotated[float, Field(ge=0.5, le=1)] | None = None
    eyes: tuple[EyeLineTable, ...] = ()
    full_swing: tuple[FullSwingTable, ...] = ()


class VisitFile(Typed):
    """The whole of `visit.toml`."""

    format: Literal[1]
    visit: Short
    date: date
    teacher: str = ""
    width_convention: Convention = "heel centres"
    player: PlayerTable
    shoes: ShoesTable | None = None
    safety: SafetyTable | None = None
    as_arrived: tuple[AsArrivedTable, ...] = ()
    body: BodyTable | None = None
    hands: HandsTable | None = None
    own_clubs: tuple[OwnClubTable, ...] = ()
    ball: tuple[BallTable, ...] = ()
    ground: tuple[GroundTable, ...] = ()
    hip_line: HipLineTable | None = None
    posture: tuple[PostureTable, ...] = ()
    posture_views: tuple[PostureViewTable, ...] = ()
    turn: tuple[TurnTable, ...] = ()
    grip: GripTable | None = None
    aim: AimTable | None = None
    routine: tuple[RoutineRunTable, ...] = ()
    held_load: tuple[HeldLoadTable, ...] = ()
    practice: tuple[PracticeTable, ...] = ()
    cue_choice: CueChoiceTable | None = None
    skipped: dict[Check, Short] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _each_once(self) -> Self:
        _refuse_repeats("as_arrived", "family", [a.family for a in self.as_arrived])
        _refuse_repeats("ball", "family", [b.family for b in self.ball])
        _refuse_repeats("own_clubs", "mark", [c.mark for c in self.own_clubs])
        _refuse_repeats("routine", "run", [r.run for r in self.routine])
        _refuse_repeats("held_load", "pair", [p.pair for p in self.held_load])
        _refuse_repeats("practice", "entry", [p.entry for p in self.practice])
        _refuse_repeats("posture_views", "view", [v.view for v in self.posture_views])
        trials = () if self.hip_line is None else self.hip_line.trials
        _refuse_repeats("hip_line.trials", "trial", [t.trial for t in trials])
        return self


def _refuse_repeats(table: str, key: str, values: Sequence[str | int]) -> None:
    for value, times in Counter(values).items():
        if times > 1:
            msg = f"The {key} {value} stands {times} times in {table}; each may stand once"
            raise ValueError(msg)


def _heel_centres(file: VisitFile, where: str) -> float:
    """What to add to a typed width to get heel centres."""
    if file.width_convention == "heel centres":
        return 0.0
    breadth = file.shoes.heel_breadth_mm if file.shoes is not None else None
    if breadth is None:
        raise WidthConventionError(where, file.width_convention)
    return breadth if file.width_convention == "inside" else -breadth


def _refuse_small_widths(file: VisitFile, add_mm: float, where: str) -> None:
    typed = [(f"as_arrived {i}, width_mm", a.width_mm) for i, a in enumerate(file.as_arrived, start=1)]
    trials = () if file.hip_line is None else file.hip_line.trials
    typed += [(f"hip_line, trials {i}, width_mm", t.width_mm) for i, t in enumerate(trials, start=1)]
    turns = [(i, t.width_mm) for i, t in enumerate(file.turn, start=1)]
    typed += [(f"turn {i}, width_mm", width_mm) for i, width_mm in turns if width_mm is not None]
    for field, width_mm in typed:
        if width_mm + add_mm <= LEAST_WIDTH_MM:
            raise WidthTooSmallError(where, field, width_mm, width_mm + add_mm)


def _hands(table: HandsTable | None) -> tuple[HandSize, ...]:
    sides: Mapping[Literal["left", "right"], HandTable | None]
    sides = {"left": table.left, "right": table.right} if table is not None else {}
    return tuple(HandSize(side=s, **dict(t)) for s, t in sides.items() if t is not None)


def _hip_line(table: HipLineTable | None, add_mm: float) -> HipLineCheck | None:
    if table is None:
        return None
    trials = tuple(
        HipLineTrial(**{**dict(t), "width_mm": t.width_mm + add_mm})
        for t in sorted(table.trials, key=lambda t: t.trial)
    )
    return HipLineCheck(**{**dict(table), "trials": trials})


def _turn(table: TurnTable, add_mm: float) -> TurnReading:
    width_mm = None if table.width_mm is None else table.width_mm + add_mm
    return TurnReading(**{**dict(table), "width_mm": width_mm})


def _aim(table: AimTable | None) -> AimCheck | None:
    if table is None:
        return None
    made: dict[str, Any] = {
        "trials": tuple(AimTrial(**dict(t)) for t in table.trials),
        "eyes": tuple(EyeLine(**dict(t)) for t in table.eyes),
        "full_swing": tuple(FullSwingAim(**dict(t)) for t in table.full_swing),
    }
    return AimCheck(**{**dict(table), **made})


def visit_from(file: VisitFile, *, where: str = "visit.toml") -> Visit:
    """The visit that a checked `visit.toml` describes, widths converted to heel centres.

    Raises
    ------
    WidthConventionError
        When widths are between shoe edges and the shoes' heel breadth is missing.
    WidthTooSmallError
        When a width between shoe edges leaves no room between the heel centres.
    """
    widths = file.as_arrived or file.hip_line or any(t.width_mm is not None for t in file.turn)
    add_mm = _heel_centres(file, where) if widths else 0.0
    _refuse_small_widths(file, add_mm, where)
    return Visit(
        visit=file.visit,
        day=file.date,
        teacher=file.teacher,
        player=Player(**dict(file.player)),
        screening=file.safety.screening if file.safety is not None else None,
        shoes=Shoes(**dict(file.shoes)) if file.shoes is not None else None,
        as_arrived=tuple(AsArrived(**{**dict(a), "width_mm": a.width_mm + add_mm}) for a in file.as_arrived),
        body=file.body.check() if file.body is not None else None,
        hands=_hands(file.hands),
        own_clubs=tuple(OwnClub(**dict(c)) for c in file.own_clubs),
        ball=tuple(BallPlace(**dict(b)) for b in file.ball),
        ground=tuple(Placement(**dict(g)) for g in file.ground),
        hip_line=_hip_line(file.hip_line, add_mm),
        posture=tuple(PostureReading(**dict(p)) for p in file.posture),
        posture_views=tuple(PostureView(**dict(v)) for v in file.posture_views),
        turn=tuple(_turn(t, add_mm) for t in file.turn),
        grip=GripCheck(glove=file.grip.glove, trials=tuple(GripTrial(**dict(t)) for t in file.grip.trials))
        if file.grip is not None
        else None,
        aim=_aim(file.aim),
        **extras_from(file),
        skipped=file.skipped,
    )
