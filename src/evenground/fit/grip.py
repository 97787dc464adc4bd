"""How thick a grip this player's hands want, and how thick a given grip becomes on a given butt.

::

      cap                                                       toward the head
      |=====[ upper hand ]===========[ lower hand ]======|----------------------
      0          50.8                    152.4      z, mm below the cap's edge

The wanted diameters are a default of ours: no published optimum for holding a golf club exists, and the ratio
of hand length known from squeezing bare cylinders would ask for a grip two thirds thicker. What is built is
physics: rubber keeps its volume.
"""

import math
from dataclasses import dataclass

from evenground.errors import FitError
from evenground.estimate import Estimate
from evenground.fit.grip_constants import (
    FINGER_SLOPE,
    HAND_SLOPE,
    REFERENCE_DIAMETER_MM,
    REFERENCE_FINGER_MM,
    REFERENCE_HAND_MM,
    SURVEY_LONGEST_HAND_MM,
    SURVEY_SHORTEST_HAND_MM,
    USUAL_TAPER_MM,
    WANTED_SE_MM,
)

__all__ = [
    "GripWanted",
    "Hand",
    "HandOutOfReachError",
    "NoHandError",
    "StretchedGripError",
    "entered_diameters",
    "installed_mm",
    "wanted_diameters",
]

_HAND_LIMITS_MM = (100.0, 260.0)  # a child of six to the tallest adults: beyond is a unit or a slip
_FINGER_LIMITS_MM = (35.0, 120.0)
_DIAMETER_LIMITS_MM = (12.0, 60.0)


class HandOutOfReachError(FitError):
    """A hand, finger or grip size that no player has, most often another unit."""

    do = "Measure again, and give millimetres."

    def __init__(self, what: str, value_mm: float, low_mm: float, high_mm: float) -> None:
        super().__init__(what, value_mm, low_mm, high_mm)
        hint = _unit_hint(value_mm, low_mm, high_mm)
        self.what = f"The {what} of {value_mm:g} mm is outside {low_mm:g} to {high_mm:g} mm{hint}."


class NoHandError(FitError):
    """A grip was asked for and neither hand is there to fit it to."""

    do = "Give the measures of at least one hand, or the wanted diameters."

    def __init__(self) -> None:
        super().__init__()
        self.what = "No hand was measured, so no grip size can be worked out."


class StretchedGripError(FitError):
    """Sizes that no grip on a shaft can have: a bore wider than the outside, or no stretch at all."""

    do = "Check the outside, the bore, the butt and the two lengths."

    def __init__(self, outside_mm: float, core_mm: float, shaft_mm: float, stretch: float) -> None:
        super().__init__(outside_mm, core_mm, shaft_mm, stretch)
        self.what = (
            f"A grip of {outside_mm:g} mm outside and {core_mm:g} mm bore on {shaft_mm:g} mm, "
            f"stretched {stretch:g} times, is not possible."
        )


def _unit_hint(value_mm: float, low_mm: float, high_mm: float) -> str:
    """What unit an impossible number may have been in."""
    for factor, unit in ((10.0, "centimetres"), (25.4, "inches")):
        if low_mm <= value_mm * factor <= high_mm:
            return f"; it may be in {unit}"
    return ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hand:
    """One hand: its length, and its middle finger as hand length minus palm length, in mm."""

    length_mm: Estimate
    finger_mm: Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class GripWanted:
    """Outside diameter wanted under each hand, None for a hand that does not hold the club."""

    upper_mm: Estimate | None
    lower_mm: Estimate | None
    notes: tuple[str, ...] = ()


def _checked(what: str, value_mm: float, limits_mm: tuple[float, float]) -> None:
    low, high = limits_mm
    if not low <= value_mm <= high:
        raise HandOutOfReachError(what, value_mm, low, high)


def _for_hand(hand: Hand | None, which: str, less_mm: float) -> Estimate | None:
    if hand is None:
        return None
    _checked(f"{which} hand's length", hand.length_mm.value, _HAND_LIMITS_MM)
    _checked(f"{which} hand's middle finger", hand.finger_mm.value, _FINGER_LIMITS_MM)
    value = (
        REFERENCE_DIAMETER_MM.value
        + HAND_SLOPE.value * (hand.length_mm.value - REFERENCE_HAND_MM.value)
        + FINGER_SLOPE.value * (hand.finger_mm.value - REFERENCE_FINGER_MM.value)
        - less_mm
    )
    # Both sizes come from one outline and share its errors, so these add as they stand, not as squares.
    measured = HAND_SLOPE.value * hand.length_mm.se + FINGER_SLOPE.value * hand.finger_mm.se
    return Estimate(value=value, se=math.hypot(WANTED_SE_MM.value, measured), n=hand.length_mm.n, unit="mm")


def _extrapolated(hands: tuple[Hand | None, Hand | None]) -> bool:
    low, high = SURVEY_SHORTEST_HAND_MM.value, SURVEY_LONGEST_HAND_MM.value
    return any(hand is not None and not low <= hand.length_mm.value <= high for hand in hands)


def wanted_diameters(upper: Hand | None, lower: Hand | None, *, one_handed: bool = False) -> GripWanted:
    """Diameters that these hands want at the places where they sit; a default model of ours.

    22.86 mm under the upper hand for the survey's mean man, plus 0.028 a millimetre of hand and 0.070 a
    millimetre of finger, each hand by its own measures; under the lower hand the same less the usual taper.
    Comfort outranks size for sore hands.

    Parameters
    ----------
    upper, lower
        The hand nearer the cap and the one nearer the head; None when it was not measured.
    one_handed
        Whether the missing hand does not hold the club at all. Otherwise the other hand stands in for it, and
        a note says so.

    Returns
    -------
    wanted
        With a standard error never below one 1/64 in step, and notes where the model is stretched.

    Raises
    ------
    NoHandError
        If both are None.
    HandOutOfReachError
        If a size is outside what any player has.

    Examples
    --------
    >>> mm = lambda value: Estimate(value=value, se=0.0, unit="mm")
    >>> hand = Hand(length_mm=mm(193.3), finger_mm=mm(76.8))
    >>> wanted = wanted_diameters(hand, hand)
    >>> wanted.upper_mm.value, wanted.lower_mm.value, wanted.upper_mm.se
    (22.86, 21.06, 0.4)
    """
    if upper is None and lower is None:
        raise NoHandError
    notes: list[str] = []
    if not one_handed and (upper is None or lower is None):
        missing = "upper" if upper is None else "lower"
        notes.append(f"The {missing} hand was not measured: the other hand's size stands in for it.")
        upper, lower = upper or lower, lower or upper
    if _extrapolated((upper, lower)):
        low, high = SURVEY_SHORTEST_HAND_MM.value, SURVEY_LONGEST_HAND_MM.value
        notes.append(
            f"A hand outside {low:g} to {high:g} mm is beyond the adults behind this model: extrapolated."
        )
    return GripWanted(
        upper_mm=_for_hand(upper, "upper", 0.0),
        lower_mm=_for_hand(lower, "lower", USUAL_TAPER_MM.value),
        notes=tuple(notes),
    )


def entered_diameters(upper_mm: float | None, lower_mm: float | None) -> GripWanted:
    """Wanted diameters as a teacher entered them; the same least standard error as the model's.

    Raises
    ------
    NoHandError
        If both are None.
    HandOutOfReachError
        If a diameter is outside what any grip has.
    """
    if upper_mm is None and lower_mm is None:
        raise NoHandError
    wanted: list[Estimate | None] = []
    for which, value in (("upper", upper_mm), ("lower", lower_mm)):
        if value is not None:
            _checked(f"diameter wanted under the {which} hand", value, _DIAMETER_LIMITS_MM)
        wanted.append(None if value is None else Estimate(value=value, se=WANTED_SE_MM.value, unit="mm"))
    return GripWanted(upper_mm=wanted[0], lower_mm=wanted[1])


def installed_mm(
    outside_mm: float, core_mm: float, shaft_mm: float, *, tape_mm: float = 0.0, stretch: float = 1.0
) -> float:
    """Outside diameter of a round rubber grip on a shaft, at one station.

    The rubber keeps its volume: its cross-section shrinks by the stretch along the shaft, and sits on
    whatever is inside::

        D^2 = (D_nominal^2 - D_core^2) / s + (d_shaft + 2 t)^2

    Parameters
    ----------
    outside_mm, core_mm
        Outside and bore of the free grip there.
    shaft_mm
        Bare shaft there.
    tape_mm
        All tape on the shaft there, double-sided included, as thickness.
    stretch
        Installed over free length.

    Raises
    ------
    StretchedGripError
        If the sizes cannot belong to a grip on a shaft.

    Examples
    --------
    >>> installed_mm(22.86, 14.73, 15.24)
    23.192
    >>> installed_mm(22.86, 14.73, 14.73, stretch=277 / 267)
    22.62
    """
    if not (0.0 < core_mm < outside_mm and shaft_mm > 0.0 and tape_mm >= 0.0 and stretch > 0.0):
        raise StretchedGripError(outside_mm, core_mm, shaft_mm, stretch)
    return math.sqrt((outside_mm**2 - core_mm**2) / stretch + (shaft_mm + 2.0 * tape_mm) ** 2)
