"""What stance does to the turn: slopes of each side against width, trunk lean and knee flex, when varied."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from evenground.errors import FitError
from evenground.estimate import Estimate
from evenground.fit.effects import Effects, TooFewTrialsToTellError, fit_effects
from evenground.fit.effects_design import Trial
from evenground.measure.turn import TURN_SD_DEG, turn_words
from evenground.visit import TurnPart, TurnReading

__all__ = ["NothingVariedError", "TurnResponse", "TurnSlope", "turn_response"]

VARIED: dict[str, tuple[str, float, str]] = {
    "width_mm": ("stance width", 100.0, "mm"),
    "trunk_deg": ("trunk lean", 10.0, "deg"),
    "knee_flex_deg": ("knee flex", 10.0, "deg"),
}
"""What may be varied: in words, the step that a slope is told for, its unit."""

SIDES: tuple[Literal["lead", "trail"], ...] = ("lead", "trail")
PARTS: tuple[TurnPart, ...] = ("trunk", "pelvis")


class NothingVariedError(FitError):
    """Turns in one stance only."""

    do = "Turn in two or three stance widths, or bend less and more, and write it down with each turn."

    def __init__(self) -> None:
        super().__init__()
        self.where = "turn against stance"
        self.what = "Nothing was varied from turn to turn."


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnSlope:
    """How the turn of one part to one side goes with one thing, the others held.

    `slope` is in degrees a `step` of what was varied, between `low` and `high`; None with a `reason` where
    the turns cannot tell.
    """

    part: TurnPart
    toward: Literal["lead", "trail"]
    varied: str
    step: float
    step_unit: str
    low: float
    high: float
    slope: Estimate | None
    reason: str | None

    @property
    def seen(self) -> bool:
        """Whether the slope is larger than its error."""
        return self.slope is not None and not self.slope.interval().holds(0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnResponse:
    """Every slope of this player, side by side; what was the same throughout says nothing."""

    slopes: tuple[TurnSlope, ...]
    notes: tuple[str, ...]


def turn_response(readings: Sequence[TurnReading], *, known_sd_deg: float | None = None) -> TurnResponse:
    """Slopes within this player of each part and side.

    Parameters
    ----------
    readings
        In the order in which they were taken; turns that pain stopped are no range and left out.
    known_sd_deg
        The studio's own SD of one turn; without it a published one, or the turns' own scatter where larger.

    Raises
    ------
    NothingVariedError
        If every part was turned in one stance only.

    Notes
    -----
    Each part and side by itself: a linear model (`fit_effects`) with a slope for each thing that was varied,
    and for the place in the series where turns are to spare. A straight line over what was tried: no norm,
    nothing said beyond it. Widening may take turn from one side and not from the other.
    """
    slopes: list[TurnSlope] = []
    notes: dict[str, None] = {}
    for part in PARTS:
        for side in SIDES:
            own = [
                (i, r)
                for i, r in enumerate(readings, 1)
                if r.part == part and r.toward == side and not r.stopped_by_pain
            ]
            found, said = _side(part, side, own, known_sd_deg)
            slopes += found
            notes |= dict.fromkeys(said)
    if not slopes:
        raise NothingVariedError
    return TurnResponse(slopes=tuple(slopes), notes=tuple(notes))


def _side(
    part: TurnPart,
    side: Literal["lead", "trail"],
    own: Sequence[tuple[int, TurnReading]],
    known_sd_deg: float | None,
) -> tuple[list[TurnSlope], tuple[str, ...]]:
    varied = {name: values for name in VARIED if len(values := _values(own, name)) > 1}
    if not varied:
        return [], ()
    trials = [
        Trial(value=r.turn_deg, conditions={n: getattr(r, n) for n in VARIED}, order=float(i)) for i, r in own
    ]
    words = f"turn of the {part} {turn_words(side)}"
    effects: Effects | None = None
    reason = "not written down on every turn"
    try:
        sd = TURN_SD_DEG.value if known_sd_deg is None else known_sd_deg
        effects = fit_effects(trials, response=words, unit="deg", known_sd=sd)
    except TooFewTrialsToTellError as exc:
        reason = f"{exc.what} {exc.do}"
    slopes = []
    for name, values in varied.items():
        found = next((e for e in effects.effects if e.condition == name), None) if effects else None
        step, low, high = VARIED[name][1], min(values), max(values)
        change = None if found is None else found.change
        slope = None if change is None else change.scaled(step / (high - low))
        why = reason if found is None else found.reason
        slopes.append(
            TurnSlope(
                part=part,
                toward=side,
                varied=VARIED[name][0],
                step=step,
                step_unit=VARIED[name][2],
                low=low,
                high=high,
                slope=slope,
                reason=None if slope is not None else why,
            )
        )
    if effects is None:
        return slopes, ()
    own_scatter = not effects.notes[0].endswith("the studio's own error")
    stated = "the studio's own error" if known_sd_deg is not None else "a published tester's error"
    first = effects.notes[0] if own_scatter else f"errors from {stated}"
    return slopes, tuple(f"{words}: {note}" for note in (first, *effects.notes[1:]))


def _values(own: Sequence[tuple[int, TurnReading]], name: str) -> list[float]:
    """The values of one thing that were written down, each once."""
    return list(dict.fromkeys(v for _, r in own if (v := getattr(r, name)) is not None))
