r"""How a club stands at address: exact geometry of length, lie, cap height and reach.

::

        cap o                     h = L sin(lie)          height of the cap
            |\                    r = L cos(lie)          reach: level distance from under the cap to the sole
          h | \ L
            |  \                  lie as held = asin(h / L)
      ______|___\___o ball        a club held flatter than its own lie has its toe up
               r

Everything is static: how the shaft bends at impact cannot be seen here, so these are starting points.
"""

import math

from evenground.errors import FitError
from evenground.estimate import Estimate, difference
from evenground.fit.club_constants import HEEL_CENTRE_SE_SHARE, HEEL_CENTRE_SHARE, TOE_OUT_SE_DEG

__all__ = [
    "CapTooHighError",
    "ball_from_heel_line_mm",
    "cap_height_mm",
    "held_lie_deg",
    "length_for_lie_mm",
    "reach_mm",
]


class CapTooHighError(FitError):
    """A cap higher over the ground than its club is long."""

    do = "Measure the cap's height again in the address, from the ground that the ball lies on."

    def __init__(self, height_mm: float, length_mm: float) -> None:
        super().__init__(height_mm, length_mm)
        self.where = "cap height"
        self.what = f"A cap {height_mm:.0f} mm up is not below the club's own length of {length_mm:.0f} mm."


def cap_height_mm(length_mm: Estimate, lie_deg: Estimate) -> Estimate:
    """Height of the cap over the ground when the sole lies flat: ``L sin(lie)``.

    Examples
    --------
    >>> length, lie = Estimate(value=37 * 25.4, se=0.0, unit="mm"), Estimate(value=62.5, se=0.0, unit="deg")
    >>> cap_height_mm(length, lie).value, reach_mm(length, lie).value
    (833.6, 433.9)
    """
    lie = math.radians(lie_deg.value)
    return _by_parts(
        length_mm.value * math.sin(lie),
        math.sin(lie) * length_mm.se,
        length_mm.value * math.cos(lie) * math.radians(lie_deg.se),
        unit="mm",
    )


def reach_mm(length_mm: Estimate, lie_deg: Estimate) -> Estimate:
    """Level distance from under the cap to the sole: ``L cos(lie)``."""
    lie = math.radians(lie_deg.value)
    return _by_parts(
        length_mm.value * math.cos(lie),
        math.cos(lie) * length_mm.se,
        length_mm.value * math.sin(lie) * math.radians(lie_deg.se),
        unit="mm",
    )


def held_lie_deg(length_mm: Estimate, height_mm: Estimate) -> Estimate:
    """Lie at which a club is held whose cap stands so high: ``asin(h / L)``.

    Raises
    ------
    CapTooHighError
        When the cap is not below the club's length.

    Notes
    -----
    Errors by the derivatives: ``dh / (L cos)`` and ``tan dL / L`` (JCGM 100:2008, 5.1.2).
    """
    share = height_mm.value / length_mm.value
    if not 0.0 < share < 1.0:
        raise CapTooHighError(height_mm.value, length_mm.value)
    lie = math.asin(share)
    return _by_parts(
        math.degrees(lie),
        math.degrees(height_mm.se / (length_mm.value * math.cos(lie))),
        math.degrees(math.tan(lie) * length_mm.se / length_mm.value),
        unit="deg",
    )


def length_for_lie_mm(height_mm: Estimate, lie_deg: Estimate) -> Estimate:
    """Length at which a club of this lie lies flat with its cap so high: ``h / sin(lie)``."""
    lie = math.radians(lie_deg.value)
    return _by_parts(
        height_mm.value / math.sin(lie),
        height_mm.se / math.sin(lie),
        height_mm.value * math.cos(lie) / math.sin(lie) ** 2 * math.radians(lie_deg.se),
        unit="mm",
    )


def ball_from_heel_line_mm(
    from_toe_line_mm: Estimate, shoe_length_mm: float, toe_out_deg: tuple[float, float]
) -> Estimate:
    """How far ahead of the line through the heel centres the ball lies, from its distance to the toe line.

    Parameters
    ----------
    from_toe_line_mm
        Ahead of the line through the toe tips.
    shoe_length_mm
        Outsole.
    toe_out_deg
        Of the lead and of the trail foot; between the feet the toe line is taken at its middle.

    Notes
    -----
    Each toe tip is ``(1 - 0.14) length cos(toe-out)`` ahead of its heel centre, the share ours with an error
    of 0.02. With feet turned out differently the toe line is not parallel to the heel line: half of how far
    the two tips differ is added as an error.
    """
    share = 1.0 - HEEL_CENTRE_SHARE.value
    turned = [math.radians(deg) for deg in toe_out_deg]
    ahead = [share * shoe_length_mm * math.cos(angle) for angle in turned]
    slips = [
        share * shoe_length_mm * math.sin(angle) * math.radians(TOE_OUT_SE_DEG.value) / 2.0
        for angle in turned
    ]
    toes = _by_parts(
        sum(ahead) / 2.0,
        HEEL_CENTRE_SE_SHARE.value * shoe_length_mm,
        *slips,
        abs(ahead[0] - ahead[1]) / 2.0,
        unit="mm",
    )
    return difference(from_toe_line_mm, toes.scaled(-1.0))


def _by_parts(value: float, *parts: float, unit: str) -> Estimate:
    return Estimate(value=value, se=math.hypot(*parts), unit=unit)
