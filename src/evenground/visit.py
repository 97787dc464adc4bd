"""A visit: one player on one day, as typed checks holding trials; plain frozen shapes that every room shares.

Everything here is what was *entered or recorded*; what was worked out from it stands in `findings.py`.
Widths are between heel centres, angles follow `floor.py` (stored + open), lengths are millimetres, masses
kilograms.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Literal

from evenground.floor import Handed, Side
from evenground.instruments import Instrument
from evenground.library import CueLibrary, Routine, RoutineVersion

__all__ = [
    "CHECKS",
    "FAMILIES",
    "PHASES",
    "AimCheck",
    "AimPractice",
    "AimTrial",
    "AimWay",
    "AsArrived",
    "BallPlace",
    "BodyCheck",
    "BodySize",
    "Check",
    "CueChoice",
    "EyeLine",
    "Family",
    "Footwear",
    "FullSwingAim",
    "Glove",
    "GripCheck",
    "GripHand",
    "GripStyle",
    "GripTrial",
    "HandSize",
    "HandsAt",
    "HeldLoadPair",
    "HipLineCheck",
    "HipLineTrial",
    "Limb",
    "LimbState",
    "OwnClub",
    "Phase",
    "Placement",
    "Player",
    "PostureReading",
    "PostureView",
    "RoutineRun",
    "Shoes",
    "StanceTime",
    "StudioErrors",
    "StudioGripModel",
    "StudioSettings",
    "StudioSnapshot",
    "TurnPart",
    "TurnReading",
    "Visit",
]

Family = Literal["putter", "irons", "woods"]
"""A club family: clubs that share one stance width."""

FAMILIES: tuple[Family, ...] = ("putter", "irons", "woods")

Check = Literal[
    "safety",
    "as arrived",
    "body",
    "hands",
    "own clubs",
    "ball",
    "ground",
    "hip line",
    "posture",
    "turn",
    "grip",
    "aim",
]
"""One kind of measurement, in the order of the hour."""

CHECKS: tuple[Check, ...] = (
    "safety",
    "as arrived",
    "body",
    "hands",
    "own clubs",
    "ball",
    "ground",
    "hip line",
    "posture",
    "turn",
    "grip",
    "aim",
)

Phase = Literal["before", "rested", "after"]
"""Before the short hip routine, after a rest as long as it and nothing else, or after the routine."""

PHASES: tuple[Phase, ...] = ("before", "rested", "after")
"""In the order in which they are taken."""

Footwear = Literal["barefoot", "golf shoes"]

HandsAt = Literal["hanging", "on the club"]
"""Where the hands are while the hip line is read."""

StanceTime = Literal["as arrived", "fitted"]
"""The player's own stance, or the one that the visit led to."""

GripStyle = Literal["usual", "cross-handed", "split", "lead hand only", "trail hand only"]
"""Which hand is the upper one: the lead hand as usual, also when the hands are split; else the trail hand."""

Glove = Literal["none", "lead", "trail", "both"]
"""Which hand wears a glove on this club."""

Limb = Literal[
    "left arm", "right arm", "left hand", "right hand", "left leg", "right leg", "left foot", "right foot"
]
LimbState = Literal["absent", "prosthetic", "not tested"]

Screening = Literal["cleared", "measuring only"]
"""All that is stored of the screening; never the reason."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Player:
    """The person measured. `reference` names the survey table their sizes are compared with, if any."""

    name: str
    handed: Handed
    birth_year: int | None = None
    reference: Literal["women", "men"] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Shoes:
    """The shoes the stance is taught in: outsole length, and outsole breadth at the heel."""

    name: str
    length_mm: float | None = None
    heel_breadth_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class AsArrived:
    """The player's own stance for one family before any coaching; width between heel centres."""

    family: Family
    width_mm: float
    toe_out_lead_deg: float | None = None
    toe_out_trail_deg: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BodySize:
    """One ISO 7250-1 size with its repeats; `side` where the size has one."""

    name: str
    readings_mm: tuple[float, ...]
    side: Side | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyCheck:
    """Sizes and mass of the body, and limbs that are absent, prosthetic or not to be tested.

    `shoe_size` is what the shoe says, with its system ("EU 42"): no measure, but better than nothing.
    """

    sizes: tuple[BodySize, ...] = ()
    mass_kg: float | None = None
    limbs: Mapping[Limb, LimbState] = field(default_factory=dict)
    seated: bool = False
    shoe_size: str | None = None

    def mean_mm(self, name: str) -> float | None:
        """Mean of all readings of one size, or None when it was not taken."""
        readings = [r for size in self.sizes if size.name == name for r in size.readings_mm]
        return sum(readings) / len(readings) if readings else None


@dataclass(frozen=True, slots=True, kw_only=True)
class HandSize:
    """One hand, flat: hand length and palm length from the wrist crease; middle finger is hand minus palm.

    `sore` says that comfort outranks size for this hand; never why.
    """

    side: Side
    length_mm: float
    palm_length_mm: float
    se_mm: float
    glove: bool = False
    sore: bool = False

    @property
    def finger_mm(self) -> float:
        """Middle finger as hand length minus palm length."""
        return self.length_mm - self.palm_length_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnClub:
    """One club as it came in. A missing butt means that no tape layers can be worked out, only measured.

    `lean_deg` is the shaft's lean along the line of play with the sole flat, + toward the target.
    `cap_height_mm` is the grip cap's height over the ground in the player's own address. `grip_widest_mm` and
    `grip_length_mm` are the worn grip's. `counterweight_g` is a weight that is thought of, not yet in the
    club, `counterweight_at_mm` below the cap's edge. The ball's place is this club's own, as in `BallPlace`;
    `glove_mm` is the thickness of the glove's leather.
    """

    mark: str
    family: Family
    length_mm: float | None = None
    length_method: str | None = None
    lie_deg: float | None = None
    butt_upper_mm: float | None = None
    butt_lower_mm: float | None = None
    grip_upper_mm: float | None = None
    grip_lower_mm: float | None = None
    upper_station_mm: float = 50.8
    lower_station_mm: float = 152.4
    total_mass_g: float | None = None
    balance_mm: float | None = None
    grip_mass_g: float | None = None
    grip_style: GripStyle = "usual"
    glove: Glove | None = None
    grip: str | None = None
    grip_shape: Literal["round", "not round"] | None = None
    grip_length_mm: float | None = None
    grip_widest_mm: float | None = None
    lean_deg: float | None = None
    cap_height_mm: float | None = None
    ball_inside_lead_heel_mm: float | None = None
    ball_from_toe_line_mm: float | None = None
    counterweight_g: float | None = None
    counterweight_at_mm: float | None = None
    glove_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BallPlace:
    """Where the ball lies for one family: from the lead heel centre toward the trail foot, and from the toes.

    `inside_lead_heel_mm` runs along the target line from the lead heel centre toward the trail foot;
    `from_toe_line_mm` runs ahead from the line through the toe tips. Each tuple holds the repeats.
    """

    family: Family
    inside_lead_heel_mm: tuple[float, ...]
    from_toe_line_mm: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """One time of stepping onto the mat and standing: the recording's blob and its conditions."""

    recording: str
    footwear: Footwear
    stance: StanceTime
    layout: str | None = None
    family: Family | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HipLineTrial:
    """One reading of the hip line at one width, feet and bar set anew; + open against the target line.

    `heel_line_deg` is the line through the heel centres against the target line, + open, where it was
    measured. What else may be varied is None where it is as the check has it: what is on the feet, where the
    hands are, both feet's toe-out, and how far inside the lead heel centre the ball lies. A reading from a
    photo has the standard error that comes anew with each photo (`se_deg`), and the one that all photos with
    the same bar, strip and camera share (`shared_se_deg`); one read by eye has neither.
    """

    trial: int
    width_mm: float
    hip_line_deg: float
    heel_line_deg: float | None = None
    family: Family | None = None
    phase: Phase = "before"
    confirms: bool = False
    footwear: Footwear | None = None
    hands: HandsAt | None = None
    toe_out_deg: float | None = None
    ball_mm: float | None = None
    se_deg: float | None = None
    shared_se_deg: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HipLineCheck:
    """Hip line against stance width. `landmark` says what the bar touches; `bar_error_deg` its own error.

    `allowed_mm` are the only widths that the teacher lets be set, between heel centres, any where it is
    empty; `turn_at_least_deg` is a turn to the side `turn_toward` that a width has to leave, where asked for.
    """

    landmark: str
    trials: tuple[HipLineTrial, ...]
    footwear: Footwear = "golf shoes"
    hands: HandsAt = "hanging"
    bar_error_deg: float = 0.0
    allowed_mm: tuple[float, ...] = ()
    turn_at_least_deg: float | None = None
    turn_toward: Literal["lead", "trail"] = "trail"


@dataclass(frozen=True, slots=True, kw_only=True)
class PostureReading:
    """Angles of one address from the side, None when not taken; trunk and thigh from the vertical."""

    family: Family
    trunk_deg: float | None = None
    thigh_deg: float | None = None
    knee_flex_lead_deg: float | None = None
    knee_flex_trail_deg: float | None = None
    arm_hang_deg: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PostureView:
    """One address in a photo from the side, as points in its pixels, x to the right and y down.

    `side` is the player's side that faces the camera; its knee is the one that is seen. `found` holds what
    the program saw by itself, `placed` what a person put or moved there; both stay, and what is placed
    counts.
    `length_mm` is how far the points `length_start` and `length_end` really are apart.
    """

    view: str
    family: Family
    side: Side
    repeat: int = 1
    photo: str | None = None
    length_mm: float | None = None
    length_error_mm: float = 1.0
    found: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    placed: Mapping[str, tuple[float, float]] = field(default_factory=dict)

    @property
    def points(self) -> dict[str, tuple[float, float]]:
        """Every point where it counts."""
        return {**self.found, **self.placed}


TurnPart = Literal["trunk", "pelvis"]
"""What turned: the line of the shoulders, or that of the pelvis."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnReading:
    """How far trunk or pelvis turned to one side; a turn stopped by pain is kept but is no range.

    The stance that the turn was made in, where it was varied: width between heel centres, the trunk's lean
    from the vertical, and the bend of the knees.
    """

    toward: Literal["lead", "trail"]
    turn_deg: float
    stopped_by_pain: bool = False
    part: TurnPart = "trunk"
    width_mm: float | None = None
    trunk_deg: float | None = None
    knee_flex_deg: float | None = None


GripHand = Literal["both", "lead", "trail"]
"""Which hands are on the club in a grip trial."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GripTrial:
    """Hip line and bend of each knee with the hand on the club, one grip; pairs share a number.

    `glove` is None where it is the check's.
    """

    pair: int
    club: str
    grip: Literal["own", "proposed"]
    hip_line_deg: float
    hand: GripHand = "both"
    knee_flex_lead_deg: float | None = None
    knee_flex_trail_deg: float | None = None
    glove: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class GripCheck:
    """Paired trials of what a grip does to the hip line, glove unchanged throughout."""

    trials: tuple[GripTrial, ...]
    glove: bool = True


AimWay = Literal["board", "string", "laser dot", "face angle"]
"""How an aim is read: an offset on a board or a string, a dot that the face mirrors, or the face's angle."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AimTrial:
    """Where the face pointed, read in one of three ways.

    `offset_mm` at the target and `dot_mm`, a laser's dot after the face mirrored it, are + right as seen from
    behind the ball; `face_deg`, from tags or a protractor, is + open. A face from a photo has its errors as a
    hip-line trial has them.
    """

    trial: int
    offset_mm: float | None = None
    condition: str = "as arrived"
    dot_mm: float | None = None
    face_deg: float | None = None
    se_deg: float | None = None
    shared_se_deg: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class EyeLine:
    """Where the eyes are over the ball: how far beyond the ball's line, and the line through both eyes.

    `offset_mm` is + when the eyes are beyond the ball, as seen from the player, - when they are inside its
    line; `direction_deg` is the line through the eyes against the target line, + open as a body line.
    """

    offset_mm: float | None = None
    direction_deg: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FullSwingAim:
    """One aim with a full-swing club at a far target: as an offset near the ball, or as the face's angle."""

    trial: int
    club: str
    target_m: float
    offset_mm: float | None = None
    face_deg: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class AimCheck:
    """Aim at a known distance, ball centre to hole centre, and where it was read.

    `read_at_m` is where offsets were read when not at the hole, `dot_at_m` how far the mirror on the face is
    from the board that its dot falls on. `past_m`, `green_m` and `hole_mm` say what the hole allows where it
    is not the studio's; `face_share` how much of the start line the face makes.
    """

    distance_m: float
    trials: tuple[AimTrial, ...]
    way: AimWay = "board"
    read_at_m: float | None = None
    dot_at_m: float | None = None
    past_m: float | None = None
    green_m: float | None = None
    hole_mm: float | None = None
    face_share: float | None = None
    eyes: tuple[EyeLine, ...] = ()
    full_swing: tuple[FullSwingAim, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RoutineRun:
    """One time of doing the hip routine: to its end or ended early, which form of which routine, and when.

    Why it was ended early is never asked. `clock` is the time of day, hours and minutes.
    """

    run: int
    outcome: Literal["done", "ended early"]
    version: RoutineVersion = "usual"
    routine: str = ""
    seconds: float | None = None
    clock: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldLoadPair:
    """Two placements one after the other, without and with a known mass held at the chest.

    `load_ahead_mm` is how far the mass's middle is ahead of the heel centres; `without_mm` and `with_mm` are
    where the centre of pressure was, from the same line. Or the two recordings that say so are named.
    """

    pair: int
    load_kg: float
    load_ahead_mm: float
    load_ahead_se_mm: float | None = None
    without_mm: float | None = None
    with_mm: float | None = None
    without_recording: str | None = None
    with_recording: str | None = None

    @property
    def recordings(self) -> tuple[str, ...]:
        """The recordings that are named, without and with the mass."""
        return tuple(n for n in (self.without_recording, self.with_recording) if n is not None)


@dataclass(frozen=True, slots=True, kw_only=True)
class AimPractice:
    """One practice on the sheet between visits: of `rolled` balls so many passed a gate of known width.

    `distance_m` is from the ball's place to the gate, `gate_mm` the clear width between its posts.
    """

    entry: int
    day: date
    distance_m: float
    gate_mm: float
    rolled: int
    passed: int


@dataclass(frozen=True, slots=True, kw_only=True)
class CueChoice:
    """Cues and the home check that the teacher swapped in, by their names in the library."""

    cues: tuple[str, ...] = ()
    home_check: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """One player on one day: everything measured. A check that was not done is None or empty.

    `skipped` says why, in the teacher's words; what was not done and not skipped is *not measured: not done*.
    """

    visit: str
    day: date
    player: Player
    screening: Screening | None = None
    teacher: str = ""
    shoes: Shoes | None = None
    as_arrived: tuple[AsArrived, ...] = ()
    body: BodyCheck | None = None
    hands: tuple[HandSize, ...] = ()
    own_clubs: tuple[OwnClub, ...] = ()
    ball: tuple[BallPlace, ...] = ()
    ground: tuple[Placement, ...] = ()
    hip_line: HipLineCheck | None = None
    posture: tuple[PostureReading, ...] = ()
    posture_views: tuple[PostureView, ...] = ()
    turn: tuple[TurnReading, ...] = ()
    grip: GripCheck | None = None
    aim: AimCheck | None = None
    routine: tuple[RoutineRun, ...] = ()
    held_load: tuple[HeldLoadPair, ...] = ()
    practice: tuple[AimPractice, ...] = ()
    cue_choice: CueChoice | None = None
    skipped: Mapping[Check, str] = field(default_factory=dict)

    def as_arrived_for(self, family: Family) -> AsArrived | None:
        """The player's own stance for one family, if it was recorded."""
        return next((a for a in self.as_arrived if a.family == family), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class StudioErrors:
    """What one reading of each kind is worth in this studio: SD of one reading, None until it was studied.

    The SDs *between observers* are of what shifts all readings of one visit together when another observer
    takes them; they enter when two visits are compared.
    """

    hip_line_deg: float | None = None
    posture_deg: float | None = None
    turn_deg: float | None = None
    ball_mm: float | None = None
    width_mm: float | None = None
    hip_line_between_observers_deg: float | None = None
    posture_between_observers_deg: float | None = None
    turn_between_observers_deg: float | None = None
    ball_between_observers_mm: float | None = None
    width_between_observers_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class StudioSettings:
    """How this studio decides and prints. `cues` are its own cues and home checks, None for ours."""

    name: str = "this studio"
    units: Literal["metric", "inch quarters", "inch eighths"] = "metric"
    paper: Literal["a4", "us-letter"] = "a4"
    margin_deg: float = 2.0
    order_families: bool = True
    valid_weeks: int = 6
    putt_past_m: float = 0.43
    instrument_days: int = 7
    cues: CueLibrary | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class StudioGripModel:
    """What diameter a hand wants, fitted to this studio's own confirmed grips.

    `at_reference_mm` is the diameter under the upper hand of the survey's mean man; the slopes are a
    millimetre of hand and of finger; `taper_mm` is what the lower hand wants less; `se_mm` what a player left
    out of the fit was missed by.
    """

    at_reference_mm: float
    hand_slope: float
    finger_slope: float
    taper_mm: float
    se_mm: float
    hands: int
    players: int


@dataclass(frozen=True, slots=True, kw_only=True)
class StudioSnapshot:
    """What an assessment needs from the studio besides the visit. `stock` names the stock list's blob.

    `instruments` holds what measures, each with its newest checks. `routine` is the studio's own hip routine,
    None for ours.
    """

    settings: StudioSettings = field(default_factory=StudioSettings)
    errors: StudioErrors = field(default_factory=StudioErrors)
    stock: str | None = None
    mat_thickness_mm: float | None = None
    grip_model: StudioGripModel | None = None
    instruments: tuple[Instrument, ...] = ()
    routine: Routine | None = None
