"""What besides family, phase and width was varied in hip-line trials, and what each trial carries of it.

Every condition that was varied is one more component of the curve, shared by all families and phases: the
trials at the reference carry none of it, the others all (footwear, hands) or as much as they differ (toe-out,
ball). What a condition is never varied has no component, and nothing is said of it.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from evenground.fit import stance_constants as c
from evenground.visit import HipLineTrial

__all__ = ["Condition", "condition_loads", "varied_conditions"]

FloatArray = NDArray[np.float64]

Name = Literal["footwear", "hands", "toe-out", "ball"]
WORDS: dict[Name, str] = {"footwear": "footwear", "hands": "hands"}
SIZES: dict[Name, tuple[str, float, str]] = {
    "toe-out": ("toe_out_deg", 10.0, "deg"),
    "ball": ("ball_mm", 50.0, "mm"),
}
"""Field of the trial, the step that an effect is told for, its unit."""


AS_SET_UP = "as set up"
"""The word of a trial that says nothing while others do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    """One thing that was varied: its reference, what it is compared with, and the prior of its effect.

    `level` is the other word, or the step ("10 deg more"). `constant_sd`, `slope_sd` and `amplitude_share`
    are of one whole load.
    """

    name: Name
    reference: str
    level: str
    constant_sd: float
    slope_sd: float
    amplitude_share: float
    middle: float | None = None
    trials: int = 0

    def load(self, trial: HipLineTrial) -> float:
        """How much of the condition's effect a trial carries; none where nothing was written down."""
        if self.name in SIZES:
            field, step, _ = SIZES[self.name]
            value = getattr(trial, field)
            return 0.0 if value is None else (float(value) - (self.middle or 0.0)) / step
        return 1.0 if (getattr(trial, WORDS[self.name]) or AS_SET_UP) == self.level else 0.0


def varied_conditions(trials: Sequence[HipLineTrial]) -> tuple[Condition, ...]:
    """Every condition with at least two states among the trials, in a fixed order.

    The reference of a word is the one that most trials have, the first taken where two have as many; of a
    size the median. What was not written down counts as the reference, and as a state of its own where the
    others have one word only.
    """
    found: list[Condition] = []
    for name, field in WORDS.items():
        said = [getattr(t, field) for t in trials if getattr(t, field) is not None]
        if len(set(said)) == 1:
            said += [AS_SET_UP] * (len(trials) - len(said))
        if len(set(said)) > 1:
            found.append(_of_words(name, said))
    for name, (field, _, _) in SIZES.items():
        values = [float(getattr(t, field)) for t in trials if getattr(t, field) is not None]
        if len(set(values)) > 1:
            found.append(_of_sizes(name, values))
    return tuple(found)


def condition_loads(conditions: Sequence[Condition], trial: HipLineTrial) -> FloatArray:
    """(K,) what a trial carries of each condition."""
    return np.array([one.load(trial) for one in conditions])


def _of_words(name: Name, said: list[str]) -> Condition:
    counts = Counter(said)
    reference = counts.most_common(1)[0][0]
    level = next(word for word in counts if word != reference)
    return Condition(
        name=name,
        reference=reference,
        level=level,
        constant_sd=c.WORD_CONSTANT_SD.value,
        slope_sd=c.WORD_SLOPE_SD.value,
        amplitude_share=c.WORD_AMPLITUDE_SHARE.value,
        trials=counts[level],
    )


def _of_sizes(name: Name, values: list[float]) -> Condition:
    _, step, unit = SIZES[name]
    middle = median(values)
    sd = c.TOE_OUT_SLOPE_SD if name == "toe-out" else c.BALL_SLOPE_SD
    return Condition(
        name=name,
        reference=f"{middle:g} {unit}",
        level=f"{step:g} {unit} more",
        constant_sd=sd.value,
        slope_sd=0.0,
        amplitude_share=0.0,
        middle=middle,
        trials=sum(v != middle for v in values),
    )
