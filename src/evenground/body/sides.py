"""Left and right of one size: further apart than healthy bodies are, or too badly read to tell."""

from collections.abc import Iterator, Mapping, Sequence

from evenground.body.limbs import gone_for
from evenground.body.report import BodyWarning
from evenground.body.sizes import tape_sd, words
from evenground.estimate import Estimate, difference, from_repeats
from evenground.floor import Side
from evenground.sourced import Sourced
from evenground.visit import BodyCheck, HandSize

__all__ = [
    "MOST_READINGS",
    "SIDES_DIFFER_SHARE",
    "SIDES_SDS",
    "SLIP_SDS",
    "SLIP_SHARE",
    "mean_of",
    "side_asks",
    "side_warnings",
]

SIDES_DIFFER_SHARE = Sourced(
    0.01, "", "ours: SD of left less right in healthy people, as a share of the size"
)
SIDES_SDS = Sourced(3.2, "", "ours: one or two of a thousand pairs measured well are called unlike by chance")
SLIP_SHARE = Sourced(0.10, "", "ours: a slip of one side that has to be found")
SLIP_SDS = Sourced(
    2.4, "", "ours: while a slip lies within so many SDs of what was read, one more reading is asked for"
)
MOST_READINGS = 5
"""Readings of one side after which no more are asked for."""


def mean_of(name: str, readings: Sequence[float]) -> Estimate:
    """Mean of the repeats with the tape's error: two or three repeats know their own spread badly."""
    return from_repeats(readings, unit="mm", known_sd=tape_sd(name), what=name)


def side_warnings(body: BodyCheck, hands: Sequence[HandSize] = ()) -> Iterator[BodyWarning]:
    """Left and right of one size further apart than tapes and healthy bodies are."""
    for name, (left, right) in _pairs(body, hands).items():
        apart = _apart(left, right)
        if not _unlike(apart):
            continue
        text = (
            f"{words(name)}: left {left.value:.0f} mm and right {right.value:.0f} mm are "
            f"{abs(apart.value):.0f} mm apart, more than {SIDES_SDS.value * apart.se:.0f} mm seldom is: "
            "measure both again."
        )
        yield BodyWarning(code="sides-differ", where=name, text=text)


def side_asks(body: BodyCheck) -> Iterator[BodyWarning]:
    """Pairs that need one more reading, since a slip of a tenth could still hide behind the tape's error.

    No alarm: it is asked of many healthy pairs of small sizes. Hands have no repeats here and are not asked.
    """
    for name, (left, right) in _pairs(body).items():
        apart, slip = _apart(left, right), SLIP_SHARE.value * min(left.value, right.value)
        seen = max(left.n, right.n) >= MOST_READINGS or abs(apart.value) <= slip - SLIP_SDS.value * apart.se
        if seen or _unlike(apart):
            continue
        text = (
            f"{words(name)}: left {left.value:.0f} mm and right {right.value:.0f} mm are alike within their "
            f"errors, but a slip of {slip:.0f} mm could hide there: take one more reading of each."
        )
        yield BodyWarning(code="sides-unsure", where=name, text=text)


def _pairs(body: BodyCheck, hands: Sequence[HandSize] = ()) -> Mapping[str, tuple[Estimate, Estimate]]:
    """Sizes that were taken on both sides, left before right, but for those of a limb that is gone."""
    sided: dict[tuple[str, Side], Estimate] = {
        (s.name, s.side): mean_of(s.name, s.readings_mm)
        for s in body.sizes
        if s.side and s.readings_mm and gone_for(body, s.name, s.side) is None
    }
    for hand in hands:
        for name, mm in (("hand_length", hand.length_mm), ("palm_length", hand.palm_length_mm)):
            sided[name, hand.side] = Estimate(value=mm, se=hand.se_mm, unit="mm")
    names = dict.fromkeys(name for name, _ in sided)
    return {
        name: (sided[name, "left"], sided[name, "right"])
        for name in names
        if {(name, "left"), (name, "right")} <= sided.keys()
    }


def _apart(left: Estimate, right: Estimate) -> Estimate:
    """Left less right, with the tapes' errors and what healthy sides differ by."""
    return difference(left, right).widened(SIDES_DIFFER_SHARE.value * (left.value + right.value) / 2.0)


def _unlike(apart: Estimate) -> bool:
    return abs(apart.value) > SIDES_SDS.value * apart.se
