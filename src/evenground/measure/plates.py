"""The ground from force plates: load, CoP and sway without the feet's shape, in a result like a mat's.

A plate gives the point through which the ground pushes back. With moments taken about the plate's own origin,
and `o` the way from that origin to the middle of the surface, both in the plate's axes::

    M' = M - o x F          moments about the middle of the surface
    x  = -M'y / Fz          y = M'x / Fz

which holds whichever way the plate's z axis points and whether it reports the player's push or its own.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from evenground.errors import MeasureError
from evenground.estimate import Estimate
from evenground.floor import Side
from evenground.measure.autocorrelation import means_of_series
from evenground.measure.grade import Flag, Grade
from evenground.measure.ground import CentreOfPressure, Feet, Foot, Ground, Widths
from evenground.measure.ground_constants import (
    FORCE_MISMATCH_FLAG,
    FORCE_MISMATCH_MAX,
    SHORT_RECORDING_S,
    STANDARD_GRAVITY,
)
from evenground.measure.plates_constants import PLATE_LOAD_SE
from evenground.measure.recording import FloatArray
from evenground.measure.sway import Sway, sway
from evenground.measure.weighing import mismatch_words

__all__ = [
    "SIDES",
    "Plate",
    "PlateRecording",
    "PlateRecordingError",
    "UnloadedPlateError",
    "describe_plates",
    "ground_without_feet",
    "net_cop_mm",
    "surface_cop",
    "weight_flags",
]

SIDES: tuple[Side, Side] = ("left", "right")
_LEAST_N = 20.0
_STEPPED_OFF = 0.2  # of the median force
_FEWEST = 16


class PlateRecordingError(MeasureError):
    """The series of the plates do not belong together."""

    do = "Export force and CoP of every plate at one rate, for the same stretch of time."

    def __init__(self, where: str, what: str) -> None:
        super().__init__(where, what)
        self.where, self.what = where, what


class UnloadedPlateError(MeasureError):
    """Nobody stands on a plate."""

    do = "Record while the player stands with a foot on each plate, and cut what comes before and after."

    def __init__(self, where: str, plate: str, first_sample: int, count: int) -> None:
        super().__init__(where, plate, first_sample, count)
        self.where = where
        self.what = f"Nobody stands on the {plate} in {count} samples, first in sample {first_sample + 1}."


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Plate:
    """One plate.

    Attributes
    ----------
    foot
        Which foot stands on it.
    force_n
        (T,) vertical force, positive for the player's weight.
    cop_mm
        (T, 2) CoP in the floor's directions, x to the player's right and y ahead, from a point that all
        plates share; a column of NaN where that coordinate is not known.
    """

    foot: Literal["left", "right", "both"]
    force_n: FloatArray
    cop_mm: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlateRecording:
    """One or two plates under a standing player: a foot each, or both on one."""

    plates: tuple[Plate, ...]
    rate_hz: float
    name: str = "plates"

    def __post_init__(self) -> None:
        feet = sorted(plate.foot for plate in self.plates)
        if feet not in (["both"], ["left", "right"]):
            raise PlateRecordingError(self.name, "One plate carries both feet, or two carry a foot each.")
        counts = {len(p.force_n) for p in self.plates} | {len(p.cop_mm) for p in self.plates}
        if len(counts) != 1 or not 0.0 < self.rate_hz < np.inf:
            raise PlateRecordingError(self.name, "The plates have series of different lengths, or no rate.")
        if any(not np.all(np.isfinite(p.force_n)) for p in self.plates):
            raise PlateRecordingError(self.name, "A force is missing or infinite.")
        for plate in self.plates:
            known = np.isfinite(plate.cop_mm)
            if np.any(known.any(axis=0) & ~known.all(axis=0)):
                raise PlateRecordingError(self.name, "A CoP is missing in some samples.")

    def of(self, foot: Side) -> Plate | None:
        """The plate under one foot."""
        return next((plate for plate in self.plates if plate.foot == foot), None)


def surface_cop(force_n: FloatArray, moment_nmm: FloatArray, origin_mm: FloatArray) -> FloatArray:
    """CoP on a plate's surface from forces and moments.

    Parameters
    ----------
    force_n
        (T, 3) in the plate's axes.
    moment_nmm
        (T, 3) about the plate's origin, newton millimetres.
    origin_mm
        (3,) the way from that origin to the middle of the surface, in the plate's axes.

    Returns
    -------
    cop_mm
        (T, 2) from the middle of the surface, in the plate's axes; NaN where there is no vertical force.

    Examples
    --------
    Ten newtons 100 mm along x and 50 mm along y, z up, the origin 40 mm below the surface:

    >>> f = np.array([[2.0, 0.0, -10.0]])
    >>> m = np.cross([100.0, 50.0, 40.0], f)
    >>> surface_cop(f, m, np.array([0.0, 0.0, 40.0]))
    array([[100., 50.]])
    """
    about = moment_nmm - np.cross(origin_mm, force_n)
    vertical = np.where(force_n[:, 2] == 0.0, np.nan, force_n[:, 2])
    return np.column_stack([-about[:, 1] / vertical, about[:, 0] / vertical])


def net_cop_mm(recording: PlateRecording) -> FloatArray:
    """CoP of all plates together, (T, 2): their CoPs weighted by their forces."""
    force = np.stack([plate.force_n for plate in recording.plates])
    cop = np.stack([plate.cop_mm for plate in recording.plates])
    return np.asarray((force[:, :, None] * cop).sum(axis=0) / force.sum(axis=0)[:, None])


def describe_plates(recording: PlateRecording, *, mass_kg: float | None = None) -> Ground:
    """Figures of one standing on force plates, as far as plates see them.

    Parameters
    ----------
    recording
        At least 16 samples.
    mass_kg
        The player's mass, to check the plates by.

    Returns
    -------
    ground
        Load of each foot (two plates), force and sway; widths, toe-out, lines and CoP from the heels are
        None, since a plate does not see where on it the foot stands.

    Raises
    ------
    UnloadedPlateError
        When nobody stands on a plate in some samples.
    PlateRecordingError
        Under 16 samples.

    Notes
    -----
    Errors: `means_of_series` for the swaying share, widened by `PLATE_LOAD_SE` of each plate.
    """
    if len(recording.plates[0].force_n) < _FEWEST:
        raise PlateRecordingError(recording.name, f"Standing takes at least {_FEWEST} samples.")
    for plate in recording.plates:
        _refuse_unloaded(recording.name, plate)
    net = net_cop_mm(recording)
    total = np.sum([plate.force_n for plate in recording.plates], axis=0)
    n = len(total)
    swaying = sway(net, recording.rate_hz, where=recording.name) if np.all(np.isfinite(net)) else None
    force = _mean(total, recording.rate_hz, "N").widened(
        float(PLATE_LOAD_SE) * float(total.mean()) * 2.0**0.5
    )
    flags = (*_flags(recording, n), *weight_flags(recording.name, force.value, mass_kg))
    usable = not any(flag.code == "force-unbelievable" for flag in flags)
    return ground_without_feet(_loads(recording, total), force, swaying, Grade(usable=usable, flags=flags))


def _refuse_unloaded(where: str, plate: Plate) -> None:
    least = max(_STEPPED_OFF * float(np.median(plate.force_n)), _LEAST_N)
    off = np.flatnonzero(plate.force_n < least)
    if len(off):
        words = "plate" if plate.foot == "both" else f"{plate.foot} plate"
        raise UnloadedPlateError(where, words, int(off[0]), len(off))


def _mean(series: FloatArray, rate_hz: float, unit: str) -> Estimate:
    mean = means_of_series(series[:, None], rate_hz)
    return Estimate(
        value=float(mean.value[0]), se=float(mean.se[0]), dof=float(mean.dof[0]), n=len(series), unit=unit
    )


def _loads(recording: PlateRecording, total: FloatArray) -> dict[Side, Estimate | None]:
    """Each foot's part of the mean force in percent, with the sway of the share as its error."""
    left, right = recording.of("left"), recording.of("right")
    if left is None or right is None:
        return {"left": None, "right": None}
    mean = 100.0 * float(left.force_n.mean() / total.mean())
    # of both plates' errors, each body weight's share: the share moves by half the difference
    plates = 100.0 * float(PLATE_LOAD_SE) / 2.0**0.5
    swaying = _mean(100.0 * left.force_n / total, recording.rate_hz, "%").widened(plates)
    as_left = swaying.shifted(mean - swaying.value)
    return {"left": as_left, "right": as_left.scaled(-1.0).shifted(100.0)}


def _flags(recording: PlateRecording, n: int) -> tuple[Flag, ...]:
    where = recording.name
    text = "Force plates see no feet: widths, toe-out and where the CoP lies on a foot are not measured."
    flags = [Flag(code="no-feet-seen", where=where, text=text)]
    if len(recording.plates) == 1:
        said = "One plate carries both feet: how they share the load is not measured."
        flags.append(Flag(code="no-share", where=where, text=said))
    seconds = n / recording.rate_hz
    if seconds < float(SHORT_RECORDING_S):
        said = f"{seconds:.1f} s is short for a mean load and CoP: record about 10 s."
        flags.append(Flag(code="short", where=where, text=said))
    return tuple(flags)


def weight_flags(where: str, force_n: float, mass_kg: float | None) -> tuple[Flag, ...]:
    """What to say when a force is not the player's weight; ``force-unbelievable`` makes it unusable.

    Parameters
    ----------
    where
        What gave the force.
    force_n
        Mean of all that carries the player.
    mass_kg
        The player's mass, None when it is not known.
    """
    if mass_kg is None:
        return ()
    off = force_n / (mass_kg * float(STANDARD_GRAVITY)) - 1.0
    if abs(off) <= float(FORCE_MISMATCH_FLAG):
        return ()
    code = "force-unbelievable" if abs(off) > float(FORCE_MISMATCH_MAX) else "force-mismatch"
    text = (
        f"Altogether {force_n:.0f} N, {100.0 * off:+.0f} % against {mass_kg:.1f} kg: "
        f"{mismatch_words(force_n, mass_kg * float(STANDARD_GRAVITY))}. Does anything else carry weight?"
    )
    return (Flag(code=code, where=where, text=text),)


def ground_without_feet(
    loads: dict[Side, Estimate | None],
    force: Estimate | None,
    swaying: Sway | None,
    grade: Grade,
    *,
    heel_loads: dict[Side, Estimate | None] | None = None,
    cop: CentreOfPressure | None = None,
    width: Estimate | None = None,
    lines: tuple[Estimate | None, Estimate | None, Estimate | None] = (None, None, None),
) -> Ground:
    """A result in which nothing is known of the feet's shape.

    Parameters
    ----------
    loads
        Each foot's part of the load.
    force, swaying, grade
        As in `Ground`.
    heel_loads
        Each heel's part of its foot's load.
    cop, width
        From midway between the heels, and between their centres.
    lines
        Lead heel ahead, heel line, and load line against it, + open.
    """
    feet = {
        side: Foot(
            load_percent=loads[side],
            toe_out_deg=None,
            cop_percent_length=None,
            heel_load_percent=None if heel_loads is None else heel_loads[side],
            length_mm=None,
            area_cm2=None,
        )
        for side in SIDES
    }
    return Ground(
        feet=Feet(left=feet["left"], right=feet["right"]),
        stance_width_mm=Widths(heel_centres=width, inside=None, outside=None),
        fore_aft_offset_mm=lines[0],
        heel_line_deg=lines[1],
        load_line_deg=lines[2],
        cop_mm=cop or CentreOfPressure(x=None, y=None),
        total_force_n=force,
        sway=swaying,
        grade=grade,
    )
