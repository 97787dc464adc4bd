"""The ground from two or four bathroom scales: load, and where it lies if the scales' places are known.

Two scales carry a foot each. Four carry heel and forefoot of each foot apart, level with one another.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np

from evenground.errors import MeasureError
from evenground.estimate import Estimate, from_repeats, total
from evenground.floor import Handed, Side, body_open_deg, lead_side, line_deg
from evenground.measure.grade import Flag, Grade
from evenground.measure.ground import CentreOfPressure, Ground
from evenground.measure.ground_constants import STANDARD_GRAVITY
from evenground.measure.plates import SIDES, ground_without_feet, weight_flags
from evenground.measure.plates_constants import SCALE_PLACE_SE_MM, SCALE_SE_KG
from evenground.measure.recording import FloatArray

__all__ = ["Scale", "ScaleReadings", "ScalesError", "describe_scales"]

Part = Literal["whole", "heel", "forefoot"]
_LEAST_KG = 20.0


class ScalesError(MeasureError):
    """Scales that do not carry a standing player as two or four can."""

    do = "Use one scale a foot, or two a foot under heel and forefoot, and type what each shows."

    def __init__(self, where: str, what: str) -> None:
        super().__init__(where, what)
        self.where, self.what = where, what


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """One scale: what stands on it, what it read, where the middle of what stands on it lies.

    `kg` are its readings, one or more, read one after another on one standing; `step_kg` is what it counts
    in. `x_mm` is to the player's right and `y_mm` ahead, from a point that all scales share.
    """

    foot: Side
    part: Part
    kg: tuple[float, ...]
    step_kg: float = 0.1
    x_mm: float | None = None
    y_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleReadings:
    """All scales under one standing."""

    scales: tuple[Scale, ...]
    name: str = "scales"

    def __post_init__(self) -> None:
        under = sorted((scale.foot, scale.part) for scale in self.scales)
        whole = [("left", "whole"), ("right", "whole")]
        parts = [(foot, part) for foot in ("left", "right") for part in ("forefoot", "heel")]
        if under not in (whole, parts):
            said = ", ".join(f"{foot} {part}" for foot, part in under) or "none"
            raise ScalesError(self.name, f"The scales carry {said}.")
        if any(not scale.kg for scale in self.scales):
            raise ScalesError(self.name, "A scale has no reading.")

    @property
    def in_parts(self) -> bool:
        """Whether heel and forefoot stand on scales of their own."""
        return len(self.scales) == 4


def describe_scales(readings: ScaleReadings, *, handed: Handed, mass_kg: float | None = None) -> Ground:
    """Figures of one standing on scales.

    Parameters
    ----------
    readings
        Two scales or four.
    handed
        The player's golfing hand.
    mass_kg
        The player's mass, to check the scales by.

    Returns
    -------
    ground
        Load of each foot and total force; of four scales the heel's share too; with their places typed, the
        width, and as far as the places tell it the CoP and the lines. No sway, no shape.

    Raises
    ------
    ScalesError
        When hardly anybody stands on them.

    Notes
    -----
    One reading is wrong by `SCALE_SE_KG`, a place by `SCALE_PLACE_SE_MM`; both are carried through every
    figure by its derivative (JCGM 100:2008, 5.1). Two scales that differ in their gain shift the load by half
    the difference: swap them and read again.
    """
    loads = [_load(scale) for scale in readings.scales]
    weight = total(loads)
    if weight.value < _LEAST_KG:
        raise ScalesError(readings.name, f"The scales carry {weight.value:.1f} kg altogether.")
    force = weight.scaled(float(STANDARD_GRAVITY), unit="N")
    flags = (*_flags(readings), *weight_flags(readings.name, force.value, mass_kg))
    found = _Found(readings, tuple(loads), handed)
    grade = Grade(usable=not any(flag.code == "force-unbelievable" for flag in flags), flags=flags)
    return ground_without_feet(
        {side: found.share(_on(side), _any) for side in SIDES},
        force,
        None,
        grade,
        heel_loads={side: found.share(_heel, _on(side)) for side in SIDES} if readings.in_parts else None,
        cop=CentreOfPressure(x=found.from_heels(0), y=found.from_heels(1)),
        width=found.of_places("mm", lambda heels, _: heels[1, 0] - heels[0, 0], axes=(0,)),
        lines=found.lines(),
    )


def _load(scale: Scale) -> Estimate:
    read = from_repeats(scale.kg, unit="kg", known_sd=float(SCALE_SE_KG))
    return read.widened(scale.step_kg / 12.0**0.5)


def _on(side: Side) -> Callable[[Scale], bool]:
    return lambda scale: scale.foot == side


def _any(_scale: Scale) -> bool:
    return True


def _heel(scale: Scale) -> bool:
    return scale.part != "forefoot"


Figure = Callable[[FloatArray, FloatArray], float]
"""Of the heels' places (2, 2), left then right, and the feet's loads and CoPs (2, 3): kg, x, y."""


class _Found:
    """Figures of all readings with their errors, by derivatives."""

    def __init__(self, readings: ScaleReadings, loads: tuple[Estimate, ...], handed: Handed) -> None:
        self.scales, self.handed = readings.scales, handed
        self.kg = np.array([load.value for load in loads])
        self.kg_se = np.array([load.se for load in loads])
        self.places = np.array([[_or_nan(s.x_mm), _or_nan(s.y_mm)] for s in self.scales])
        self.in_parts = readings.in_parts

    def share(self, part: Callable[[Scale], bool], of: Callable[[Scale], bool]) -> Estimate:
        """What the scales in `part` carry of those in `of`, in percent."""
        whole = np.array([of(s) for s in self.scales], float)
        some = whole * [part(s) for s in self.scales]
        carried = float(whole @ self.kg)
        value = float(some @ self.kg) / carried
        slopes = (some - value * whole) / carried
        se = float(np.linalg.norm(slopes * self.kg_se))
        return Estimate(value=100.0 * value, se=100.0 * se, n=self._n, unit="%")

    def from_heels(self, axis: int) -> Estimate | None:
        """CoP along one axis from midway between the heels; ahead only where forefeet stand apart."""
        if axis == 1 and not self.in_parts:
            return None
        return self.of_places("mm", lambda heels, feet: _middle(feet)[axis] - heels[:, axis].mean(), (axis,))

    def lines(self) -> tuple[Estimate | None, Estimate | None, Estimate | None]:
        """Lead heel ahead, heel line, load line against it; None where the places do not tell."""
        lead = 0 if lead_side(self.handed) == "left" else 1
        ahead = self.of_places("mm", lambda heels, _: heels[lead, 1] - heels[1 - lead, 1], (1,))
        heel = self.of_places("deg", lambda heels, _: self._open(heels), (0, 1))
        if not self.in_parts:
            return ahead, heel, None
        load = self.of_places("deg", lambda heels, feet: self._open(feet[:, 1:]) - self._open(heels), (0, 1))
        return ahead, heel, load

    def _open(self, ends: FloatArray) -> float:
        left, right = ((float(x), float(y)) for x, y in ends)
        return body_open_deg(line_deg(left, right), self.handed)

    @property
    def _n(self) -> int:
        return min(len(scale.kg) for scale in self.scales)

    def of_places(self, unit: str, figure: Figure, axes: tuple[int, ...]) -> Estimate | None:
        """A figure with its error, or None when the places along those axes were not typed."""
        if not np.all(np.isfinite(self.places[:, axes])):
            return None
        places = np.where(np.isfinite(self.places), self.places, 0.0)
        value = self._at(figure, self.kg, places)
        variance = 0.0
        for k in range(len(self.scales)):
            step = np.zeros(len(self.scales))
            step[k] = 1e-3
            slope = (self._at(figure, self.kg + step, places) - value) / 1e-3
            variance += (slope * self.kg_se[k]) ** 2
            for axis in axes:
                moved = places.copy()
                moved[k, axis] += 1e-3
                slope = (self._at(figure, self.kg, moved) - value) / 1e-3
                variance += (slope * float(SCALE_PLACE_SE_MM)) ** 2
        return Estimate(value=value, se=variance**0.5, n=self._n, unit=unit)

    def _at(self, figure: Figure, kg: FloatArray, places: FloatArray) -> float:
        heels, feet = [], []
        for side in SIDES:
            own = [k for k, scale in enumerate(self.scales) if scale.foot == side]
            heels.append(places[next(k for k in own if _heel(self.scales[k]))])
            feet.append([kg[own].sum(), *(kg[own] @ places[own] / kg[own].sum())])
        return float(figure(np.array(heels), np.array(feet)))


def _middle(feet: FloatArray) -> FloatArray:
    """CoP of both feet together, (2,)."""
    return np.asarray(feet[:, 0] @ feet[:, 1:] / feet[:, 0].sum())


def _or_nan(value: float | None) -> float:
    return np.nan if value is None else value


def _flags(readings: ScaleReadings) -> tuple[Flag, ...]:
    text = "Scales see no feet: toe-out, lengths and sway are not measured."
    flags = [Flag(code="no-feet-seen", where=readings.name, text=text)]
    if any(scale.x_mm is None for scale in readings.scales):
        text = "Without the scales' places there is no CoP and no width: type where each foot's middle stood."
        flags.append(Flag(code="no-places", where=readings.name, text=text))
    return tuple(flags)
