"""What is said of bodies against real people of the survey: ranges, alarms, planted faults.

Needs the survey's public files (EVENGROUND_DATA, see tests/outside); without them nothing is claimed here.
"""

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bench.survey_table import FILES, column, persons
from evenground.body.joint import predict
from evenground.body.ranges import check_body
from evenground.body.report import BodyReport
from evenground.body.sides import MOST_READINGS, SIDES_DIFFER_SHARE
from evenground.body.sizes import MASS, SURVEY_COLUMNS, tape_sd
from evenground.body.survey import Reference, SurveyTable
from evenground.estimate import Estimate
from evenground.floor import Side
from evenground.visit import BodyCheck, BodySize, HandSize

__all__ = [
    "HELD_OUT",
    "INTAKE",
    "FloatArray",
    "Sides",
    "alarms",
    "found",
    "people",
    "prove",
    "ranges_hold",
    "sides_found",
]

FloatArray = NDArray[np.float64]
Rng = np.random.Generator
REFERENCES: tuple[Reference, ...] = ("women", "men")
NAMES = tuple(SURVEY_COLUMNS)
INTAKE = (
    "stature",
    "shoulder_height",
    "biacromial_breadth",
    "hip_breadth",
    "crotch_height",
    "wrist_height",
    "arm_length",
    "foot_length",
    "foot_breadth",
)
"""What a studio takes besides hands and mass."""
HELD_OUT = 500  # of each sex
SIDED = ("arm_length", "foot_length", "hand_length", "foot_breadth")


def people(folder: Path) -> dict[Reference, FloatArray]:
    """(N, K) the survey's people by sex, sizes in the order of `NAMES`."""
    rows = {r: persons(folder / "ansur2" / FILES[r]) for r in REFERENCES}
    return {r: np.array([column(rows[r], *c) for c in SURVEY_COLUMNS.values()]).T for r in REFERENCES}


def _table_of(taken: FloatArray) -> SurveyTable:
    return SurveyTable(
        names=NAMES,
        n=len(taken),
        mean=taken.mean(axis=0),
        sd=taken.std(axis=0, ddof=1),
        percentiles=np.zeros((len(NAMES), 5)),
        correlation=np.asarray(np.corrcoef(taken.T)),
    )


def ranges_hold(survey: dict[Reference, FloatArray], taken: tuple[str, ...], rng: Rng) -> float:
    """Share of sizes inside their predicted 95 % range, of people who are not in the table."""
    held: list[bool] = []
    for sizes in survey.values():
        order = rng.permutation(len(sizes))
        table = _table_of(sizes[order[HELD_OUT:]])
        for person in sizes[order[:HELD_OUT]]:
            true = dict(zip(NAMES, person, strict=True))
            typed = {
                n: Estimate(value=rng.normal(true[n], tape_sd(n)), se=tape_sd(n), unit="mm") for n in taken
            }
            held += [e.interval().holds(true[n]) for n, e in predict(typed, table).items()]
    return float(np.mean(held))


@dataclass(frozen=True, slots=True)
class _Person:
    """A real person: sizes as the survey has them, and as a studio reads them."""

    reference: Reference
    true: Mapping[str, float]
    read: Mapping[str, float]


def _drawn(survey: dict[Reference, FloatArray], count: int, rng: Rng) -> list[_Person]:
    """`count` real people, half of them women, each size read with a studio's error."""
    drawn = []
    for reference, sizes in survey.items():
        for true in sizes[rng.permutation(len(sizes))[: count // 2]]:
            read = true + rng.standard_normal(len(true)) * [tape_sd(n) for n in NAMES]
            drawn.append(
                _Person(
                    reference,
                    dict(zip(NAMES, true, strict=True)),
                    dict(zip(NAMES, map(float, read), strict=True)),
                )
            )
    return drawn


def _warned(person: _Person, changed: Mapping[str, float], rng: Rng) -> set[str]:
    """What is warned of in one intake with both hands; the left one is as healthy hands differ (ours)."""
    sizes = {**person.read, **changed}
    body = BodyCheck(
        sizes=tuple(BodySize(name=n, readings_mm=(sizes[n],)) for n in INTAKE), mass_kg=sizes[MASS]
    )
    left = {
        n: person.true[n] * rng.normal(1.0, SIDES_DIFFER_SHARE.value) + rng.normal(0.0, tape_sd(n))
        for n in ("hand_length", "palm_length")
    }
    hands = (
        _hand("right", sizes["hand_length"], sizes["palm_length"]),
        _hand("left", left["hand_length"], left["palm_length"]),
    )
    return {w.where for w in check_body(body, reference=person.reference, hands=hands).warnings}


def _hand(side: Side, length_mm: float, palm_mm: float) -> HandSize:
    return HandSize(side=side, length_mm=length_mm, palm_length_mm=palm_mm, se_mm=tape_sd("hand_length"))


def alarms(survey: dict[Reference, FloatArray], count: int, rng: Rng) -> float:
    """Share of real people, measured well, who are warned about anything."""
    return float(np.mean([bool(_warned(p, {}, rng)) for p in _drawn(survey, count, rng)]))


def found(survey: dict[Reference, FloatArray], fault: str, count: int, rng: Rng) -> float:
    """Share of planted faults of which every changed size is named."""
    named = []
    for person in _drawn(survey, count, rng):
        read = person.read
        if fault == "arm and leg swapped":
            changed = {"arm_length": read["crotch_height"], "crotch_height": read["arm_length"]}
        else:
            slipped = str(rng.choice(INTAKE))
            changed = {slipped: read[slipped] / 2.54}
        named.append(set(changed) <= _warned(person, changed, rng))
    return float(np.mean(named))


@dataclass(frozen=True, slots=True, kw_only=True)
class Sides:
    """Of pairs of sides: the share called different in the end, and the share asked for a second reading."""

    named: float
    asked: float


def sides_found(
    survey: dict[Reference, FloatArray], name: str, count: int, rng: Rng, *, off: float = 1.1
) -> Sides:
    """What is said of `count` pairs when one side is `off` times the other in every reading.

    Each side is read once, and again for as long as the report asks. The survey measured one side only: the
    other is made of it with the difference of healthy sides (ours).
    """
    named, asked = [], []
    for reference, sizes in survey.items():
        for true in sizes[rng.permutation(len(sizes))[: count // 2], NAMES.index(name)]:
            other = true * off * rng.normal(1.0, SIDES_DIFFER_SHARE.value)
            left, right = (rng.normal(mm, tape_sd(name), MOST_READINGS) for mm in (true, other))
            for taken in range(1, MOST_READINGS + 1):
                report = _of_sides(name, left[:taken], right[:taken], reference)
                if not report.asks:
                    break
            asked.append(taken > 1)
            named.append("sides-differ" in {w.code for w in report.of(name)})
    return Sides(named=float(np.mean(named)), asked=float(np.mean(asked)))


def _of_sides(name: str, left: FloatArray, right: FloatArray, reference: Reference) -> BodyReport:
    hands: tuple[HandSize, ...] = ()
    sizes: tuple[BodySize, ...] = ()
    if name == "hand_length":
        hands = (_hand("left", float(left[0]), 110.0), _hand("right", float(right[0]), 110.0))
    else:
        sizes = (
            BodySize(name=name, side="left", readings_mm=tuple(map(float, left))),
            BodySize(name=name, side="right", readings_mm=tuple(map(float, right))),
        )
    return check_body(BodyCheck(sizes=sizes), reference=reference, hands=hands)


def prove(count: int, seed: int) -> list[dict[str, Any]]:
    """Claims about bodies at `count` people each; none without the survey's files."""
    folder = os.environ.get("EVENGROUND_DATA")
    if not folder:
        return []
    survey, rng = people(Path(folder)), np.random.default_rng(seed)
    lines = []
    for taken in (("stature", "wrist_height", "hip_breadth", MASS), (*INTAKE, MASS)):
        share = ranges_hold(survey, taken, rng)
        lines.append(
            _line(
                f"predicted sizes of 1,000 held-out people, {len(taken)} sizes known: 95 % ranges hold",
                f"{share:.1%}",
                "94 to 96 %",
                held=0.94 <= share <= 0.96,
            )
        )
    share = alarms(survey, count, rng)
    band = 1.64 * (0.02 * 0.98 / count) ** 0.5
    lines.append(_line("real people warned about", f"{share:.1%}", "2 %", held=share <= 0.02 + band))
    for fault in ("inches as cm", "arm and leg swapped"):
        share = found(survey, fault, count // 4, rng)
        lines.append(_line(f"planted: {fault}", f"{share:.1%} found", "95 %", held=share >= 0.95))
    for name in SIDED:
        planted, healthy = (sides_found(survey, name, count // 4, rng, off=off) for off in (1.1, 1.0))
        said = name.replace("_", " ")
        lines.append(
            _line(
                f"planted: one {said} 10 % off the other side's, read again while asked",
                f"{planted.named:.1%} found",
                "95 %",
                held=planted.named >= 0.95,
            )
        )
        lines.append(
            _line(
                f"healthy sides called different, {said}",
                f"{healthy.named:.1%}; {healthy.asked:.0%} asked for a second reading",
                "2 %",
                held=healthy.named <= 0.02,
            )
        )
    return lines


def _line(claim: str, seen: str, limit: str, *, held: bool) -> dict[str, Any]:
    return {"claim": claim, "seen": seen, "limit": limit, "held": bool(held)}
