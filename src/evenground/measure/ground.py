"""One standing recording in figures: feet, load, toe-out, widths, lines, CoP, sway, and a grade.

Positions are in the floor frame: x along the target line to the player's right, y ahead, origin midway
between the heel centres. The foot with the smaller x is the left one (the player faces +y).
"""

from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any

import numpy as np

from evenground.errors import MeasureError
from evenground.estimate import Estimate, pool
from evenground.floor import Handed, Side
from evenground.measure.contact import BoolArray, Contact, cell_positions_mm, find_contact
from evenground.measure.feet import FootShape, foot_shape
from evenground.measure.figures import (
    MIN_SERIES_FRAMES,
    Figures,
    end_error_mm,
    pitch_errors,
    total_cop_mm,
    with_errors,
)
from evenground.measure.grade import Flag, Grade, grade_recording
from evenground.measure.ground_constants import AREA_EDGE, STANDARD_GRAVITY
from evenground.measure.instrument_apply import MatChecks, SwayFloor, sway_floor
from evenground.measure.prepare import drift_of, errors_with_gain, prepare
from evenground.measure.quiet import QuietPart
from evenground.measure.recording import FloatArray, MatRecording
from evenground.measure.sums import basis, floor_sums, foot_sums, frame_sums, mean_map
from evenground.measure.sway import Sway, sway

__all__ = [
    "CentreOfPressure",
    "Feet",
    "Foot",
    "Ground",
    "SteppedOffError",
    "Widths",
    "centre_of_pressure",
    "describe",
    "pool_placements",
]

_STEPPED_OFF = 0.2  # of the median force


class SteppedOffError(MeasureError):
    """In some frames hardly anything presses."""

    do = "Start the recording once the player stands and end it before they step off, or cut those frames."

    def __init__(self, where: str, first_frame: int, count: int) -> None:
        super().__init__(where, first_frame, count)
        self.where = where
        self.what = f"Nobody stands on the mat in {count} of the frames, first in frame {first_frame + 1}."


@dataclass(frozen=True, slots=True, kw_only=True)
class Foot:
    """One foot of a stance.

    `load_percent` of both feet's force; `toe_out_deg` outward positive; `cop_percent_length` along the axis
    from the rear end of the contact length (bare foot or shoe, whichever stood there); `heel_load_percent`
    share of this foot's force on the rear half of that length. Scales and force plates do not see a foot's
    shape: what they cannot say is None.
    """

    load_percent: Estimate | None
    toe_out_deg: Estimate | None
    cop_percent_length: Estimate | None
    heel_load_percent: Estimate | None
    length_mm: Estimate | None
    area_cm2: Estimate | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Feet:
    """The player's left and right foot."""

    left: Foot
    right: Foot


@dataclass(frozen=True, slots=True, kw_only=True)
class Widths:
    """Stance width in three conventions, each along x.

    Between the heel centres, between the inside edges of the heels, and between the outermost edges of the
    feet.
    """

    heel_centres: Estimate | None
    inside: Estimate | None
    outside: Estimate | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CentreOfPressure:
    """A centre of pressure, floor frame; y is None where the heels' place is not known."""

    x: Estimate | None
    y: Estimate | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """What one placement (or several, pooled) says about how the player stands.

    `fore_aft_offset_mm` is + when the lead heel is ahead; `heel_line_deg` is against the target line and
    `load_line_deg` against the heel line, both + open. `total_force_n` is None for raw counts without a mass,
    `sway` None for recordings under 16 frames, `sway_floor` what of it is the mat's own. `quiet` says which
    part of the recording was used, None when all of it.
    """

    feet: Feet
    stance_width_mm: Widths
    fore_aft_offset_mm: Estimate | None
    heel_line_deg: Estimate | None
    load_line_deg: Estimate | None
    cop_mm: CentreOfPressure
    total_force_n: Estimate | None
    sway: Sway | None
    grade: Grade
    quiet: QuietPart | None = None
    sway_floor: SwayFloor | None = None


def centre_of_pressure(
    frame: FloatArray, pitch_x_mm: float, pitch_y_mm: float, *, floor: float = 0.0
) -> tuple[float, float] | None:
    """CoP of one frame from the mat's corner, or None when nothing presses: no contact has no centre.

    Parameters
    ----------
    frame
        (R, C) pressures or counts.
    pitch_x_mm, pitch_y_mm
        Pitch of columns and rows.
    floor
        Sum of the frame at or below which there is no contact.

    Examples
    --------
    >>> centre_of_pressure(np.array([[0.0, 2.0], [0.0, 2.0]]), 10.0, 10.0)
    (15.0, 10.0)
    >>> centre_of_pressure(np.zeros((2, 2)), 10.0, 10.0) is None
    True
    """
    total = float(frame.sum(dtype=np.float64))
    if total <= floor:
        return None
    rows, columns = frame.shape
    x = float(frame.sum(axis=0, dtype=np.float64) @ (np.arange(columns) + 0.5)) / total * pitch_x_mm
    y = float(frame.sum(axis=1, dtype=np.float64) @ (np.arange(rows) + 0.5)) / total * pitch_y_mm
    return x, y


def describe(
    recording: MatRecording, *, handed: Handed, mass_kg: float | None = None, checks: MatChecks | None = None
) -> Ground:
    """Figures of one placement.

    Parameters
    ----------
    recording
        A player standing on a mat with both feet, apart from one another.
    handed
        The player's golfing hand.
    mass_kg
        The player's mass: scales raw counts, and checks a mat that gives kPa.
    checks
        What is known of the mat: faulty cells, gain, and the floor of its sway (`measure.instrument_apply`).

    Raises
    ------
    EmptyMatError, NoFeetError, OneFootError, ThreeObjectsError, FeetMergedError
        When there are not two feet that stand apart.
    SteppedOffError
        When the player is off the mat in some frames.

    Notes
    -----
    This is this placement; how the player stands today takes three, pooled (`pool_placements`), since
    placing the feet again varies more than swaying on them. Method: docs/method/ground.md.
    """
    ready = prepare(recording, checks)
    recording = ready.recording
    contact = find_contact(recording, mean_map(recording.cells))
    positions = cell_positions_mm(recording)
    pitch = (recording.pitch_x_mm, recording.pitch_y_mm)
    left = foot_shape(contact.left, contact.load, positions, pitch, "left")
    right = foot_shape(contact.right, contact.load, positions, pitch, "right")
    middle = 0.5 * (left.heel_mm + right.heel_mm)
    columns = basis(positions, middle, ((contact.left, left), (contact.right, right)))
    sums = frame_sums(recording.cells, columns) - floor_sums(contact, columns)
    _refuse_stepped_off(recording, sums)
    edges = (contact.left.region & ~contact.left.touched) | (contact.right.region & ~contact.right.touched)
    errors = pitch_errors((left, right), pitch, contact.noise.floor * int(edges.sum()))
    errors = errors_with_gain(errors, checks, sums, middle)
    figures = with_errors(sums, columns, contact.noise.sd, recording.rate_hz, handed, errors)
    swaying = _sway(recording, sums)
    grade = grade_recording(recording, contact, (left, right), sums, mass_kg)
    floor = _sway_floor(recording, sums, columns, contact, swaying, checks)
    flags = (*ready.flags, *drift_of(sums, recording.rate_hz, recording.name), *grade.flags)
    grade = Grade(usable=grade.usable, flags=(*flags, *_floor_flags(floor, recording.name)))
    ground = _ground(recording, contact, (left, right), figures, swaying, grade, mass_kg)
    return replace(ground, quiet=ready.quiet, sway_floor=floor)


def _refuse_stepped_off(recording: MatRecording, sums: FloatArray) -> None:
    force = foot_sums(sums, 0).whole + foot_sums(sums, 1).whole
    off = np.flatnonzero(force < _STEPPED_OFF * np.median(force))
    if len(off):
        raise SteppedOffError(recording.name, int(off[0]), len(off))


def _sway(recording: MatRecording, sums: FloatArray) -> Sway | None:
    if recording.rate_hz is None or len(sums) < MIN_SERIES_FRAMES:
        return None
    return sway(total_cop_mm(sums), recording.rate_hz, where=recording.name)


def _sway_floor(
    recording: MatRecording,
    sums: FloatArray,
    columns: FloatArray,
    contact: Contact,
    swaying: Sway | None,
    checks: MatChecks | None,
) -> SwayFloor | None:
    """What the mat alone makes of the sway: by its cells' noise here, or by a dead weight."""
    if swaying is None or recording.rate_hz is None:
        return None
    force = float((foot_sums(sums, 0).whole + foot_sums(sums, 1).whole).mean())
    lever = np.hypot(np.linalg.norm(columns[:, [1, 11]]), np.linalg.norm(columns[:, [2, 12]])) / np.sqrt(2.0)
    noise_mm = contact.noise.sd * float(lever) / force
    return sway_floor(
        swaying, rate_hz=recording.rate_hz, noise_mm=noise_mm, dead=None if checks is None else checks.dead
    )


def _floor_flags(floor: SwayFloor | None, where: str) -> tuple[Flag, ...]:
    """Say so when the mat alone could make the path that was measured."""
    if floor is None or "path_mm" not in floor.below:
        return ()
    said = f"Path and velocity are below this mat's floor: {floor.source} alone gives"
    return (Flag(code="sway-in-noise", where=where, text=f"{said} {floor.velocity_mm_s:.1f} mm/s."),)


def _ground(
    recording: MatRecording,
    contact: Contact,
    shapes: tuple[FootShape, FootShape],
    figures: Figures,
    swaying: Sway | None,
    grade: Grade,
    mass_kg: float | None,
) -> Ground:
    n = len(recording.cells)

    def figure(name: str, unit: str) -> Estimate:
        return Estimate(value=figures.value[name], se=figures.se[name], dof=figures.dof[name], n=n, unit=unit)

    left, right = (_foot(recording, contact, shapes[i], figures, side) for i, side in enumerate(_SIDES))
    return Ground(
        feet=Feet(left=left, right=right),
        stance_width_mm=_widths(recording, shapes, figure("width_mm", "mm")),
        fore_aft_offset_mm=figure("fore_aft_mm", "mm"),
        heel_line_deg=figure("heel_line_deg", "deg"),
        load_line_deg=figure("load_line_deg", "deg"),
        cop_mm=CentreOfPressure(x=figure("cop_x_mm", "mm"), y=figure("cop_y_mm", "mm")),
        total_force_n=_force(recording, figure("total", ""), mass_kg),
        sway=swaying,
        grade=grade,
    )


_SIDES: tuple[Side, Side] = ("left", "right")


def _foot(recording: MatRecording, contact: Contact, shape: FootShape, figures: Figures, side: Side) -> Foot:
    n, pitch = len(recording.cells), (recording.pitch_x_mm, recording.pitch_y_mm)
    area = contact.left if side == "left" else contact.right
    end = end_error_mm(shape, pitch)

    def figure(name: str, unit: str) -> Estimate:
        return Estimate(value=figures.value[name], se=figures.se[name], dof=figures.dof[name], n=n, unit=unit)

    share = 100.0 / shape.length_mm
    cop = figure(f"cop_{side}_mm", "mm").shifted(-shape.rear_mm).scaled(share, unit="%")
    # both contact ends are off: the rear one moves the zero, both change the length
    place = cop.value / 100.0
    cop = cop.widened(end * share * float(np.hypot(1.0 - place, place)))
    border = _border_cells(recording, area.touched)
    return Foot(
        load_percent=figure(f"load_{side}_percent", "%"),
        toe_out_deg=figure(f"toe_out_{side}_deg", "deg"),
        cop_percent_length=cop,
        heel_load_percent=figure(f"heel_load_{side}_percent", "%"),
        length_mm=Estimate(value=shape.length_mm, se=end * 2.0**0.5, n=n, unit="mm"),
        area_cm2=Estimate(
            value=shape.area_mm2 / 100.0,
            se=float(AREA_EDGE) * border * recording.cell_area_mm2 / 100.0,
            n=n,
            unit="cm^2",
        ),
    )


def _border_cells(recording: MatRecording, touched: BoolArray) -> int:
    """Touched cells with an untouched neighbour: each holds a part of the border somewhere."""
    _, rows, columns = recording.shape
    grid = np.pad(touched.reshape(rows, columns), 1)
    inner = grid[:-2, 1:-1] & grid[2:, 1:-1] & grid[1:-1, :-2] & grid[1:-1, 2:]
    return int((grid[1:-1, 1:-1] & ~inner).sum())


def _widths(recording: MatRecording, shapes: tuple[FootShape, FootShape], heel_centres: Estimate) -> Widths:
    edge = recording.pitch_x_mm / 12.0**0.5
    n = len(recording.cells)

    def apart(left_mm: float, right_mm: float) -> Estimate:
        return Estimate(value=right_mm - left_mm, se=edge * 2.0**0.5, n=n, unit="mm")

    left, right = shapes
    return Widths(
        heel_centres=heel_centres,
        inside=apart(left.inner_heel_mm, right.inner_heel_mm),
        outside=apart(left.outer_mm, right.outer_mm),
    )


def _force(recording: MatRecording, total: Estimate, mass_kg: float | None) -> Estimate | None:
    """Force of both feet; raw counts take the player's weight, whose own error is not known here."""
    if recording.unit == "kPa":
        return total.scaled(recording.cell_area_mm2 / 1000.0, unit="N")
    if mass_kg is None:
        return None
    return total.scaled(mass_kg * float(STANDARD_GRAVITY) / total.value, unit="N")


def pool_placements(placements: list[Ground]) -> Ground:
    """How the player stands, from several placements.

    Parameters
    ----------
    placements
        One a placement, the feet put down anew for each; at least one, three or more to mean anything.

    Returns
    -------
    pooled
        Every figure by `estimate.pool`: the mean, its error from between the placements. A figure that some
        placement lacks is None. Usable when all are; flags name the placement.

    Raises
    ------
    TooFewRepeatsError
        Without any placement.
    """
    pooled: Ground = _pool(list(placements) or [pool([])])
    return pooled


def _pool(things: list[Any]) -> Any:
    """Pool estimates field by field through the result classes."""
    first = things[0]
    known: Any = next((thing for thing in things if thing is not None), None)
    if hasattr(known, "pooled"):  # it knows better than field by field
        return known.pooled(things)
    if any(thing is None for thing in things):
        return None
    if isinstance(first, Estimate):
        return pool(things)
    if isinstance(first, Grade):
        return _pool_grades(things)
    if not is_dataclass(first):
        msg = f"{type(first).__name__} cannot be pooled"
        raise TypeError(msg)
    kind: Any = type(first)
    return kind(**{f.name: _pool([getattr(thing, f.name) for thing in things]) for f in fields(kind)})


def _pool_grades(grades: list[Grade]) -> Grade:
    if len(grades) == 1:
        return grades[0]
    flags = [
        Flag(code=flag.code, where=f"placement {i}, {flag.where}", text=flag.text)
        for i, grade in enumerate(grades, 1)
        for flag in grade.flags
    ]
    return Grade(usable=all(grade.usable for grade in grades), flags=tuple(flags))
