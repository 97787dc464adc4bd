"""A recording made ready for its figures: cut to its quiet part, its mat's known faults taken out."""

from dataclasses import dataclass

import numpy as np

from evenground.measure.figures import total_cop_mm
from evenground.measure.grade import Flag
from evenground.measure.instrument_apply import MatChecks, correct
from evenground.measure.instrument_gain import gain_errors
from evenground.measure.quiet import QuietPart, drift_flags, quiet_part
from evenground.measure.recording import FloatArray, MatRecording
from evenground.measure.sums import foot_sums

__all__ = ["Prepared", "drift_of", "errors_with_gain", "prepare"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Prepared:
    """The recording to measure, what part of it is used (None: all), and what to say about it."""

    recording: MatRecording
    quiet: QuietPart | None
    flags: tuple[Flag, ...]


def prepare(recording: MatRecording, checks: MatChecks | None) -> Prepared:
    """Cut to the quiet part (`quiet.quiet_part`), then correct by the mat's checks, where there are any."""
    quiet = quiet_part(recording)
    if checks is None:
        return Prepared(recording=quiet.recording, quiet=quiet.part, flags=quiet.flags)
    corrected = correct(quiet.recording, checks)
    return Prepared(recording=corrected.recording, quiet=quiet.part, flags=(*quiet.flags, *corrected.flags))


def errors_with_gain(
    errors: dict[str, float], checks: MatChecks | None, sums: FloatArray, middle_mm: FloatArray
) -> dict[str, float]:
    """The known errors of the figures, with what the gain of the mat adds where it was checked.

    Parameters
    ----------
    errors
        As `figures.pitch_errors` gives them.
    checks
        The mat's.
    sums
        (T, 20) of `sums.frame_sums`, which count from `middle_mm`.
    """
    if checks is None or checks.known is None:
        return errors
    left, right = (foot_sums(sums.mean(axis=0), side) for side in (0, 1))
    feet = middle_mm + np.array([left.whole_mm / left.whole, right.whole_mm / right.whole])
    total = float(left.whole + right.whole)
    gain = gain_errors(checks.known, feet, float(left.whole) / total)
    gain["total"] *= total
    both = {name: float(np.hypot(errors.get(name, 0.0), extra)) for name, extra in gain.items()}
    return errors | both


def drift_of(sums: FloatArray, rate_hz: float | None, where: str) -> tuple[Flag, ...]:
    """Whether the player leans ever further to one side, from the sums of every frame."""
    if rate_hz is None or len(sums) < rate_hz * _LEAST_S:
        return ()
    left, right = foot_sums(sums, 0).whole, foot_sums(sums, 1).whole
    return drift_flags(100.0 * left / (left + right), total_cop_mm(sums), where)


_LEAST_S = 5.0
