"""Where the hip joints lie, from landmarks of the pelvis; a measure to offer, never to demand."""

import math
from dataclasses import dataclass

from evenground.estimate import Estimate
from evenground.sourced import Sourced

__all__ = ["HipJoints", "hip_joints", "spacing_by_share"]

_HARRINGTON = "Harrington et al. 2007, J Biomech 40:595-602, as three public implementations have it; in mm"
DEPTH_SIDEWAYS = Sourced(0.28, "", f"{_HARRINGTON}: sideways, of the pelvic depth")
WIDTH_SIDEWAYS = Sourced(0.16, "", f"{_HARRINGTON}: sideways, of the width between the front spines")
CONSTANT_SIDEWAYS = Sourced(7.9, "mm", f"{_HARRINGTON}: sideways")
WIDTH_ALONE_SIDEWAYS = Sourced(0.33, "", f"{_HARRINGTON}: sideways from the width alone")
WIDTH_ALONE_SIDEWAYS_CONSTANT = Sourced(7.3, "mm", f"{_HARRINGTON}: sideways from the width alone")
DEPTH_BEHIND = Sourced(0.24, "", f"{_HARRINGTON}: behind the front spines, of the pelvic depth")
CONSTANT_BEHIND = Sourced(9.9, "mm", f"{_HARRINGTON}: behind the front spines")
WIDTH_BELOW = Sourced(0.16, "", f"{_HARRINGTON}: below the front spines, of the width")
LEG_BELOW = Sourced(0.04, "", f"{_HARRINGTON}: below the front spines, of the leg's length")
CONSTANT_BELOW = Sourced(7.1, "mm", f"{_HARRINGTON}: below the front spines")
WIDTH_ALONE_BELOW = Sourced(0.30, "", f"{_HARRINGTON}: below the front spines from the width alone")
WIDTH_ALONE_BELOW_CONSTANT = Sourced(
    10.9, "mm", f"{_HARRINGTON}: below the front spines from the width alone"
)
EQUATION_ERROR = Sourced(
    12.3,
    "mm",
    "Mantovani et al. 2016, Gait & Posture 44:48-54, 67 adults against CT; they give 12.3 (5.9) mm",
)
BELL_SHARE = Sourced(
    0.72, "", "Bell, Pedersen and Brand 1990, J Biomech 23:617-621, second-hand: 36 % lateral either way"
)
BELL_ERROR = Sourced(
    33.0 / 1.96, "mm", "Bell, Brand and Pedersen 1989, Hum Mov Sci 8:3-16: within 3.3 cm at 95 %"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class HipJoints:
    """The hip joint centres seen from the middle of the front spines of the hip bones, each with its error.

    `spacing_mm` is from one joint to the other; `behind_mm` needs the pelvic depth and is None without it.
    """

    spacing_mm: Estimate
    behind_mm: Estimate | None
    below_mm: Estimate


def _sum(*terms: tuple[float, Estimate], plus: float) -> Estimate:
    """``plus + sum of share * size`` with the sizes' errors and the equation's own."""
    value = plus + math.fsum(share * size.value for share, size in terms)
    se = math.hypot(EQUATION_ERROR.value, *(share * size.se for share, size in terms))
    return Estimate(value=value, se=se, unit="mm")


def hip_joints(
    asis_breadth_mm: Estimate,
    *,
    pelvic_depth_mm: Estimate | None = None,
    leg_length_mm: Estimate | None = None,
) -> HipJoints:
    """Hip joint centres by the published regressions on pelvic width, depth and leg length, all in mm.

    Source: Harrington et al. 2007; error by Mantovani et al. 2016. Both joints are taken to miss to the same
    extent independently, so that the spacing's error is that of two.

    Examples
    --------
    >>> width, depth, leg = (Estimate(value=v, se=0.0, unit="mm") for v in (240.0, 155.0, 900.0))
    >>> hips = hip_joints(width, pelvic_depth_mm=depth, leg_length_mm=leg)
    >>> hips.spacing_mm.value, hips.behind_mm.value, hips.below_mm.value
    (179.4, 47.1, 81.5)
    """
    width, depth, leg = asis_breadth_mm, pelvic_depth_mm, leg_length_mm
    if depth is None:
        sideways = _sum((WIDTH_ALONE_SIDEWAYS.value, width), plus=WIDTH_ALONE_SIDEWAYS_CONSTANT.value)
    else:
        sideways = _sum(
            (DEPTH_SIDEWAYS.value, depth), (WIDTH_SIDEWAYS.value, width), plus=CONSTANT_SIDEWAYS.value
        )
    if leg is None:
        below = _sum((WIDTH_ALONE_BELOW.value, width), plus=WIDTH_ALONE_BELOW_CONSTANT.value)
    else:
        below = _sum((WIDTH_BELOW.value, width), (LEG_BELOW.value, leg), plus=CONSTANT_BELOW.value)
    return HipJoints(
        spacing_mm=Estimate(value=2.0 * sideways.value, se=math.sqrt(2.0) * sideways.se, unit="mm"),
        behind_mm=None if depth is None else _sum((DEPTH_BEHIND.value, depth), plus=CONSTANT_BEHIND.value),
        below_mm=below,
    )


def spacing_by_share(asis_breadth_mm: Estimate) -> Estimate:
    """Spacing of the hip joints as 72 % of the width between the front spines: the older rule.

    Source: Bell, Pedersen and Brand 1990 (second-hand); error by Bell, Brand and Pedersen 1989.

    Examples
    --------
    >>> spacing_by_share(Estimate(value=240.0, se=0.0, unit="mm")).value
    172.8
    """
    share = asis_breadth_mm.scaled(BELL_SHARE.value)
    return share.widened(math.sqrt(2.0) * BELL_ERROR.value)
