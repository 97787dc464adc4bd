"""One standing recording in figures: feet, load, toe-out, widths, lines, CoP, sway, and a grade.

Positions are in the floor frame: x along the target line to the player's right, y ahead, origin midway
between the heel centres. The foot with the smaller x is the left one (the player faces +y).
"""

from dataclasses import replace

import numpy as np

from evenground.errors import MeasureError
from evenground.estimate import Estimate
from evenground.floor import Handed
from evenground.measure.cell_gain import gain_spread, gain_spread_errors
from evenground.measure.contact import Contact, cell_positions_mm, find_contact
from evenground.measure.feet import FootSeen, FootShape, foot_shape
from evenground.measure.figures import (
    MIN_SERIES_FRAMES,
    Figures,
    cut_errors,
    pitch_errors,
    stance_set,
    total_cop_mm,
    with_errors,
)
from evenground.measure.foot_doubts import shape_doubts, shape_errors, with_doubts
from evenground.measure.foot_figures import foot_of, force_of
from evenground.measure.grade import Flag, Grade, grade_recording
from evenground.measure.ground_types import CentreOfPressure, Feet, Foot, Ground, Widths
from evenground.measure.instrument_apply import MatChecks, SwayFloor, sway_floor
from evenground.measure.pooling import pool_placements
from evenground.measure.prepare import drift_of, in_quadrature, mat_errors, prepare
from evenground.measure.recording import FloatArray, MatRecording
from evenground.measure.sides import told_sides
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
        A player standing on a mat with both feet; of one foot by design see `one_foot.describe_lone_foot`.
    handed
        The player's golfing hand.
    mass_kg
        The player's mass: scales raw counts, and checks a mat that gives kPa.
    checks
        What is known of the mat: faulty cells, gain, and the floor of its sway (`measure.instrument_apply`).

    Raises
    ------
    EmptyMatError, NoFeetError, OneFootError, PartFootError, ThreeObjectsError
        When there are not two feet and nothing else.
    FeetMergedError, StanceAcrossError, TurnedStanceError
        When the feet cannot be told apart, or stand across or the wrong way round.
    SteppedOffError
        When the player is off the mat in some frames.

    Notes
    -----
    This is this placement; how the player stands today takes three, pooled (`pool_placements`), since
    placing the feet again varies more than swaying on them. Method: docs/method/ground.md.
    """
    ready = prepare(recording, checks)
    recording, checks = ready.recording, ready.checks
    contact = find_contact(recording, mean_map(recording.cells))
    feet = _feet(recording, contact)
    shapes = (feet[0].shape, feet[1].shape)
    positions = cell_positions_mm(recording)
    sides = told_sides(recording, contact.load, feet, positions)
    middle = 0.5 * (shapes[0].heel_mm + shapes[1].heel_mm)
    columns = basis(positions, middle, [(foot.area, foot.shape) for foot in feet])
    sums = frame_sums(recording.cells, columns) - floor_sums(contact, columns)
    _refuse_stepped_off(recording, sums)
    of, mean = stance_set(handed), sums.mean(axis=0)
    spread = gain_spread_errors(gain_spread(recording, contact), columns, contact.load, mean, of)
    errors = in_quadrature(pitch_errors(recording, contact, feet), spread)
    doubts = shape_doubts(recording, contact.load, positions, feet)
    errors = in_quadrature(errors, shape_errors(doubts, contact.load, positions - middle, feet, of))
    errors = in_quadrature(errors, cut_errors(contact.cut_share))
    errors = in_quadrature(errors, mat_errors(checks, recording, contact, sums, middle))
    figures = with_errors(sums, columns, recording, contact.noise.sd, of, errors)
    swaying = _sway(recording, sums)
    floor = _sway_floor(recording, sums, columns, contact, swaying, checks)
    grade = grade_recording(recording, contact, feet, sums, mass_kg)
    flags = (*ready.flags, *drift_of(sums, recording.rate_hz, recording.name), *grade.flags, *sides.flags)
    flags = (*flags, *_floor_flags(floor, recording.name))
    grade = with_doubts(Grade(usable=grade.usable and sides.usable, flags=flags), doubts)
    ground = _ground(recording, feet, figures, swaying, grade, mass_kg)
    noticed = (*sides.noticed, *_touching(contact.cut_share))
    return replace(ground, quiet=ready.quiet, sway_floor=floor, noticed=noticed)


def _feet(recording: MatRecording, contact: Contact) -> tuple[FootSeen, FootSeen]:
    positions, pitch = cell_positions_mm(recording), (recording.pitch_x_mm, recording.pitch_y_mm)
    left = foot_shape(contact.left, contact.load, positions, pitch, "left")
    right = foot_shape(contact.right, contact.load, positions, pitch, "right")
    return (
        FootSeen(side="left", area=contact.left, shape=left),
        FootSeen(side="right", area=contact.right, shape=right),
    )


def _touching(cut_share: float) -> tuple[str, ...]:
    if cut_share == 0.0:
        return ()
    return (
        f"The feet touch: cut along the line that carries least ({100.0 * cut_share:.1f} % of the load).",
    )


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
    feet: tuple[FootSeen, FootSeen],
    figures: Figures,
    swaying: Sway | None,
    grade: Grade,
    mass_kg: float | None,
) -> Ground:
    n = len(recording.cells)

    left, right = (foot_of(recording, foot, figures) for foot in feet)
    return Ground(
        feet=Feet(left=left, right=right),
        stance_width_mm=_widths(
            recording, (feet[0].shape, feet[1].shape), figures.estimate("width_mm", n, "mm")
        ),
        fore_aft_offset_mm=figures.estimate("fore_aft_mm", n, "mm"),
        heel_line_deg=figures.estimate("heel_line_deg", n, "deg"),
        load_line_deg=figures.estimate("load_line_deg", n, "deg"),
        cop_mm=CentreOfPressure(
            x=figures.estimate("cop_x_mm", n, "mm"), y=figures.estimate("cop_y_mm", n, "mm")
        ),
        total_force_n=force_of(recording, figures.estimate("total", n, ""), mass_kg),
        sway=swaying,
        grade=grade,
    )


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
