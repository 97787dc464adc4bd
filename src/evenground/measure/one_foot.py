"""A player who stands on one foot by design: that foot described, and no other invented."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Literal

from evenground.errors import MeasureError
from evenground.floor import Handed, Side, other_side
from evenground.measure.cell_gain import gain_spread, gain_spread_errors
from evenground.measure.contact import (
    LoneContact,
    OneFootError,
    PartFootError,
    cell_positions_mm,
    find_lone_contact,
)
from evenground.measure.feet import FootSeen, foot_shape
from evenground.measure.figures import Figures, lone_set, pitch_errors, with_errors
from evenground.measure.foot_doubts import shape_doubts, shape_errors, with_doubts
from evenground.measure.foot_figures import foot_of, force_of
from evenground.measure.grade import Flag, Grade, grade_recording
from evenground.measure.ground import describe
from evenground.measure.ground_types import CentreOfPressure, Feet, Ground, Widths, no_foot
from evenground.measure.instrument_apply import MatChecks
from evenground.measure.prepare import Prepared, in_quadrature, lone_mat_errors, prepare
from evenground.measure.recording import MatRecording
from evenground.measure.sides import told_sides
from evenground.measure.sums import basis, floor_sums, frame_sums, mean_map

__all__ = ["FootState", "NobodyStandsError", "describe_by_limbs", "describe_lone_foot"]

FootState = Literal["absent", "prosthetic"]

_SIDES: tuple[Side, Side] = ("left", "right")
_OTHER_SUPPORT = 0.01  # share of the load on a stick or crutch from which it is said


class NobodyStandsError(MeasureError):
    """Both feet absent."""

    do = "Correct the visit's absent feet, or skip the ground check: a seated player has none."

    def __init__(self, where: str) -> None:
        super().__init__(where)
        self.where = where
        self.what = "The visit says that both feet are absent."


def describe_by_limbs(
    recording: MatRecording,
    feet: Mapping[Side, FootState],
    *,
    handed: Handed,
    mass_kg: float | None = None,
    checks: MatChecks | None = None,
) -> Ground:
    """Figures of one placement of a player whose feet are as the visit says.

    Parameters
    ----------
    recording
        A player standing on a mat.
    feet
        What is known of a foot, by side: absent, or prosthetic; nothing of a foot that is there.
    handed, mass_kg, checks
        As for `ground.describe`.

    Raises
    ------
    NobodyStandsError
        When both feet are absent.
    EmptyMatError, NoFeetError, OneFootError, TwoFeetError, PartFootError, ThreeObjectsError
        When there are not the feet that there should be.
    FeetMergedError, StanceAcrossError, TurnedStanceError
        When they cannot be told apart, or stand the wrong way round.

    Notes
    -----
    An absent foot is not looked for. A prosthetic one is described where it prints like a foot or a shoe; a
    blade or a peg is what carries besides the only foot.
    """
    absent = [side for side in _SIDES if feet.get(side) == "absent"]
    if len(absent) == 2:
        raise NobodyStandsError(recording.name)
    if absent:
        return describe_lone_foot(recording, missing=absent[0], mass_kg=mass_kg, checks=checks)
    prosthetic = [side for side in _SIDES if feet.get(side) == "prosthetic"]
    try:
        ground = describe(recording, handed=handed, mass_kg=mass_kg, checks=checks)
    except (OneFootError, PartFootError):
        if len(prosthetic) != 1:
            raise
        return describe_lone_foot(recording, missing=prosthetic[0], mass_kg=mass_kg, checks=checks)
    return _with_prostheses(ground, prosthetic)


def _with_prostheses(ground: Ground, sides: list[Side]) -> Ground:
    flags = tuple(
        Flag(
            code="prosthetic-foot",
            where=f"{side} foot",
            text=f"The {side} foot is a prosthesis: toe-out and length are its shoe's, its load is real.",
        )
        for side in sides
    )
    grade = Grade(usable=ground.grade.usable, flags=(*ground.grade.flags, *flags))
    return replace(ground, grade=grade)


def describe_lone_foot(
    recording: MatRecording,
    *,
    missing: Side,
    mass_kg: float | None = None,
    checks: MatChecks | None = None,
) -> Ground:
    """Figures of the only foot of a player who has lost the other.

    Parameters
    ----------
    recording
        A player standing on a mat with one foot, with or without a stick.
    missing
        The foot that is absent.
    mass_kg
        The player's mass: scales raw counts, and checks a mat that gives kPa when nothing else carries.
    checks
        What is known of the mat (`measure.instrument_apply`).

    Returns
    -------
    ground
        The foot that is there. Load share, widths and lines of two feet are None, and so are sway and all of
        the absent foot; the CoP counts from the heel centre. `noticed` and flags say what else carries.

    Raises
    ------
    EmptyMatError, NoFeetError, TwoFeetError, ThreeObjectsError, PartFootError
        When there is not one foot.
    TurnedStanceError
        When its heel lies ahead.

    Notes
    -----
    Formulas and errors are those of a foot of two (docs/method/ground.md). With a stick on the mat, raw
    counts are not scaled: how much of the weight it carries is the question.
    """
    ready = prepare(recording, checks)
    contact = find_lone_contact(ready.recording, mean_map(ready.recording.cells), missing)
    foot = _foot(ready.recording, contact, missing)
    columns = basis(cell_positions_mm(ready.recording), foot.shape.heel_mm, [(foot.area, foot.shape)])
    sums = frame_sums(ready.recording.cells, columns) - floor_sums(contact, columns)
    of, mean = lone_set(foot.side), sums.mean(axis=0)
    spread = gain_spread(ready.recording, contact)
    known = in_quadrature(
        pitch_errors(ready.recording, contact, (foot,)),
        gain_spread_errors(spread, columns, contact.load, mean, of),
    )
    positions = cell_positions_mm(ready.recording)
    doubts = shape_doubts(ready.recording, contact.load, positions, (foot,))
    known = in_quadrature(
        known, shape_errors(doubts, contact.load, positions - foot.shape.heel_mm, (foot,), of)
    )
    mat = lone_mat_errors(ready.checks, ready.recording, contact, sums, foot.shape.heel_mm)
    figures = with_errors(sums, columns, ready.recording, contact.noise.sd, of, in_quadrature(known, mat))
    helped = contact.other_share > _OTHER_SUPPORT
    weighed = None if helped else mass_kg
    graded = grade_recording(ready.recording, contact, (foot,), sums, weighed)
    told = told_sides(ready.recording, contact.load, (foot,), cell_positions_mm(ready.recording))
    flags = (*ready.flags, *graded.flags, *told.flags, *_support(ready, contact, helped=helped))
    grade = with_doubts(Grade(usable=graded.usable and told.usable, flags=flags), doubts)
    said = f"One foot by design: nothing is said of the {missing} one."
    return _ground(ready, foot, figures, weighed, grade, (said, *told.noticed))


def _foot(recording: MatRecording, contact: LoneContact, missing: Side) -> FootSeen:
    side = other_side(missing)
    pitch = (recording.pitch_x_mm, recording.pitch_y_mm)
    shape = foot_shape(contact.foot, contact.load, cell_positions_mm(recording), pitch, side)
    return FootSeen(side=side, area=contact.foot, shape=shape)


def _support(ready: Prepared, contact: LoneContact, *, helped: bool) -> tuple[Flag, ...]:
    if not helped:
        return ()
    text = (
        f"Something besides the foot carries {100.0 * contact.other_share:.0f} % of the load: "
        "a stick or a crutch is left out of the foot's figures; anything else, take off the mat."
    )
    return (Flag(code="other-support", where=ready.recording.name, text=text),)


def _ground(
    ready: Prepared,
    foot: FootSeen,
    figures: Figures,
    mass_kg: float | None,
    grade: Grade,
    noticed: tuple[str, ...],
) -> Ground:
    own = foot_of(ready.recording, foot, figures)
    left, right = (own, no_foot()) if foot.side == "left" else (no_foot(), own)
    n = len(ready.recording.cells)
    return Ground(
        feet=Feet(left=left, right=right),
        stance_width_mm=Widths(heel_centres=None, inside=None, outside=None),
        fore_aft_offset_mm=None,
        heel_line_deg=None,
        load_line_deg=None,
        cop_mm=CentreOfPressure(
            x=figures.estimate("cop_x_mm", n, "mm"), y=figures.estimate("cop_y_mm", n, "mm")
        ),
        total_force_n=force_of(ready.recording, figures.estimate("total", n, ""), mass_kg),
        sway=None,
        grade=grade,
        quiet=ready.quiet,
        noticed=noticed,
    )
