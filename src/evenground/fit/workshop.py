"""A club at the workshop: which step may follow which, and whether what came back is what was ordered.

::

    ordered -> received -> built -> measured -> accepted
                             ^          |
                             +-- back <-+        cancelled: from anywhere but accepted
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, get_args

from scipy.special import ndtr

from evenground.errors import FitError
from evenground.estimate import Estimate
from evenground.fit.grip_constants import MEASURED_SE_MM, PROFILE_TOLERANCE_MM
from evenground.fit.grip_types import GripFit, HandLaw, Layers, UnderHands
from evenground.fit.tape import AsBuilt, law_mm
from evenground.stock import Tape
from evenground.visit import Family

__all__ = [
    "STEPS",
    "Judgement",
    "NextBuild",
    "OrderLine",
    "Standing",
    "Step",
    "StepName",
    "StepOutOfTurnError",
    "StepUnreadableError",
    "as_built",
    "judge",
    "measured_mm",
    "next_build",
    "order_line",
    "stand",
    "steps_from",
]

StepName = Literal["ordered", "received", "built", "measured", "accepted", "back", "cancelled"]
STEPS: tuple[StepName, ...] = get_args(StepName)

_NEXT: dict[StepName, tuple[StepName, ...]] = {
    "ordered": ("received", "cancelled"),
    "received": ("built", "cancelled"),
    "built": ("measured", "cancelled"),
    "measured": ("accepted", "back", "measured", "cancelled"),
    "back": ("built", "cancelled"),
    "accepted": (),
    "cancelled": (),
}
_SIZE_LIMITS_MM = (12.0, 60.0)
_MOST_LAYERS = 20


class StepOutOfTurnError(FitError):
    """A step that cannot follow the one before it."""

    def __init__(self, mark: str, now: str, asked: str) -> None:
        super().__init__(mark, now, asked)
        self.where = mark
        self.what = f"It is {now} and cannot be {asked} now."
        may = _NEXT.get(now, ()) if now in STEPS else ()
        self.do = f"What may follow: {', '.join(may)}." if may else "Nothing may follow; make a new order."


class StepUnreadableError(FitError):
    """A step whose sizes, layers or reason are missing or impossible."""

    def __init__(self, mark: str, what: str, do: str) -> None:
        super().__init__(mark, what, do)
        self.where = mark
        self.what = what
        self.do = do


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderLine:
    """One club of an order: the grip, its layers, the size to come back under each hand, and how near.

    `layers` and the laws are None for a grip that is fitted as it was measured.
    """

    mark: str
    family: Family
    grip: str
    layers: Layers | None
    ordered_mm: UnderHands
    ordered_se_mm: UnderHands
    upper: HandLaw | None
    lower: HandLaw | None
    tolerance_mm: float
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One thing that happened to one club, by whom and when; sizes and layers as they came back.

    A *built* step may name layers that differ from the order; a *measured* one holds the sizes, each as often
    as it was read; an *accepted* one says whether the player has played it and `kept` it.
    """

    state: StepName
    who: str
    when: str
    upper_mm: tuple[float, ...] = ()
    lower_mm: tuple[float, ...] = ()
    layers: Layers | None = None
    mass_g: float | None = None
    reason: str = ""
    kept: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """What came back beside what was ordered.

    `off_mm` are measured less ordered under each hand; `within` says whether each is within the tolerance,
    `chance` how likely that is given the calliper's error, and `text` says it in a sentence.
    """

    upper_off_mm: Estimate | None
    lower_off_mm: Estimate | None
    within: bool
    chance: float
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """Where a club stands. It is open until it is accepted or cancelled."""

    line: OrderLine
    state: StepName
    steps: tuple[Step, ...]
    judgement: Judgement | None

    @property
    def open(self) -> bool:
        """Whether something is still to be done."""
        return self.state not in ("accepted", "cancelled")

    @property
    def layers(self) -> Layers | None:
        """Layers on the club: as last built, else as ordered."""
        named = [s.layers for s in self.steps if s.layers is not None]
        return named[-1] if named else self.line.layers


def order_line(mark: str, family: Family, fit: GripFit, *, tolerance_mm: float, note: str = "") -> OrderLine:
    """The best build of a fit as a line of an order.

    Raises
    ------
    StepUnreadableError
        If nothing could be worked out for this club.
    """
    best = fit.builds[0] if fit.builds else None
    if best is None or best.built_mm is None or best.built_se_mm is None or fit.making is None:
        what = "Nothing was worked out for this club, so nothing can be ordered."
        raise StepUnreadableError(mark, what, "Measure what its build asks for first.")
    return OrderLine(
        mark=mark,
        family=family,
        grip=best.grip,
        layers=best.layers,
        ordered_mm=best.built_mm,
        ordered_se_mm=best.built_se_mm,
        upper=fit.making.upper,
        lower=fit.making.lower,
        tolerance_mm=tolerance_mm,
        note=note,
    )


def steps_from(state: StepName) -> tuple[StepName, ...]:
    """What may follow a step."""
    return _NEXT[state]


def stand(line: OrderLine, steps: Sequence[Step]) -> Standing:
    """Follow a club through its steps, oldest first.

    Raises
    ------
    StepOutOfTurnError
        If a step cannot follow the one before it.
    StepUnreadableError
        If a step lacks its sizes, or an acceptance out of tolerance its reason.
    """
    state: StepName = "ordered"
    judged: Judgement | None = None
    for i, step in enumerate(steps):
        if i == 0 and step.state == "ordered":
            continue
        if step.state not in _NEXT[state]:
            raise StepOutOfTurnError(line.mark, state, step.state)
        _check_layers(line.mark, step.layers)
        if step.state == "measured":
            judged = judge(line, step)
        if step.state == "accepted" and judged is not None and not judged.within and not step.reason:
            what = f"{judged.text} It can only be accepted with a reason."
            raise StepUnreadableError(line.mark, what, "Say why it may stay, or send it back.")
        state = step.state
    return Standing(line=line, state=state, steps=tuple(steps), judgement=judged)


def _check_layers(mark: str, layers: Layers | None) -> None:
    if layers is None:
        return
    for hand, count in (("upper", layers.upper), ("lower", layers.lower)):
        if not 1 <= count <= _MOST_LAYERS:
            what = f"{count} layers under the {hand} hand cannot be."
            raise StepUnreadableError(
                mark, what, f"Count every layer, the double-sided one first: 1 to {_MOST_LAYERS}."
            )


def judge(line: OrderLine, step: Step) -> Judgement:
    """Whether what came back is what was ordered, within the tolerance under every hand.

    Raises
    ------
    StepUnreadableError
        If a size is missing or no grip has it.
    """
    offs = {
        hand: _off(line, hand, getattr(line.ordered_mm, hand), getattr(step, f"{hand}_mm"))
        for hand in ("upper", "lower")
    }
    there = {hand: off for hand, off in offs.items() if off is not None}
    outside = {hand: off for hand, off in there.items() if abs(off.value) > line.tolerance_mm + 1e-9}
    chance = math.prod(_chance_within(off, line.tolerance_mm) for off in there.values())
    return Judgement(
        upper_off_mm=offs["upper"],
        lower_off_mm=offs["lower"],
        within=not outside,
        chance=chance,
        text=_said(outside, line.tolerance_mm),
    )


def _off(
    line: OrderLine, hand: str, ordered_mm: float | None, readings: tuple[float, ...]
) -> Estimate | None:
    if ordered_mm is None:
        return None
    if not readings:
        what = f"The size under the {hand} hand is missing."
        raise StepUnreadableError(line.mark, what, "Measure it where the hand sits, twice if you can.")
    low, high = _SIZE_LIMITS_MM
    wrong = next((r for r in readings if not low <= r <= high), None)
    if wrong is not None:
        what = f"No grip measures {wrong:g} mm under the {hand} hand."
        raise StepUnreadableError(line.mark, what, f"Give millimetres, {low:g} to {high:g}.")
    mean = sum(readings) / len(readings)
    se = MEASURED_SE_MM.value / math.sqrt(len(readings))
    return Estimate(value=mean - ordered_mm, se=se, n=len(readings), unit="mm")


def _chance_within(off: Estimate, tolerance_mm: float) -> float:
    """Chance that the true difference is within the tolerance: a normal about what was measured."""
    high, low = (tolerance_mm - off.value) / off.se, (-tolerance_mm - off.value) / off.se
    return float(ndtr(high) - ndtr(low))


def _said(outside: dict[str, Estimate], tolerance_mm: float) -> str:
    if not outside:
        return f"As ordered, within {tolerance_mm:g} mm."
    parts = [
        f"{abs(off.value):.1f} mm too {'thick' if off.value > 0.0 else 'thin'} under the {hand} hand"
        for hand, off in outside.items()
    ]
    return f"It came back {' and '.join(parts)}; {tolerance_mm:g} mm is allowed."


def measured_mm(standing: Standing) -> UnderHands | None:
    """Mean of what was last measured under each hand; None before it was."""
    steps = [s for s in standing.steps if s.state == "measured"]
    if not steps:
        return None
    last = steps[-1]
    means = {h: getattr(last, f"{h}_mm") for h in ("upper", "lower")}
    return UnderHands(**{h: sum(found) / len(found) if found else None for h, found in means.items()})


def as_built(standing: Standing, piece: str) -> tuple[AsBuilt, ...]:
    """What a club that was measured says about the tape; nothing when it was not, or has no tape to learn of.

    `piece` names this grip on this club. Only the last sizes of each time it was built count, each with the
    layers of that time.
    """
    found: list[AsBuilt] = []
    layers = standing.line.layers
    for step, following in zip(standing.steps, (*standing.steps[1:], None), strict=True):
        layers = step.layers or layers
        again = following is not None and following.state == "measured"
        if step.state != "measured" or again or layers is None:
            continue
        for hand in ("upper", "lower"):
            law: HandLaw | None = getattr(standing.line, hand)
            off = _off(
                standing.line, hand, getattr(standing.line.ordered_mm, hand), getattr(step, f"{hand}_mm")
            )
            if law is not None and off is not None:
                size = off.shifted(getattr(standing.line.ordered_mm, hand))
                count = int(getattr(layers, hand))
                found.append(AsBuilt(piece=piece, law=_with_layers(law, count), measured_mm=size))
    return tuple(found)


def _with_layers(law: HandLaw, layers: int) -> HandLaw:
    return HandLaw(
        station_mm=law.station_mm,
        layers=layers,
        rubber_mm2=law.rubber_mm2,
        shaft_mm=law.shaft_mm,
        other_se_mm=law.other_se_mm,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class NextBuild:
    """How to build a club again that came back: layers, and the size expected under each hand."""

    layers: Layers
    expected_mm: UnderHands
    within: bool


def next_build(standing: Standing, tape: Tape) -> NextBuild | None:
    """Layers that bring the same grip on the same shaft nearest to its order; None before it was measured.

    Parameters
    ----------
    standing
        A club that was measured.
    tape
        As it was learned, this club included.

    Notes
    -----
    What the learned tape leaves unexplained is mostly this grip's rubber and shaft, which stay: that part of
    it, ``other^2 / (other^2 + calliper^2)``, is carried over. A pair under which the lower hand would be more
    than 0.2 mm thicker than the upper is left out (no bulge or waist).
    """
    found = {r.law.station_mm: r for r in as_built(standing, standing.line.mark)}
    hands = {h: getattr(standing.line, h) for h in ("upper", "lower")}
    last = {
        h: found[law.station_mm] for h, law in hands.items() if law is not None and law.station_mm in found
    }
    if not last:
        return None
    sizes = {h: _sizes(r, tape) for h, r in last.items()}
    counts = range(1, _MOST_LAYERS + 1)
    pairs = [(u, v) for u in counts for v in counts if len(sizes) == 2 or u == v]
    allowed = [p for p in pairs if _no_rise(sizes, p)]
    upper, lower = min(allowed, key=lambda pair: _miss(standing.line, sizes, pair))
    expected = {h: sizes[h][n] if h in sizes else None for h, n in (("upper", upper), ("lower", lower))}
    off = [abs(mm - getattr(standing.line.ordered_mm, h)) for h, mm in expected.items() if mm is not None]
    return NextBuild(
        layers=Layers(upper=upper, lower=lower),
        expected_mm=UnderHands(**expected),
        within=max(off) <= standing.line.tolerance_mm,
    )


def _sizes(reading: AsBuilt, tape: Tape) -> dict[int, float]:
    """What each number of layers would come to under one hand."""
    told = law_mm(reading.law, tape.double_sided_mm, tape.build_up_mm)
    own, calliper = reading.law.other_se_mm**2, reading.measured_mm.se**2
    stays = (reading.measured_mm.value - told) * own / (own + calliper)
    return {
        n: law_mm(_with_layers(reading.law, n), tape.double_sided_mm, tape.build_up_mm) + stays
        for n in range(1, _MOST_LAYERS + 1)
    }


def _no_rise(sizes: dict[str, dict[int, float]], pair: tuple[int, int]) -> bool:
    if len(sizes) < 2:
        return True
    return sizes["lower"][pair[1]] - sizes["upper"][pair[0]] <= PROFILE_TOLERANCE_MM.value


def _miss(line: OrderLine, sizes: dict[str, dict[int, float]], pair: tuple[int, int]) -> float:
    counts = dict(zip(("upper", "lower"), pair, strict=True))
    return float(sum((mm[counts[h]] - getattr(line.ordered_mm, h)) ** 2 for h, mm in sizes.items()))
