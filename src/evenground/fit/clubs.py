"""A club against the Equipment Rules, on the 14-inch scale, and its lie when its length changes.

Rules change: every verdict here is a reading of the edition named in the constants, and the current Rules of
Golf decide.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from evenground.errors import FitError
from evenground.fit.club_constants import LEAN_BACKWARD_DEG, LEAN_FORWARD_DEG
from evenground.fit.grip_constants import (
    CLUB_LONGEST_MM,
    CLUB_SHORTEST_MM,
    D0_INCH_OUNCES,
    FULCRUM_MM,
    GRAM_OUNCES,
    GRIP_SHORTEST_MM,
    GRIP_WIDEST_MM,
    POINT_INCH_OUNCES,
    PROFILE_TOLERANCE_MM,
    PUTTER_STEEPEST_LIE_DEG,
    STANDARD_GRAVITY,
)
from evenground.visit import Family

__all__ = [
    "HandsTooHighError",
    "Verdict",
    "check_club_length",
    "check_grip_length",
    "check_grip_profile",
    "check_grip_shape",
    "check_grip_width",
    "check_lean",
    "check_putter_lie",
    "hand_moment_n_m",
    "lie_change_deg",
    "profile_rise_mm",
    "swing_weight_inch_ounces",
    "swing_weight_points",
]

Conformity = Literal["conforms", "does not conform", "cannot certify"]

_EDGE = 1e-9  # a limit typed in inches may miss its millimetres by rounding; a nanometre breaks no rule


class HandsTooHighError(FitError):
    """A hand height that no lie of this length can reach."""

    do = "Check the club's length and lie."

    def __init__(self, length_mm: float, hand_height_mm: float) -> None:
        super().__init__(length_mm, hand_height_mm)
        self.what = f"A club of {length_mm:.1f} mm cannot hold the hands {hand_height_mm:.1f} mm high."


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """One rule held against one size; a limit within two standard errors of the size cannot be certified."""

    rule: str
    answer: Conformity
    text: str


def _against(value: float, limit: float, se: float, *, at_most: bool) -> Conformity:
    room = limit - value if at_most else value - limit
    if se > 0.0 and abs(room) < 2.0 * se:
        return "cannot certify"
    return "conforms" if room >= -_EDGE else "does not conform"


def check_grip_width(widest_mm: float, *, se_mm: float = 0.0) -> Verdict:
    """Whether a grip's widest cross-section is within the Rules. Source: Equipment Rules 2-3b(iii).

    Examples
    --------
    >>> check_grip_width(44.45).answer, check_grip_width(44.46).answer
    ('conforms', 'does not conform')
    >>> check_grip_width(44.4, se_mm=0.1).answer
    'cannot certify'
    """
    limit = GRIP_WIDEST_MM.value
    answer = _against(widest_mm, limit, se_mm, at_most=True)
    return Verdict(rule="grip width", answer=answer, text=f"widest {widest_mm:.2f} mm, at most {limit} mm")


def check_grip_length(length_mm: float, *, se_mm: float = 0.0) -> Verdict:
    """Whether a grip is long enough. Source: Equipment Rules 2-3a."""
    limit = GRIP_SHORTEST_MM.value
    answer = _against(length_mm, limit, se_mm, at_most=False)
    return Verdict(rule="grip length", answer=answer, text=f"{length_mm:.1f} mm, at least {limit} mm")


def profile_rise_mm(diameters_mm: Sequence[float]) -> float:
    """The most a grip grows going down the shaft, against its thinnest place above.

    Parameters
    ----------
    diameters_mm
        Diameters in order from the cap down.

    Examples
    --------
    >>> profile_rise_mm([22.9, 22.0, 22.4])
    0.4
    """
    thinnest, rise = math.inf, 0.0
    for diameter in diameters_mm:
        thinnest = min(thinnest, diameter)
        rise = max(rise, diameter - thinnest)
    return rise


def check_grip_profile(diameters_mm: Sequence[float]) -> Verdict:
    """Whether a grip has a bulge or a waist. Source: Equipment Rules 2-3b(iii); the 0.2 mm are ours."""
    rise = profile_rise_mm(diameters_mm)
    bad = rise > PROFILE_TOLERANCE_MM.value + _EDGE
    said = f"grows {rise:.2f} mm going down: a bulge or waist" if bad else "no bulge or waist"
    return Verdict(rule="grip profile", answer="does not conform" if bad else "conforms", text=said)


def check_putter_lie(lie_deg: float, *, se_deg: float = 0.0) -> Verdict:
    """Whether a putter's shaft is far enough from the vertical. Source: Equipment Rules 2-1d.

    Examples
    --------
    >>> check_putter_lie(79.9).answer, check_putter_lie(80.1).answer
    ('conforms', 'does not conform')
    """
    limit = PUTTER_STEEPEST_LIE_DEG.value
    answer = _against(lie_deg, limit, se_deg, at_most=True)
    return Verdict(rule="putter lie", answer=answer, text=f"lie {lie_deg:.1f} deg, at most {limit:g} deg")


def check_lean(lean_deg: float, *, se_deg: float = 0.0) -> Verdict:
    """Whether the shaft leans no more along the line of play than the Rules allow, + toward the target.

    Source: Equipment Rules 2-1d, the club in its normal address position.

    Examples
    --------
    >>> check_lean(19.9).answer, check_lean(20.1).answer, check_lean(-10.1).answer
    ('conforms', 'does not conform', 'does not conform')
    """
    forward, backward = LEAN_FORWARD_DEG.value, LEAN_BACKWARD_DEG.value
    if lean_deg >= 0.0:
        answer = _against(lean_deg, forward, se_deg, at_most=True)
    else:
        answer = _against(lean_deg, -backward, se_deg, at_most=False)
    way = "forward" if lean_deg >= 0.0 else "backward"
    said = f"{abs(lean_deg):.1f} deg {way}, at most {forward:g} forward and {backward:g} backward"
    return Verdict(rule="shaft lean", answer=answer, text=said)


def check_grip_shape(shape: Literal["round", "not round"], family: Family) -> Verdict:
    """Whether a grip's cross-section may be what it is. Source: Equipment Rules 2-3b(i) and (ii).

    A rib of at most 1.016 mm along the whole grip counts as round. What is not round may be on a putter, if
    it is symmetrical, alike along its length and nowhere hollow: that is for the eye.

    Examples
    --------
    >>> check_grip_shape("not round", "irons").answer, check_grip_shape("not round", "putter").answer
    ('does not conform', 'cannot certify')
    """
    if shape == "round":
        return Verdict(rule="grip shape", answer="conforms", text="round")
    if family == "putter":
        said = "not round: symmetrical, alike all along and nowhere hollow is for the eye to see"
        return Verdict(rule="grip shape", answer="cannot certify", text=said)
    return Verdict(rule="grip shape", answer="does not conform", text="not round, and not on a putter")


def check_club_length(length_mm: float, family: Family, *, se_mm: float = 0.0) -> Verdict:
    """Whether a club's length is within the Rules; putters have no upper limit. Source: Equipment Rules 2-1c.

    Lengths are by the Rules' own method (60 deg plane), which differs from a ruler along the shaft.
    """
    low, high = CLUB_SHORTEST_MM.value, CLUB_LONGEST_MM.value
    answer = _against(length_mm, low, se_mm, at_most=False)
    said = f"{length_mm:.1f} mm, at least {low} mm"
    if family != "putter" and answer == "conforms":
        answer = _against(length_mm, high, se_mm, at_most=True)
        said = f"{length_mm:.1f} mm, {low} to {high} mm"
    return Verdict(rule="club length", answer=answer, text=said)


def swing_weight_inch_ounces(mass_g: float, balance_mm: float) -> float:
    """Moment of a club about a fulcrum 14 in below the butt, in inch-ounces.

    Parameters
    ----------
    mass_g
        Whole club.
    balance_mm
        Its balance point, from the butt end.
    """
    return mass_g * GRAM_OUNCES.value * (balance_mm - FULCRUM_MM.value) / 25.4


def swing_weight_points(mass_g: float, balance_mm: float) -> float:
    """Points above D0 on the 14-inch scale; means nothing for putters.

    Examples
    --------
    >>> swing_weight_points(13.0 * 28.349523125, 30.5 * 25.4)
    0.5714
    """
    return (swing_weight_inch_ounces(mass_g, balance_mm) - D0_INCH_OUNCES.value) / POINT_INCH_OUNCES.value


def hand_moment_n_m(mass_g: float, balance_mm: float, hands_mm: float) -> float:
    """Static moment of a level club about the middle of the hands, in newton metres: how head-heavy it is.

    Parameters
    ----------
    mass_g, balance_mm
        Whole club and its balance point from the butt end.
    hands_mm
        Middle between the two hands, from the butt end.
    """
    return mass_g / 1000.0 * STANDARD_GRAVITY.value * (balance_mm - hands_mm) / 1000.0


def lie_change_deg(length_mm: float, lie_deg: float, longer_mm: float) -> float:
    """How the lie changes with the length when the hands stay at one height; negative is flatter.

    Exact: the butt end stands ``length sin(lie)`` above the ground before and after. A static posture cannot
    show how the shaft bends at impact.

    Raises
    ------
    HandsTooHighError
        If the shortened club cannot reach that height at all.

    Examples
    --------
    >>> lie_change_deg(37 * 25.4, 62.5, 12.7)
    -1.433
    """
    height_mm = length_mm * math.sin(math.radians(lie_deg))
    new_mm = length_mm + longer_mm
    if new_mm <= 0.0 or height_mm > new_mm:
        raise HandsTooHighError(new_mm, height_mm)
    return math.degrees(math.asin(height_mm / new_mm)) - lie_deg
