"""Fresh placements at the chosen width, mixed with as arrived, against what the curve predicted."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from evenground.errors import FitError
from evenground.estimate import Estimate, difference
from evenground.fit import stance_constants as c
from evenground.fit.stance_layout import middle_of_phase
from evenground.fit.stance_model import square_probability
from evenground.fit.stance_types import CurvePoint, StanceFit
from evenground.visit import Family, HipLineTrial

__all__ = [
    "Confirmation",
    "NothingToConfirmError",
    "TooFewConfirmingTrialsError",
    "confirm_width",
    "confirmation_order",
]

_PLACEMENTS = 3
_WITHIN = 1.959964  # normal quantile of 95 % either side: how far prediction and observation may differ


class NothingToConfirmError(FitError):
    """No width was chosen for a family, so none can be confirmed."""

    do = "Take more trials until the answer is square or likely."

    def __init__(self, family: str, answer: str) -> None:
        super().__init__(family, answer)
        self.where = family
        self.what = f"The answer is {answer!r}: there is no width to confirm."


class TooFewConfirmingTrialsError(FitError):
    """Fewer fresh placements at the chosen width than a comparison needs."""

    do = "Set the feet anew at that width until there are three, mixed with as arrived."

    def __init__(self, family: str, width_mm: float, count: int) -> None:
        super().__init__(family, width_mm, count)
        self.where = family
        self.what = f"{count} of {_PLACEMENTS} confirming placements were taken at {width_mm:.0f} mm."


@dataclass(frozen=True, slots=True, kw_only=True)
class Confirmation:
    """Whether the chosen width held, with the figures.

    `predicted_deg` is the curve at that width at the time of the confirming trials, drift included;
    `observed_deg` their mean; `apart_deg` observed minus predicted with the joint error. `p_square` takes
    both in. `as_arrived_deg` is the mean of the as-arrived placements between them, None without any.
    """

    family: Family
    width_mm: float
    verdict: Literal["confirmed", "not confirmed"]
    reason: str
    predicted_deg: Estimate
    observed_deg: Estimate
    apart_deg: Estimate
    p_square: float
    as_arrived_deg: Estimate | None


def confirmation_order(rng: np.random.Generator) -> tuple[Literal["chosen", "as arrived"], ...]:
    """Three placements at the chosen width between three as arrived: A B B A A B, either going first.

    Mirrored pairs keep steady drift from favouring one of the two. The player is not told which is which.

    Examples
    --------
    >>> sorted(confirmation_order(np.random.default_rng(1)))
    ['as arrived', 'as arrived', 'as arrived', 'chosen', 'chosen', 'chosen']
    """
    names: tuple[Literal["chosen", "as arrived"], ...] = ("chosen", "as arrived")
    a, b = names if rng.random() < 0.5 else names[::-1]
    return (a, b, b, a, a, b)


def _mean(trials: Sequence[HipLineTrial], noise_sd: float) -> Estimate:
    mean = math.fsum(t.hip_line_deg for t in trials) / len(trials)
    return Estimate(value=mean, se=noise_sd / math.sqrt(len(trials)), n=len(trials), unit="deg")


def _predicted(fit: StanceFit, family: Family, width_mm: float) -> CurvePoint:
    curve = next(cc.curve for cc in fit.conditions if family in cc.families and cc.phase == fit.phase)
    return min(curve, key=lambda point: abs(point.width_mm - width_mm))


def confirm_width(fit: StanceFit, trials: Sequence[HipLineTrial], family: Family) -> Confirmation:
    """Compare fresh placements at the family's chosen width with what the curve predicted there.

    Parameters
    ----------
    fit
        From the searching trials.
    trials
        All trials of the visit; those with `confirms` set are compared, the others place them in time.
    family
        Whose width; confirming trials of another family are left out.

    Returns
    -------
    confirmation
        *Confirmed* when observed and predicted differ by no more than 1.96 joint errors **and** both together
        leave the width at least *likely* square; a noisy studio cannot confirm by being unable to tell.

    Raises
    ------
    NothingToConfirmError
        When the answer gives no width.
    TooFewConfirmingTrialsError
        With fewer than three placements at that width.

    Notes
    -----
    The joint error holds the curve's SD, the drift's over the time between, and the noise of one reading
    (root mean square over what the search left possible) over the square root of the placements. `p_square`
    weighs prediction and observation by their precision.
    """
    answer = fit.families[family]
    if answer.width_mm is None:
        raise NothingToConfirmError(family, answer.answer)
    width = answer.best_width_mm
    fresh = [t for t in trials if t.confirms and t.phase == fit.phase and t.family in (None, family)]
    chosen = [t for t in fresh if abs(t.width_mm - width) <= c.SAME_WIDTH.value]
    others = [t for t in fresh if abs(t.width_mm - width) > c.SAME_WIDTH.value]
    if len(chosen) < _PLACEMENTS:
        raise TooFewConfirmingTrialsError(family, width, len(chosen))
    middle = middle_of_phase([t for t in trials if not t.confirms], fit.phase)
    late = math.fsum(t.trial - middle for t in chosen) / len(chosen)
    point, drift = _predicted(fit, family, width), fit.drift_deg_per_trial
    predicted = Estimate(
        value=point.mean_deg + drift.value * late,
        se=math.hypot(point.sd_deg, drift.se * late),
        n=len(trials) - len(fresh),
        unit="deg",
    )
    noise_sd = math.hypot(fit.noise_deg.value, fit.noise_deg.se)
    observed = _mean(chosen, noise_sd)
    apart = difference(observed, predicted)
    p_square = _together(predicted, observed, drift.value * late, fit.margin_deg)
    agrees = abs(apart.value) <= _WITHIN * apart.se
    confirmed = agrees and p_square >= c.LIKELY_FROM.value
    return Confirmation(
        family=family,
        width_mm=width,
        verdict="confirmed" if confirmed else "not confirmed",
        reason=_reason(apart, agrees=agrees, confirmed=confirmed, p_square=p_square),
        predicted_deg=predicted,
        observed_deg=observed,
        apart_deg=apart,
        p_square=p_square,
        as_arrived_deg=_mean(others, noise_sd) if others else None,
    )


def _together(predicted: Estimate, observed: Estimate, drifted_deg: float, margin_deg: float) -> float:
    """Chance of square at the middle of the series from prediction and observation by their precision."""
    a, b = predicted.se**-2.0, observed.se**-2.0
    mean = (a * predicted.value + b * observed.value) / (a + b) - drifted_deg
    return float(square_probability(np.array(mean), np.array((a + b) ** -0.5), margin_deg))


def _reason(apart: Estimate, *, agrees: bool, confirmed: bool, p_square: float) -> str:
    figures = f"{abs(apart.value):.1f} deg apart, joint error {apart.se:.1f} deg"
    if not agrees:
        return f"The fresh placements do not agree with the curve: {figures}."
    if not confirmed:
        return f"The fresh placements agree with the curve ({figures}), but leave too much doubt of square."
    return f"The fresh placements agree with the curve ({figures}); chance of square {p_square:.2f}."
