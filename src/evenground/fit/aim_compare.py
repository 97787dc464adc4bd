"""Two ways of aiming against each other: where the face looks, how steadily, and the chance inside."""

import math
from dataclasses import dataclass

import numpy as np
from scipy.special import fdtri

from evenground.estimate import Estimate, Interval, difference
from evenground.fit.aim import AimFit, posterior_chances
from evenground.fit.change import ChangeWord, Figure, compare_figures

__all__ = ["AimChange", "compare_aims"]

_EACH = 512
_MOST = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class AimChange:
    """What another way of aiming did: `now` less `was`.

    `word` and `why` judge the bias against a quarter of the hole's window; `spread_ratio` is the spread now
    over the spread then, `inside_change` the change of the chance inside, each a 95 % range; `more_trials`
    how many more under each would tell a quarter of the window, None where the word is told already.
    """

    was: str
    now: str
    bias_deg: Estimate
    word: ChangeWord
    why: str
    spread_ratio: Interval
    inside_change: Interval
    more_trials: int | None


def compare_aims(was: tuple[str, AimFit], now: tuple[str, AimFit]) -> AimChange:
    """What changed between two conditions, each with its name.

    Parameters
    ----------
    was, now
        Name and fit of the earlier and the later condition, at the same hole.

    Returns
    -------
    change
        *changed* or *no real change* of the bias as in `compare_figures`; else *cannot tell*.

    Notes
    -----
    Ratio of spreads by Fisher's F. The change of the chance: the independent posteriors of both, as
    midpoints of 512 quantiles of each, every pair. Of twenty pairs alike about one reads *changed*; comparing
    more conditions gives more chances of that.
    """
    (was_name, one), (now_name, other) = was, now
    matters = one.window_deg / 4.0
    line = compare_figures(
        "aim", "bias", Figure(value=one.bias_deg), Figure(value=other.bias_deg), matters=matters
    )
    told = line.word != "cannot tell"
    return AimChange(
        was=was_name,
        now=now_name,
        bias_deg=difference(other.bias_deg, one.bias_deg),
        word=line.word,
        why=line.reason,
        spread_ratio=_ratio(other, one),
        inside_change=_inside_change(one, other),
        more_trials=None if told else _more(one, other, matters),
    )


def _ratio(top: AimFit, bottom: AimFit) -> Interval:
    """95 % range of the ratio of two true spreads."""
    dofs = top.bias_deg.n - 1, bottom.bias_deg.n - 1
    seen = (top.spread_deg.value / bottom.spread_deg.value) ** 2
    low, high = seen / float(fdtri(*dofs, 0.975)), seen / float(fdtri(*dofs, 0.025))
    return Interval(low=math.sqrt(low), high=math.sqrt(high), level=0.95, unit="")


def _inside_change(one: AimFit, other: AimFit) -> Interval:
    def spread_out(fit: AimFit) -> list[float]:
        chances = posterior_chances(fit.bias_deg.value, fit.spread_deg.value, fit.bias_deg.n, fit.window_deg)
        return [float(q) for q in np.quantile(chances, (np.arange(_EACH) + 0.5) / _EACH)]

    apart = np.subtract.outer(spread_out(other), spread_out(one))
    low, high = np.quantile(apart, [0.025, 0.975])
    return Interval(low=float(low), high=float(high), level=0.95, unit="")


def _more(one: AimFit, other: AimFit, matters: float) -> int:
    """Aims to add under each until the difference is known to what matters, at the spreads seen."""
    for extra in range(1, _MOST):
        n, m = one.bias_deg.n + extra, other.bias_deg.n + extra
        se = math.hypot(one.spread_deg.value / math.sqrt(n), other.spread_deg.value / math.sqrt(m))
        if Estimate(value=0.0, se=se, dof=n + m - 2, unit="deg").half_width() <= matters:
            return extra
    return _MOST
