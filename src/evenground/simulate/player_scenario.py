"""What a simulated visit is asked to be, and the truth that comes with it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Literal

from evenground.floor import Handed, Side
from evenground.measure.recording import MatRecording
from evenground.simulate.mat import Mat, StanceTruth
from evenground.simulate.survey import Reference
from evenground.visit import Check, Family, Screening, StudioSnapshot, Visit

__all__ = [
    "AimTruth",
    "CurveTruth",
    "FootTruth",
    "HandTruth",
    "OwnStance",
    "PlayerTruth",
    "PostureTruth",
    "Scenario",
    "SimulatedVisit",
    "TurnTruth",
]

CurveShape = Literal["any", "line", "parabola", "logistic", "sine", "kinked", "pieces", "never square"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Scenario:
    """How a visit is played out; the player's body, curve and habits come from the seed.

    `curve` names the shape of the hip line against width. `drift_sd_deg` spreads the drift per trial over
    players. `budget` is the number of searching hip-line trials. `stance_turned_deg` turns the player's whole
    stance open. Checks in `skipped` are left out with that reason; those also in `skipped_family` only for
    that family (as arrived, ball, posture).
    """

    visit: str = "simulated"
    day: date = date(2026, 5, 9)
    name: str = "Simulated Player"
    teacher: str = "Simulated Teacher"
    studio: str = "Simulated Studio"
    reference: Reference | None = None
    screening: Screening = "cleared"
    curve: CurveShape = "any"
    noise_deg: float = 1.2
    drift_sd_deg: float = 0.08
    budget: int = 12
    confirm: bool = True
    placements: int = 3
    placement_s: float = 10.0
    rate_hz: float = 20.0
    mat: Mat = field(
        default_factory=lambda: Mat(
            rows=44, columns=84, pitch_x_mm=10.0, pitch_y_mm=10.0, noise_kpa=0.2, counts_per_kpa=2.0
        )
    )
    text_grid: bool = True
    stance_turned_deg: float = 0.0
    skipped: Mapping[Check, str] = field(default_factory=dict)
    skipped_family: Mapping[Check, Family] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class HandTruth:
    """One hand's sizes without error."""

    length_mm: float
    palm_length_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnStance:
    """How the player stands by habit with one family."""

    width_mm: float
    toe_out_lead_deg: float
    toe_out_trail_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FootTruth:
    """How the player stands over many placements of one kind; loads and toe-outs by side of the body."""

    width_mm: float
    toe_out_left_deg: float
    toe_out_right_deg: float
    load_left_percent: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CurveTruth:
    """The hip line, + open, on a grid of heel-centre widths, at trial 0."""

    shape: str
    width_mm: tuple[float, ...]
    hip_line_deg: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PostureTruth:
    """Angles of one family's address."""

    trunk_deg: float
    thigh_deg: float
    knee_flex_lead_deg: float
    knee_flex_trail_deg: float
    arm_hang_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnTruth:
    """How far the trunk turns to each side."""

    lead_deg: float
    trail_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class AimTruth:
    """Where the face points on average, + open, and how that spreads."""

    bias_deg: float
    spread_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PlayerTruth:
    """All that the readings of a simulated visit were drawn around.

    `ground` goes by the kind of placement, `placements` by recording. `grip_effect_deg` is what the proposed
    grip does to the hip line; `drift_deg` is per trial.
    """

    seed: int
    handed: Handed
    reference: Reference
    body: Mapping[str, float]
    hands: Mapping[Side, HandTruth]
    own_stance: Mapping[Family, OwnStance]
    curves: Mapping[Family, CurveTruth]
    chosen_width_mm: Mapping[Family, float]
    drift_deg: float
    noise_deg: float
    ground: Mapping[str, FootTruth]
    placements: Mapping[str, StanceTruth]
    ball_inside_lead_heel_mm: Mapping[Family, float]
    ball_from_toe_line_mm: Mapping[Family, float]
    posture: Mapping[Family, PostureTruth]
    turn: TurnTruth
    grip_effect_deg: float
    aim: Mapping[str, AimTruth]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SimulatedVisit:
    """A visit, its studio, the mat recordings it names, its stock list as text, and the truth."""

    visit: Visit
    studio: StudioSnapshot
    recordings: Mapping[str, MatRecording]
    stock_toml: str
    truth: PlayerTruth
