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
from dataclasses import dataclass, replace

from evenground.errors import FitError
from evenground.estimate import Estimate
from evenground.fit.grip_constants import (
    EXTRAPOLATED_SHARE,
    FINGER_SLOPE,
    GLOVE_MM,
    GLOVE_SE_MM,
    HAND_SLOPE,
    REFERENCE_DIAMETER_MM,
    REFERENCE_FINGER_MM,
    REFERENCE_HAND_MM,
    SORE_SE_MM,
    SURVEY_LONGEST_HAND_MM,
    SURVEY_SHORTEST_HAND_MM,
    USUAL_TAPER_MM,
    WANTED_SE_MM,
)
from evenground.visit import Glove, GripStyle, StudioGripModel

__all__ = [
    "DEFAULT_MODEL",
    "GripWanted",
    "Hand",
    "HandOutOfReachError",
    "Held",
    "NoHandError",
    "StretchedGripError",
    "entered_diameters",
    "installed_mm",
    "wanted_as_held",
    "wanted_diameters",
]

DEFAULT_MODEL = StudioGripModel(
    at_reference_mm=REFERENCE_DIAMETER_MM.value,
    hand_slope=HAND_SLOPE.value,
    finger_slope=FINGER_SLOPE.value,
    taper_mm=USUAL_TAPER_MM.value,
    se_mm=WANTED_SE_MM.value,
    hands=0,
    players=0,
)
"""The model before a studio has fitted its own: fitted to nobody, so it counts no hands and no players."""

_HAND_LIMITS_MM = (100.0, 260.0)  # a child of six to the tallest adults: beyond is a unit or a slip
_FINGER_LIMITS_MM = (35.0, 120.0)
_DIAMETER_LIMITS_MM = (12.0, 60.0)
_GLOVE_LIMITS_MM = (0.1, 3.0)

SORE = (
    "A sore hand: comfort outranks size. Let the player hold the nearest builds one after another, the "
    "thicker first; stop at pain, and ask a licensed practitioner about the hand."
)


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
    """One hand: its length, and its middle finger as hand length minus palm length, in mm.

    For a `sore` hand comfort outranks size.
    """

    length_mm: Estimate
    finger_mm: Estimate
    sore: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """How one club is held: which hand is where, and which wears a glove; None for what is usual.

    Usual is a glove on the lead hand (common practice), which the model's diameters are meant for.
    """

    style: GripStyle = "usual"
    glove: Glove | None = None
    glove_mm: float = GLOVE_MM.value


@dataclass(frozen=True, slots=True, kw_only=True)
class GripWanted:
    """Outside diameter wanted under each hand, None for a hand that does not hold the club."""

    upper_mm: Estimate | None
    lower_mm: Estimate | None
    notes: tuple[str, ...] = ()
    comfort_first: bool = False


def _checked(what: str, value_mm: float, limits_mm: tuple[float, float]) -> None:
    low, high = limits_mm
    if not low <= value_mm <= high:
        raise HandOutOfReachError(what, value_mm, low, high)


def _beyond_mm(hand: Hand) -> float:
    """How far a hand's length is beyond the adults behind the model, 0 among them."""
    low, high = SURVEY_SHORTEST_HAND_MM.value, SURVEY_LONGEST_HAND_MM.value
    return max(low - hand.length_mm.value, hand.length_mm.value - high, 0.0)


def _for_hand(hand: Hand | None, which: str, model: StudioGripModel, less_mm: float) -> Estimate | None:
    if hand is None:
        return None
    _checked(f"{which} hand's length", hand.length_mm.value, _HAND_LIMITS_MM)
    _checked(f"{which} hand's middle finger", hand.finger_mm.value, _FINGER_LIMITS_MM)
    value = (
        model.at_reference_mm
        + model.hand_slope * (hand.length_mm.value - REFERENCE_HAND_MM.value)
        + model.finger_slope * (hand.finger_mm.value - REFERENCE_FINGER_MM.value)
        - less_mm
    )
    # Both sizes come from one outline and share its errors, so these add as they stand, not as squares.
    slopes = abs(model.hand_slope), abs(model.finger_slope)
    measured = slopes[0] * hand.length_mm.se + slopes[1] * hand.finger_mm.se
    finger = REFERENCE_FINGER_MM.value / REFERENCE_HAND_MM.value  # a finger grows with its hand
    beyond = EXTRAPOLATED_SHARE.value * _beyond_mm(hand) * (slopes[0] + slopes[1] * finger)
    sore = SORE_SE_MM.value if hand.sore else 0.0
    fitted = model.players > 1 and model.se_mm > WANTED_SE_MM.value
    own = Estimate(
        value=value,
        se=max(WANTED_SE_MM.value, model.se_mm),
        dof=model.players - 1 if fitted else math.inf,
        n=hand.length_mm.n,
        unit="mm",
    )
    more = math.hypot(measured, beyond, sore)
    return own if more == 0.0 else own.widened(more)


def wanted_diameters(
    upper: Hand | None,
    lower: Hand | None,
    *,
    one_handed: bool = False,
    model: StudioGripModel = DEFAULT_MODEL,
) -> GripWanted:
    """Diameters that these hands want at the places where they sit; by default a model of ours.

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
    model
        The default, or a studio's own (`fit_grip_model`).

    Returns
    -------
    wanted
        With a standard error never below one 1/64 in step, and notes where the model is stretched: beyond its
        adults the error grows by half of what it changes there, and a sore hand adds two steps.

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
    there = [hand for hand in (upper, lower) if hand is not None]
    if any(_beyond_mm(hand) > 0.0 for hand in there):
        low, high = SURVEY_SHORTEST_HAND_MM.value, SURVEY_LONGEST_HAND_MM.value
        notes.append(
            f"A hand outside {low:g} to {high:g} mm is beyond the adults behind this model: extrapolated."
        )
    sore = any(hand.sore for hand in there)
    return GripWanted(
        upper_mm=_for_hand(upper, "upper", model, 0.0),
        lower_mm=_for_hand(lower, "lower", model, model.taper_mm),
        notes=(*notes, *((SORE,) if sore else ())),
        comfort_first=sore,
    )


def wanted_as_held(
    lead: Hand | None, trail: Hand | None, held: Held, *, model: StudioGripModel = DEFAULT_MODEL
) -> GripWanted:
    """Diameters wanted on one club, by how it is held.

    Cross-handed the trail hand is the upper one and takes no taper off. One hand alone sits at the upper
    station. A glove that is not the usual one lies between hand and grip: a hand in it closes around the grip
    and two layers of leather, so the grip is thinner by these, and thicker under a lead hand without.

    Parameters
    ----------
    lead, trail
        The player's hands; None when one was not measured.
    held
        The grip's style and glove on this club.
    model
        As in `wanted_diameters`; errors as there.
    """
    upper_is_lead = held.style not in ("cross-handed", "trail hand only")
    upper, lower = (lead, trail) if upper_is_lead else (trail, lead)
    alone = held.style in ("lead hand only", "trail hand only")
    wanted = wanted_diameters(upper, None if alone else lower, one_handed=alone, model=model)
    if held.glove is None:
        return wanted
    _checked("glove's leather", held.glove_mm, _GLOVE_LIMITS_MM)
    thinner = {hand: _glove_change_mm(hand, held) for hand in ("lead", "trail")}
    sides = ("lead", "trail") if upper_is_lead else ("trail", "lead")
    sizes = [
        None if size is None else _gloved(size, thinner[hand])
        for size, hand in zip((wanted.upper_mm, wanted.lower_mm), sides, strict=True)
    ]
    return replace(wanted, upper_mm=sizes[0], lower_mm=sizes[1])


def _glove_change_mm(hand: str, held: Held) -> float:
    """What a glove that is not the usual one changes under a hand."""
    gloved = held.glove in (hand, "both")
    usual = hand == "lead"
    return 2.0 * held.glove_mm * (int(usual) - int(gloved))


def _gloved(size: Estimate, change_mm: float) -> Estimate:
    if change_mm == 0.0:
        return size
    return size.shifted(change_mm).widened(2.0 * GLOVE_SE_MM.value)


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
