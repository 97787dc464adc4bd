"""What is typed in during a simulated visit, each reading drawn around its truth.

Everything here is a right-handed player's; the mirror makes the left-handed one. Spreads of readings and
habits are invented, within the teaching ranges where there are some (*common practice, no source*).
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from evenground.simulate.player_scenario import AimTruth, HandTruth, OwnStance, PostureTruth, TurnTruth
from evenground.visit import (
    FAMILIES,
    AimCheck,
    AimTrial,
    AsArrived,
    BallPlace,
    BodyCheck,
    BodySize,
    Family,
    GripCheck,
    GripTrial,
    HandSize,
    OwnClub,
    PostureReading,
    TurnReading,
)

__all__ = [
    "AIM_DISTANCE_M",
    "aim_check",
    "aim_truth",
    "as_arrived_entries",
    "ball_entries",
    "ball_truth",
    "body_check",
    "grip_check",
    "hand_entries",
    "hand_truth",
    "own_clubs",
    "own_stance",
    "posture_entries",
    "posture_truth",
    "turn_entries",
    "turn_truth",
]

Rng = np.random.Generator

AIM_DISTANCE_M = 2.5
HAND_SE_MM = 1.5
_INCH_MM = 25.4
_TAPE_SD_MM = {"stature": 4.0, "mass": 0.2}
_OTHER_TAPE_SD_MM = 3.0
_TAKEN_TWICE = ("wrist_height", "arm_length")


def _near(rng: Rng, truth: float, sd: float, step: float) -> float:
    """A reading to a step of the scale it was read from."""
    steps = round(rng.normal(truth, sd) / step)
    return round(steps * step, 6)


def body_check(rng: Rng, body: Mapping[str, float]) -> BodyCheck:
    """Stature by an inch tape to a quarter, the other sizes in millimetres, two of them twice."""
    sizes = []
    for key in (k for k in body if k.endswith("_mm") and not k.startswith(("hand", "palm"))):
        name = key.removesuffix("_mm")
        step = _INCH_MM / 4.0 if name == "stature" else 1.0
        sd = _TAPE_SD_MM.get(name, _OTHER_TAPE_SD_MM)
        count = 2 if name in _TAKEN_TWICE else 1
        readings = tuple(_near(rng, body[key], sd, step) for _ in range(count))
        sizes.append(BodySize(name=name, readings_mm=readings))
    return BodyCheck(sizes=tuple(sizes), mass_kg=_near(rng, body["mass_kg"], _TAPE_SD_MM["mass"], 0.1))


def hand_truth(rng: Rng, body: Mapping[str, float]) -> tuple[HandTruth, HandTruth]:
    """Left and right hand, a millimetre or two apart as hands are (check-values 5.3)."""
    apart, palm_apart = rng.normal(0.0, 1.0), rng.normal(0.0, 0.5)
    length, palm = body["hand_length_mm"], body["palm_length_mm"]
    left = HandTruth(length_mm=length - apart, palm_length_mm=palm - palm_apart)
    return left, HandTruth(length_mm=length + apart, palm_length_mm=palm + palm_apart)


def hand_entries(rng: Rng, left: HandTruth, right: HandTruth) -> tuple[HandSize, HandSize]:
    """Each hand measured once with a rule, to half a millimetre."""
    (ll, lp), (rl, rp) = (
        (_near(rng, h.length_mm, HAND_SE_MM, 0.5), _near(rng, h.palm_length_mm, HAND_SE_MM, 0.5))
        for h in (left, right)
    )
    return (
        HandSize(side="left", length_mm=ll, palm_length_mm=lp, se_mm=HAND_SE_MM),
        HandSize(side="right", length_mm=rl, palm_length_mm=rp, se_mm=HAND_SE_MM),
    )


def own_stance(rng: Rng, stature_mm: float) -> dict[Family, OwnStance]:
    """Habits with each family: widths as shares of stature, feet turned out more with the longer clubs."""
    irons = rng.uniform(0.19, 0.27)
    shares = {
        "putter": irons - rng.uniform(0.03, 0.07),
        "irons": irons,
        "woods": irons + rng.uniform(0.02, 0.05),
    }
    lead, trail = rng.uniform(8.0, 24.0), rng.uniform(2.0, 16.0)
    less = {"putter": 0.5, "irons": 1.0, "woods": 1.1}
    return {
        family: OwnStance(
            width_mm=shares[family] * stature_mm,
            toe_out_lead_deg=lead * less[family],
            toe_out_trail_deg=trail * less[family],
        )
        for family in FAMILIES
    }


def as_arrived_entries(rng: Rng, own: Mapping[Family, OwnStance]) -> tuple[AsArrived, ...]:
    """Own stances by tape and protractor."""
    return tuple(
        AsArrived(
            family=family,
            width_mm=_near(rng, stance.width_mm, 4.0, 1.0),
            toe_out_lead_deg=_near(rng, stance.toe_out_lead_deg, 2.0, 1.0),
            toe_out_trail_deg=_near(rng, stance.toe_out_trail_deg, 2.0, 1.0),
        )
        for family, stance in own.items()
    )


@dataclass(frozen=True, slots=True)
class _Make:
    """A club of the invented bag as it is made; `grip` is the mass, length and widest size of its grip."""

    mark: str
    family: Family
    inches: float
    lie_deg: float
    across_mm: tuple[float, float]
    mass_g: float
    balance_mm: float
    held_flatter_deg: float
    grip: tuple[float, float, float] = (50.0, 267.0, 27.2)
    lean_deg: float | None = None


_BAG = (
    _Make("putter", "putter", 34.0, 71.0, (25.6, 23.9), 530.0, 560.0, 0.4, (76.0, 268.0, 27.6), 3.0),
    _Make("wedge", "irons", 35.25, 64.0, (22.6, 20.9), 455.0, 690.0, 1.2, lean_deg=2.0),
    _Make("7 iron", "irons", 37.0, 62.5, (22.5, 20.8), 425.0, 715.0, 1.6, lean_deg=3.0),
    _Make("5 iron", "irons", 38.0, 61.0, (22.7, 20.9), 410.0, 730.0, 1.9),
    _Make("hybrid", "woods", 40.0, 59.5, (22.9, 21.0), 370.0, 770.0, 2.3),
    _Make("driver", "woods", 45.0, 58.0, (23.0, 21.2), 315.0, 890.0, 3.4),
)


def own_clubs(rng: Rng, stature_mm: float) -> tuple[OwnClub, ...]:
    """Six clubs as they came in; the fifth has a butt that nobody could measure."""
    longer = round((stature_mm - 1750.0) / 60.0 / 2.0) * 2 / 8.0  # inches, to a quarter
    return tuple(_own_club(rng, make, make.inches + longer) for make in _BAG)


def _own_club(rng: Rng, make: _Make, inches: float) -> OwnClub:
    length_mm = round(inches * _INCH_MM, 6)
    held = math.radians(make.lie_deg - make.held_flatter_deg)
    upper, lower = make.across_mm
    grip_g, grip_mm, widest_mm = make.grip
    butt = (None, None) if make.mark == "hybrid" else (15.2, 14.6)
    return OwnClub(
        mark=make.mark,
        family=make.family,
        length_mm=length_mm,
        length_method="along the shaft" if make.family == "putter" else "60 deg plane",
        lie_deg=_near(rng, make.lie_deg, 0.4, 0.5),
        butt_upper_mm=butt[0],
        butt_lower_mm=butt[1],
        grip_upper_mm=_near(rng, upper, 0.1, 0.1),
        grip_lower_mm=_near(rng, lower, 0.1, 0.1),
        total_mass_g=_near(rng, make.mass_g, 3.0, 1.0),
        balance_mm=_near(rng, make.balance_mm, 3.0, 1.0),
        grip_mass_g=grip_g,
        grip="round, plain" if make.family == "putter" else "round, with rib",
        grip_shape="round",
        grip_length_mm=grip_mm,
        grip_widest_mm=widest_mm,
        lean_deg=make.lean_deg,
        cap_height_mm=float(round(length_mm * math.sin(held))),
        counterweight_g=25.0 if make.family == "putter" else None,
    )


def ball_truth(rng: Rng, width_mm: Mapping[Family, float]) -> tuple[dict[Family, float], dict[Family, float]]:
    """Where the ball lies: inside the lead heel centre, and ahead of the toe line."""
    shares = {
        "putter": rng.uniform(0.35, 0.5),
        "irons": rng.uniform(0.35, 0.48),
        "woods": rng.uniform(0.08, 0.18),
    }
    ahead: dict[Family, float] = {
        "putter": rng.uniform(220.0, 280.0),
        "irons": rng.uniform(370.0, 430.0),
        "woods": rng.uniform(530.0, 610.0),
    }
    return {f: shares[f] * width_mm[f] for f in FAMILIES}, ahead


def ball_entries(
    rng: Rng, inside: Mapping[Family, float], ahead: Mapping[Family, float]
) -> tuple[BallPlace, ...]:
    """Three looks at the ball for each family."""
    return tuple(
        BallPlace(
            family=family,
            inside_lead_heel_mm=tuple(_near(rng, inside[family], 4.0, 1.0) for _ in range(3)),
            from_toe_line_mm=tuple(_near(rng, ahead[family], 4.0, 1.0) for _ in range(3)),
        )
        for family in FAMILIES
    )


def posture_truth(rng: Rng) -> dict[Family, PostureTruth]:
    """Address with irons and putter, inside the teaching ranges."""
    means: dict[Family, tuple[float, float, float, float]] = {
        "putter": (46.0, 12.0, 16.0, 2.0),
        "irons": (39.0, 17.0, 20.0, 4.0),
    }
    found: dict[Family, PostureTruth] = {}
    for family, (trunk, thigh, knee, arms) in means.items():
        found[family] = PostureTruth(
            trunk_deg=rng.normal(trunk, 2.5),
            thigh_deg=rng.normal(thigh, 2.0),
            knee_flex_lead_deg=rng.normal(knee, 2.5),
            knee_flex_trail_deg=rng.normal(knee, 2.5),
            arm_hang_deg=rng.normal(arms, 2.0),
        )
    return found


def posture_entries(rng: Rng, truth: Mapping[Family, PostureTruth]) -> tuple[PostureReading, ...]:
    """Three addresses a family, each angle off a photo to the degree."""
    return tuple(
        PostureReading(
            family=family,
            trunk_deg=_near(rng, t.trunk_deg, 2.0, 1.0),
            thigh_deg=_near(rng, t.thigh_deg, 2.0, 1.0),
            knee_flex_lead_deg=_near(rng, t.knee_flex_lead_deg, 2.0, 1.0),
            knee_flex_trail_deg=_near(rng, t.knee_flex_trail_deg, 2.0, 1.0),
            arm_hang_deg=_near(rng, t.arm_hang_deg, 2.0, 1.0),
        )
        for family, t in truth.items()
        for _ in range(3)
    )


def turn_truth(rng: Rng) -> TurnTruth:
    """How far the trunk turns to each side."""
    return TurnTruth(lead_deg=rng.normal(46.0, 6.0), trail_deg=rng.normal(50.0, 6.0))


def turn_entries(rng: Rng, truth: TurnTruth) -> tuple[TurnReading, ...]:
    """Three turns to each side."""
    lead = [_near(rng, truth.lead_deg, 2.5, 1.0) for _ in range(3)]
    trail = [_near(rng, truth.trail_deg, 2.5, 1.0) for _ in range(3)]
    return tuple(
        [TurnReading(toward="lead", turn_deg=d) for d in lead]
        + [TurnReading(toward="trail", turn_deg=d) for d in trail]
    )


def grip_check(rng: Rng, *, hanging_deg: float, effect_deg: float, noise_deg: float) -> GripCheck:
    """Four pairs with the 7 iron, own grip and proposed grip in turn."""
    mean = {"own": hanging_deg, "proposed": hanging_deg + effect_deg}
    order: dict[int, tuple[Literal["own", "proposed"], Literal["own", "proposed"]]]
    order = {0: ("proposed", "own"), 1: ("own", "proposed")}
    trials = tuple(
        GripTrial(
            pair=pair, club="7 iron", grip=grip, hip_line_deg=round(rng.normal(mean[grip], noise_deg), 1)
        )
        for pair in range(1, 5)
        for grip in order[pair % 2]
    )
    return GripCheck(trials=trials)


def aim_truth(rng: Rng) -> dict[str, AimTruth]:
    """Aim as arrived, and once coached: nearer the target and steadier."""
    bias, spread = rng.normal(0.0, 1.0), rng.uniform(0.5, 0.9)
    return {
        "as arrived": AimTruth(bias_deg=bias, spread_deg=spread),
        "coached": AimTruth(bias_deg=0.3 * bias, spread_deg=0.8 * spread),
    }


def aim_check(rng: Rng, truth: Mapping[str, AimTruth]) -> AimCheck:
    """Ten tries as arrived, ten coached, read on a board in millimetres; a face that looks right is open."""
    trials: list[AimTrial] = []
    for condition, aim in truth.items():
        for _ in range(10):
            open_deg = rng.normal(aim.bias_deg, aim.spread_deg)
            offset = round(1000.0 * AIM_DISTANCE_M * math.tan(math.radians(open_deg)))
            trials.append(AimTrial(trial=len(trials) + 1, offset_mm=float(offset), condition=condition))
    return AimCheck(distance_m=AIM_DISTANCE_M, trials=tuple(trials))
