"""Refuses hip-line trials that no curve can be drawn through, each with its own message."""

from collections.abc import Mapping, Sequence

from evenground.errors import FitError
from evenground.fit.stance_types import StanceOptions
from evenground.visit import Family, HipLineTrial, Phase

__all__ = [
    "AsArrivedOutOfRangeError",
    "FamilySomeOnlyError",
    "HipLineOutOfRangeError",
    "MixedWidthUnitsError",
    "NotANumberTrialError",
    "StanceOptionError",
    "StatureOutOfRangeError",
    "TooFewTrialsError",
    "TooManyTrialsError",
    "TrialNumberTwiceError",
    "WidthOutOfRangeError",
    "WidthUnitError",
    "check_as_arrived",
    "check_options",
    "check_stature",
    "check_trials",
]

_NARROWEST_MM, _WIDEST_MM = 100.0, 1000.0
_METRES_BELOW, _INCHES_BELOW = 1.2, 48.0
_MOST_DEG = 60.0
_MOST_TRIALS = 300  # ten times a long hour; beyond it a file was given by mistake
_WHERE = "hip-line trials"


class TooFewTrialsError(FitError):
    """Fewer trials than a search can start from."""

    def __init__(self, count: int, first_mm: tuple[float, ...] = ()) -> None:
        super().__init__(count, first_mm)
        self.where = _WHERE
        self.what = (
            f"{count} trial{'' if count == 1 else 's'} cannot show how the hip line follows the width."
        )
        widths = ", ".join(f"{w:.0f}" for w in first_mm)
        self.do = "Take at least three, at different widths" + (
            f", for instance {widths} mm." if widths else "."
        )


class TooManyTrialsError(FitError):
    """More trials than one visit can hold."""

    do = "Give the hip-line trials of one player on one day."

    def __init__(self, count: int, most: int) -> None:
        super().__init__(count, most)
        self.where = _WHERE
        self.what = f"{count} trials are more than one visit holds (at most {most})."


class AsArrivedOutOfRangeError(FitError):
    """An as-arrived width nobody stands at."""

    do = f"Give heel centre to heel centre in mm, {_NARROWEST_MM:.0f} to {_WIDEST_MM:.0f}."

    def __init__(self, family: str, width_mm: float) -> None:
        super().__init__(family, width_mm)
        self.where = f"{family} as arrived"
        self.what = f"A stance width of {width_mm:g} mm is not possible."


class TrialNumberTwiceError(FitError):
    """Two trials claim the same place in the order."""

    do = "Number the trials in the order they were taken, each number once in a phase."

    def __init__(self, number: int, phase: str) -> None:
        super().__init__(number, phase)
        self.where = _WHERE
        self.what = f"Trial {number} stands twice in the phase {phase!r} of the routine."


class NotANumberTrialError(FitError):
    """A width or angle that is no finite number."""

    do = "Enter the reading again, or leave the trial out."

    def __init__(self, number: int, field: str) -> None:
        super().__init__(number, field)
        self.where = f"trial {number}"
        self.what = f"Its {field} is missing or not a number."


class WidthUnitError(FitError):
    """All widths look like another unit than millimetres."""

    do = "Enter widths in millimetres, heel centre to heel centre (1 in is 25.4 mm, 1 cm is 10 mm)."

    def __init__(self, smallest: float, largest: float, unit: str) -> None:
        super().__init__(smallest, largest, unit)
        self.where = _WHERE
        self.what = (
            f"The widths run from {smallest:g} to {largest:g}: that looks like {unit}, not millimetres."
        )


class MixedWidthUnitsError(FitError):
    """Some widths look like millimetres and some like another unit."""

    do = "Enter every width in millimetres, heel centre to heel centre."

    def __init__(self, odd: tuple[tuple[int, float], ...], unit: str) -> None:
        super().__init__(odd, unit)
        self.where = _WHERE
        listed = ", ".join(f"{value:g} in trial {number}" for number, value in odd)
        self.what = f"Units are mixed: {listed} looks like {unit} among widths in millimetres."


class WidthOutOfRangeError(FitError):
    """A width nobody stands at."""

    do = f"Enter heel centre to heel centre in mm, {_NARROWEST_MM:.0f} to {_WIDEST_MM:.0f}."

    def __init__(self, number: int, width_mm: float) -> None:
        super().__init__(number, width_mm)
        self.where = f"trial {number}"
        self.what = f"A stance width of {width_mm:g} mm is not possible."


class HipLineOutOfRangeError(FitError):
    """A hip line turned further than a setup can hold."""

    do = f"Enter the angle in degrees between -{_MOST_DEG:.0f} and {_MOST_DEG:.0f}, + open."

    def __init__(self, number: int, angle_deg: float) -> None:
        super().__init__(number, angle_deg)
        self.where = f"trial {number}"
        self.what = f"A hip line of {angle_deg:g} deg is out of range."


class FamilySomeOnlyError(FitError):
    """Some trials name their club family and some do not."""

    do = "Name the family (putter, irons or woods) in every trial, or in none when one curve serves all."

    def __init__(self, without: tuple[int, ...]) -> None:
        super().__init__(without)
        self.where = _WHERE
        listed = ", ".join(map(str, without))
        self.what = f"No family is named for trial {listed}, while other trials name theirs."


class StatureOutOfRangeError(FitError):
    """A stature no player has, most likely in another unit."""

    do = "Give the stature in mm, 900 to 2400."

    def __init__(self, stature_mm: float) -> None:
        super().__init__(stature_mm)
        self.where = "stature"
        self.what = f"{stature_mm:g} mm is not a player's stature."


class StanceOptionError(FitError):
    """An option of the search outside what makes sense."""

    def __init__(self, name: str, value: float, low: float, high: float) -> None:
        super().__init__(name, value, low, high)
        self.where = name
        self.what = f"{value:g} is out of range."
        self.do = f"Give a value from {low:g} to {high:g}."


_RANGES = {
    "margin_deg": (0.2, 10.0),
    "noise_deg": (0.2, 10.0),
    "turn_at_least_deg": (1.0, 150.0),
    "turn_noise_deg": (0.2, 20.0),
    "budget_before": (3, 100),
    "budget_after": (1, 100),
    "least_gain": (0.0, 1.0),
    "drift_sd_deg": (0.0, 5.0),
    "step_mm": (2.0, 50.0),
    "draws": (50, 100_000),
}


def check_options(options: StanceOptions) -> None:
    """Refuse options outside their range.

    Raises
    ------
    StanceOptionError
        With the option's name and range.
    """
    for width in options.allowed_mm:
        if not _NARROWEST_MM <= width <= _WIDEST_MM:
            raise StanceOptionError("allowed_mm", width, _NARROWEST_MM, _WIDEST_MM)
    for name, (low, high) in _RANGES.items():
        value = getattr(options, name)
        if value is not None and not low <= value <= high:
            raise StanceOptionError(name, value, low, high)


def check_stature(stature_mm: float) -> None:
    """Refuse a stature outside 900 to 2400 mm.

    Raises
    ------
    StatureOutOfRangeError
        Also for a stature that is not a number.
    """
    if not 900.0 <= stature_mm <= 2400.0:
        raise StatureOutOfRangeError(stature_mm)


def check_as_arrived(as_arrived_mm: Mapping[Family, float]) -> None:
    """Refuse as-arrived widths that are not between 100 and 1000 mm.

    Raises
    ------
    AsArrivedOutOfRangeError
        Also for a width that is not a number.
    """
    for family, width in as_arrived_mm.items():
        if not _NARROWEST_MM <= width <= _WIDEST_MM:
            raise AsArrivedOutOfRangeError(family, width)


def check_trials(trials: Sequence[HipLineTrial], *, first_mm: tuple[float, ...] = ()) -> None:
    """Refuse trials that cannot be fitted, the most telling reason first.

    Parameters
    ----------
    trials
        In any order.
    first_mm
        Widths to propose when there are too few.

    Raises
    ------
    TooFewTrialsError, TooManyTrialsError
        With fewer than three, with more than 300.
    TrialNumberTwiceError, NotANumberTrialError, WidthUnitError, MixedWidthUnitsError, WidthOutOfRangeError
        For what their names say.
    HipLineOutOfRangeError, FamilySomeOnlyError
        The same.
    """
    if len(trials) < 3:
        raise TooFewTrialsError(len(trials), first_mm)
    if len(trials) > _MOST_TRIALS:
        raise TooManyTrialsError(len(trials), _MOST_TRIALS)
    seen: set[tuple[int, Phase]] = set()
    for t in trials:
        if (t.trial, t.phase) in seen:
            raise TrialNumberTwiceError(t.trial, t.phase)
        seen.add((t.trial, t.phase))
        _check_numbers(t)
    _check_units(trials)
    for t in trials:
        if not _NARROWEST_MM <= t.width_mm <= _WIDEST_MM:
            raise WidthOutOfRangeError(t.trial, t.width_mm)
    without = tuple(t.trial for t in trials if t.family is None)
    if without and len(without) < len(trials):
        raise FamilySomeOnlyError(without)


def _check_numbers(t: HipLineTrial) -> None:
    for field, value in (("width_mm", t.width_mm), ("hip_line_deg", t.hip_line_deg)):
        if not abs(value) < float("inf"):  # also false for NaN
            raise NotANumberTrialError(t.trial, field)
    if abs(t.hip_line_deg) > _MOST_DEG:
        raise HipLineOutOfRangeError(t.trial, t.hip_line_deg)


def _unit(width: float) -> str | None:
    """The unit a width looks to be in when it is not millimetres."""
    if 0.0 < width < _METRES_BELOW:
        return "metres"
    if _METRES_BELOW <= width <= _INCHES_BELOW:
        return "inches"
    return "centimetres" if _INCHES_BELOW < width < _NARROWEST_MM else None


def _check_units(trials: Sequence[HipLineTrial]) -> None:
    odd = [(t.trial, t.width_mm, unit) for t in trials if (unit := _unit(t.width_mm)) is not None]
    if not odd:
        return
    units = " or ".join(sorted({unit for _, _, unit in odd}))
    if len(odd) < len(trials):
        raise MixedWidthUnitsError(tuple((number, width) for number, width, _ in odd), units)
    widths = [width for _, width, _ in odd]
    raise WidthUnitError(min(widths), max(widths), units)
