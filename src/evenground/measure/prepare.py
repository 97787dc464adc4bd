"""A recording made ready for its figures: cut to its quiet part, its mat's known faults taken out."""

import math
from dataclasses import dataclass, replace

import numpy as np

from evenground.measure.contact import Contact, FootArea, LoneContact
from evenground.measure.figures import total_cop_mm
from evenground.measure.grade import Flag
from evenground.measure.instrument_apply import MatChecks, correct
from evenground.measure.instrument_cells import fill_cells
from evenground.measure.instrument_constants import FILL_ERROR
from evenground.measure.instrument_gain import gain_at, gain_errors
from evenground.measure.quiet import QuietPart, drift_flags, quiet_part
from evenground.measure.recording import FloatArray, MatRecording
from evenground.measure.sums import foot_sums
from evenground.measure.suspect_cells import suspect_cells

__all__ = ["Prepared", "drift_of", "in_quadrature", "lone_mat_errors", "mat_errors", "prepare"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Prepared:
    """The recording to measure, what part of it is used (None: all), and what to say about it.

    `checks` are the mat's with the cells that read like faulty ones in this recording.
    """

    recording: MatRecording
    quiet: QuietPart | None
    flags: tuple[Flag, ...]
    checks: MatChecks | None


def prepare(recording: MatRecording, checks: MatChecks | None) -> Prepared:
    """Cut to the quiet part (`quiet.quiet_part`), then correct by the mat's checks, where there are any.

    Cells that no check found but that read like faulty ones (`suspect_cells.suspect_cells`) are filled too.
    """
    quiet = quiet_part(recording)
    recording, flags = quiet.recording, quiet.flags
    if checks is not None:
        corrected = correct(recording, checks)
        recording, flags = corrected.recording, (*flags, *corrected.flags)
    suspects = suspect_cells(recording)
    if not suspects:
        return Prepared(recording=recording, quiet=quiet.part, flags=flags, checks=checks)
    filled = fill_cells(recording, suspects)
    known = MatChecks(name=recording.name) if checks is None else checks
    return Prepared(
        recording=filled.recording,
        quiet=quiet.part,
        flags=(*flags, _suspected(recording.name, filled.count, filled.left)),
        checks=replace(known, suspects=suspects),
    )


def _suspected(where: str, filled: int, left: int) -> Flag:
    cells = f"{filled} cell{'' if filled == 1 else 's'} under the feet"
    rest = f"; {left} more could not be" if left else ""
    text = (
        f"{cells} read nothing amid load or never changed, and were filled from their neighbours{rest}: "
        "look at the sole, then check the mat."
    )
    return Flag(code="suspect-cells", where=where, text=text)


def mat_errors(
    checks: MatChecks | None,
    recording: MatRecording,
    contact: Contact,
    sums: FloatArray,
    middle_mm: FloatArray,
) -> dict[str, float]:
    """What a mat's faults add to the figures of a stance although they were corrected, by name.

    Parameters
    ----------
    checks
        The mat's, None when nothing is known of it.
    recording, contact
        The corrected recording, and the two feet on it.
    sums
        (T, 20) of `sums.frame_sums`, which count from `middle_mm`.

    Notes
    -----
    What is not known of the gain (`instrument_gain.gain_errors`), and `FILL_ERROR` of the load of each filled
    cell under a foot: to first order a share p moves by (1 - p) of it on its own side and p on the other.
    """
    if checks is None:
        return {}
    left, right = (foot_sums(sums.mean(axis=0), side) for side in (0, 1))
    feet = middle_mm + np.array([left.whole_mm / left.whole, right.whole_mm / right.whole])
    total = float(left.whole + right.whole)
    share = float(left.whole) / total
    filled = [
        _filled_load(checks, recording, area, contact.load) / total for area in (contact.left, contact.right)
    ]
    moved = float(np.hypot((1.0 - share) * filled[0], share * filled[1]))
    away = np.abs(feet[1] - feet[0])
    errors = {"load_left_percent": 100.0 * moved, "load_right_percent": 100.0 * moved}
    errors |= {"cop_x_mm": moved * float(away[0]), "cop_y_mm": moved * float(away[1])}
    errors["total"] = math.hypot(*filled) * total
    if checks.known is None:
        return errors
    gain = gain_errors(checks.known, feet, share)
    gain["total"] *= total
    return in_quadrature(errors, gain)


def lone_mat_errors(
    checks: MatChecks | None,
    recording: MatRecording,
    contact: LoneContact,
    sums: FloatArray,
    heel_mm: FloatArray,
) -> dict[str, float]:
    """What a mat's faults add to the force on an only foot although they were corrected, by name.

    Parameters
    ----------
    checks, recording
        As in `mat_errors`.
    contact
        The only foot.
    sums
        (T, 10) of `sums.frame_sums`, which count from `heel_mm`.

    Notes
    -----
    The gain where the foot stands is known as well as `instrument_gain.gain_at` says, and the load of each
    filled cell to `FILL_ERROR` of it.
    """
    if checks is None:
        return {}
    foot = foot_sums(sums.mean(axis=0), 0)
    error = _filled_load(checks, recording, contact.foot, contact.load)
    if checks.known is not None:
        at = heel_mm + foot.whole_mm / foot.whole
        gain = gain_at(checks.known, at[None, :])
        error = math.hypot(error, float(foot.whole) * math.sqrt(float(gain.covariance[0, 0])))
    return {"total": error}


def _filled_load(checks: MatChecks, recording: MatRecording, area: FootArea, load: FloatArray) -> float:
    """Error of the load of one foot from the cells under it that were filled."""
    rows, columns = recording.shape[1:]
    at = [r * columns + c for r, c in checks.bad_cells if r < rows and c < columns]
    load = load[at] * area.region[at]
    pitch = 0.5 * (recording.pitch_x_mm + recording.pitch_y_mm)
    return float(FILL_ERROR) * pitch * float(np.sqrt(np.square(load).sum()))


def in_quadrature(errors: dict[str, float], more: dict[str, float]) -> dict[str, float]:
    """Independent errors of the same figures put together, by name."""
    names = dict.fromkeys((*errors, *more))
    return {name: float(np.hypot(errors.get(name, 0.0), more.get(name, 0.0))) for name in names}


def drift_of(sums: FloatArray, rate_hz: float | None, where: str) -> tuple[Flag, ...]:
    """Whether the player leans ever further to one side, from the sums of every frame."""
    if rate_hz is None or len(sums) < rate_hz * _LEAST_S:
        return ()
    left, right = foot_sums(sums, 0).whole, foot_sums(sums, 1).whole
    return drift_flags(100.0 * left / (left + right), total_cop_mm(sums), where)


_LEAST_S = 5.0
