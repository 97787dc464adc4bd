"""Known truth where feet are hard to find: errors, intervals, and that refusals come before errors do."""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from evenground.errors import MeasureError
from evenground.estimate import Estimate
from evenground.measure.ground import Ground
from evenground.measure.one_foot import describe_by_limbs
from evenground.simulate.foot import PRINTS
from evenground.simulate.mat import Mat, SimulatedStance, Standing, Swaying, simulate_mat
from evenground.simulate.things import Thing

WIDTH_MM, TOE_OUT_DEG, LOAD_POINTS = 3.0, 2.0, 1.0
LOW, HIGH = 0.93, 0.97
LEAST_KIND, ENOUGH = 0.90, 25
CELL_NOISE = 0.05
FINE_MM = 5.0
BALL = {"bare": 94.0, "shod": 88.0, "high arch": 94.0, "flat arch": 94.0, "toes apart": 98.0, "sock": 94.0}
"""Width between the middles of two straight feet of 265 mm whose balls or soles touch."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One hard stance on one mat."""

    standing: Standing
    mat: Mat


def _feet(rng: np.random.Generator, **fixed: Any) -> Standing:
    """Feet of any print, not yet hard."""
    kind = str(rng.choice(list(PRINTS)))
    drawn: dict[str, Any] = {
        "kind": kind,
        "width_mm": rng.uniform(180.0, 380.0),
        "left_ahead_mm": rng.uniform(-25.0, 25.0),
        "toe_out_left_deg": rng.uniform(0.0, 30.0),
        "toe_out_right_deg": rng.uniform(0.0, 30.0),
        "load_left_percent": rng.uniform(42.0, 58.0),
        "foot_length_mm": rng.uniform(235.0, 300.0),
        "mass_kg": rng.uniform(50.0, 110.0),
        "handed": "right" if rng.integers(2) else "left",
        "shift_mm": (rng.uniform(-10.0, 10.0), rng.uniform(-10.0, 10.0)),
    }
    return Standing(**(drawn | fixed))


def _mat(rng: np.random.Generator, pitch_mm: float, stretch: float = 1.0, **fixed: Any) -> Mat:
    """A mat of about 0.5 by 0.7 m whose cells differ by 5 % in gain and in noise."""
    size: dict[str, Any] = {"rows": int(520.0 / pitch_mm / stretch), "columns": int(760.0 / pitch_mm)}
    drawn = {"noise_kpa": CELL_NOISE * rng.uniform(10.0, 25.0), "gain_spread": CELL_NOISE}
    cells = {"pitch_x_mm": pitch_mm, "pitch_y_mm": pitch_mm * stretch}
    return Mat(**(size | drawn | cells | fixed))


def _touching(rng: np.random.Generator) -> Case:
    """Balls of the feet, or heels of feet turned out, from just touching to a cell apart."""
    length, out = rng.uniform(240.0, 290.0), rng.uniform(0.0, 45.0)
    kind = str(rng.choice(list(PRINTS)))
    touch = BALL[kind] * length / 265.0 * (1.0 if out < 6.0 else 0.76)
    turns = {"toe_out_left_deg": out, "toe_out_right_deg": out + rng.uniform(-3.0, 3.0)}
    width = touch + rng.uniform(0.0, 8.0)
    standing = _feet(rng, kind=kind, foot_length_mm=length, width_mm=width, **turns)
    return Case(standing=standing, mat=_mat(rng, FINE_MM))


def _turned_out(rng: np.random.Generator) -> Case:
    turns = {f"toe_out_{side}_deg": rng.uniform(30.0, 45.0) for side in ("left", "right")}
    return Case(standing=_feet(rng, **turns), mat=_mat(rng, FINE_MM))


def _print(rng: np.random.Generator) -> Case:
    return Case(standing=_feet(rng), mat=_mat(rng, FINE_MM))


def _heel(rng: np.random.Generator) -> Case:
    up = (rng.uniform(0.0, 1.0), 0.0)
    return Case(standing=_feet(rng, heel_up=up if rng.integers(2) else up[::-1]), mat=_mat(rng, FINE_MM))


def _edge(rng: np.random.Generator) -> Case:
    """Heels from well on the mat to 60 mm over its rear edge."""
    standing = _feet(rng, toe_out_left_deg=10.0, toe_out_right_deg=10.0)
    mat = _mat(rng, FINE_MM)
    heels = 0.5 * mat.rows * FINE_MM - 0.35 * standing.foot_length_mm - 0.12 * standing.foot_length_mm
    return Case(standing=replace(standing, shift_mm=(0.0, -heels - rng.uniform(-20.0, 60.0))), mat=mat)


def _club(rng: np.random.Generator) -> Case:
    """A club grounded ahead of the feet, from touching the toes to well clear of them."""
    feet = _feet(rng)
    ahead = (0.87 + 0.03) * feet.foot_length_mm + rng.uniform(0.0, 120.0)
    club = Thing(
        at_mm=(rng.uniform(-260.0, 260.0), ahead),
        turned_deg=90.0 + rng.uniform(-20.0, 20.0),
        force_n=rng.uniform(4.0, 20.0),
    )
    return Case(standing=replace(feet, things=(club,)), mat=_mat(rng, FINE_MM))


def _helper(rng: np.random.Generator) -> Case:
    """Somebody else's foot between the player's, or close to them."""
    at = (rng.uniform(-60.0, 60.0), rng.uniform(-120.0, 60.0))
    foot = Thing(kind="right foot", at_mm=at, force_n=rng.uniform(100.0, 400.0), length_mm=260.0)
    return Case(
        standing=_feet(rng, width_mm=rng.uniform(260.0, 400.0), things=(foot,)), mat=_mat(rng, FINE_MM)
    )


def _cells(rng: np.random.Generator) -> Case:
    stretch = float(rng.choice([0.8, 1.0, 1.25, 1.5]))
    return Case(standing=_feet(rng), mat=_mat(rng, float(rng.uniform(5.0, 12.0)), stretch))


def _mats(rng: np.random.Generator) -> Case:
    """The smallest mat, of coarse cells, and the largest, of fine ones."""
    if rng.integers(2):
        mat = _mat(rng, 12.0, rows=32, columns=32)
        small = {f"toe_out_{side}_deg": rng.uniform(0.0, 15.0) for side in ("left", "right")}
        narrow = _feet(
            rng, width_mm=rng.uniform(120.0, 180.0), foot_length_mm=rng.uniform(230.0, 270.0), **small
        )
        return Case(standing=narrow, mat=mat)
    return Case(standing=_feet(rng), mat=_mat(rng, FINE_MM, rows=128, columns=256))


def _lone(rng: np.random.Generator) -> Case:
    standing = _feet(rng, missing="left" if rng.integers(2) else "right")
    stick = Thing(at_mm=(0.0, 100.0), length_mm=40.0, breadth_mm=40.0, force_n=60.0)
    return Case(standing=replace(standing, things=(stick,) * int(rng.integers(2))), mat=_mat(rng, FINE_MM))


CASES: dict[str, Callable[[np.random.Generator], Case]] = {
    "any print": _print,
    "touching": _touching,
    "toes out 30 to 45 deg": _turned_out,
    "a heel up": _heel,
    "over the edge": _edge,
    "a grounded club": _club,
    "somebody else's foot": _helper,
    "cells of 5 to 12 mm, not square": _cells,
    "mats of 32 x 32 and 128 x 256": _mats,
    "one foot by design": _lone,
}


@dataclass(slots=True)
class Tally:
    """What came of one kind of case: refused or not, errors of what was answered, intervals."""

    refused: list[bool] = field(default_factory=list)
    errors: dict[str, list[float]] = field(default_factory=lambda: {"width": [], "toe-out": [], "load": []})
    held: dict[str, list[bool]] = field(default_factory=lambda: {"width": [], "toe-out": [], "load": []})

    def note(self, ground: Ground | None, made: SimulatedStance) -> None:
        """Add one stance; None or an unusable one was refused."""
        self.refused.append(ground is None or not ground.grade.usable)
        if ground is None or not ground.grade.usable:
            return
        for name, found, truth in _pairs(ground, made):
            if found is not None:
                self.errors[name].append(abs(found.value - truth))
                self.held[name].append(found.interval().holds(truth))

    def median(self, name: str) -> float:
        """Median error, zero where nothing was answered."""
        return float(np.median(self.errors[name])) if self.errors[name] else 0.0

    @property
    def within(self) -> bool:
        """Whether all three medians are within the limits."""
        limits = {"width": WIDTH_MM, "toe-out": TOE_OUT_DEG, "load": LOAD_POINTS}
        return all(self.median(name) <= limit for name, limit in limits.items())

    @property
    def said(self) -> str:
        """Share refused and medians."""
        share = 100.0 * float(np.mean(self.refused))
        return (
            f"{share:.0f} % refused; {self.median('width'):.1f} mm, {self.median('toe-out'):.1f} deg, "
            f"{self.median('load'):.1f} points"
        )


def _pairs(ground: Ground, made: SimulatedStance) -> Iterator[tuple[str, Estimate | None, float]]:
    truth, feet = made.truth, ground.feet
    yield "width", ground.stance_width_mm.heel_centres, truth.heel_centres_mm
    yield "toe-out", feet.left.toe_out_deg, truth.toe_out_left_deg
    yield "toe-out", feet.right.toe_out_deg, truth.toe_out_right_deg
    yield "load", feet.left.load_percent, truth.load_left_percent


def _sway(rng: np.random.Generator) -> Swaying:
    """As `prove_ground` draws it."""
    slow_s = float(np.clip(3.0 * np.exp(rng.standard_normal()), 0.5, 12.0))
    return Swaying(duration_s=rng.uniform(8.0, 20.0), rate_hz=8.0, slow_s=slow_s)


def stand(case: Case, rng: np.random.Generator, tally: Tally, swaying: Swaying | None) -> None:
    """Record one case, describe it, and note what came of it."""
    made = simulate_mat(case.standing, case.mat, swaying, rng=rng)
    missing = case.standing.missing
    try:
        ground = describe_by_limbs(
            made.recording, {missing: "absent"} if missing else {}, handed=case.standing.handed
        )
    except MeasureError:
        ground = None
    tally.note(ground, made)


def grid(count: int, seed: int) -> dict[str, Tally]:
    """`count` hard stances, shared out over the kinds."""
    tallies = {name: Tally() for name in CASES}
    names = list(CASES)
    for k, rng in enumerate(map(np.random.default_rng, np.random.SeedSequence(seed).spawn(count))):
        name = names[k % len(names)]
        stand(CASES[name](rng), rng, tallies[name], _sway(rng))
    return tallies


def _gap(step: float) -> Case:
    feet = Standing(width_mm=94.0 + step, toe_out_left_deg=0.0, toe_out_right_deg=0.0, load_left_percent=45.0)
    return Case(standing=feet, mat=FINE)


def _raised(step: float) -> Case:
    return Case(standing=Standing(width_mm=220.0, toe_out_left_deg=20.0, heel_up=(step, 0.0)), mat=FINE)


def _over(step: float) -> Case:
    heels = 0.5 * FINE.rows * FINE_MM - 0.47 * 265.0
    return Case(standing=Standing(width_mm=220.0, shift_mm=(0.0, -heels - step)), mat=FINE)


def _beside(step: float) -> Case:
    club = Thing(at_mm=(-110.0 - 62.0 - step, 130.0), force_n=8.0)
    return Case(standing=Standing(width_mm=220.0, toe_out_left_deg=0.0, things=(club,)), mat=FINE)


def _noisy(step: float) -> Case:
    return Case(standing=Standing(width_mm=220.0, load_left_percent=40.0), mat=replace(FINE, noise_kpa=step))


def _askew(step: float) -> Case:
    return Case(standing=Standing(width_mm=260.0, stance_turned_deg=step), mat=FINE)


FINE = Mat(rows=104, columns=128, pitch_x_mm=FINE_MM, pitch_y_mm=FINE_MM, gain_spread=CELL_NOISE)
LADDERS: dict[str, tuple[Callable[[float], Case], tuple[float, ...]]] = {
    "feet closer (mm between the balls)": (_gap, (20.0, 10.0, 0.0, -8.0, -16.0, -24.0, -40.0)),
    "a heel raised (share of its pressure gone)": (_raised, (0.0, 0.4, 0.7, 0.85, 0.95, 1.0)),
    "heels over the edge (mm)": (_over, (-20.0, 0.0, 20.0, 40.0, 80.0, 130.0)),
    "a club closer to the foot (mm)": (_beside, (60.0, 30.0, 10.0, 5.0, 0.0)),
    "noise of a cell (kPa)": (_noisy, (0.5, 2.0, 5.0, 10.0, 20.0, 40.0)),
    "the whole stance turned (deg)": (_askew, (0.0, 20.0, 40.0, 60.0, 80.0, 100.0)),
}


def climb(name: str, count: int, seed: int) -> list[tuple[float, Tally]]:
    """Each step of one ladder, from easy to hopeless; single frames, so that sway hides nothing."""
    make, steps = LADDERS[name]
    found = []
    for step, seeds in zip(steps, np.random.SeedSequence(seed).spawn(len(steps)), strict=True):
        tally = Tally()
        for rng in map(np.random.default_rng, seeds.spawn(count)):
            case = make(step)
            moved = rng.uniform(-0.5, 0.5) * FINE_MM
            shift = (case.standing.shift_mm[0] + moved, case.standing.shift_mm[1])
            stand(replace(case, standing=replace(case.standing, shift_mm=shift)), rng, tally, None)
        found.append((step, tally))
    return found


def _rows_of_grid(tallies: dict[str, Tally]) -> Iterator[dict[str, Any]]:
    limits = f"{WIDTH_MM:g} mm, {TOE_OUT_DEG:g} deg, {LOAD_POINTS:g} points"
    for name, tally in tallies.items():
        yield {
            "claim": f"hard feet, {name}: median errors of {len(tally.refused)} stances",
            "seen": tally.said,
            "limit": limits,
            "held": tally.within,
        }
    for what in ("width", "toe-out", "load"):
        held = [h for tally in tallies.values() for h in tally.held[what]]
        share = float(np.mean(held))
        yield {
            "claim": f"hard feet: 95 % intervals of {what} hold the truth ({len(held)} intervals)",
            "seen": f"{share:.3f}",
            "limit": f"{LOW} to {HIGH}",
            "held": LOW <= share <= HIGH,
        }
        yield _least_kind(tallies, what)


def _least_kind(tallies: dict[str, Tally], what: str) -> dict[str, Any]:
    """The kind whose intervals hold least often, of those that have enough to tell.

    A kind of n intervals may fall under the limit by what chance does to n of them, 2.33 binomial SD.
    """
    held = {name: tally.held[what] for name, tally in tallies.items() if len(tally.held[what]) >= ENOUGH}
    room = {name: 2.33 * math.sqrt(LEAST_KIND * (1.0 - LEAST_KIND) / len(h)) for name, h in held.items()}
    least = min(held, key=lambda name: float(np.mean(held[name])) + room[name], default=None)
    if least is None:
        seen, holds = "too few", True
    else:
        share = float(np.mean(held[least]))
        seen = f"{share:.3f} of {len(held[least])}, and more ({least})"
        holds = share >= LEAST_KIND - room[least]
    return {
        "claim": f"hard feet: 95 % intervals of {what} hold the truth in each kind with {ENOUGH} or more",
        "seen": seen,
        "limit": f"at least {LEAST_KIND}, less what chance does to so few",
        "held": holds,
    }


def prove(count: int, seed: int) -> list[dict[str, Any]]:
    """The grid at its count, and each ladder with a hundredth of it a step."""
    rows = list(_rows_of_grid(grid(count, seed)))
    for name in LADDERS:
        steps = climb(name, max(count // 100, 3), seed)
        rows.append(
            {
                "claim": f"refusals rise before errors do: {name}",
                "seen": " / ".join(f"{step:g}: {tally.said}" for step, tally in steps),
                "limit": "medians of what is answered within the limits at every step",
                "held": all(tally.within for _, tally in steps),
            }
        )
    return rows
