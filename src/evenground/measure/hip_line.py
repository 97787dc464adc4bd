"""Hip-line readings as they are told: against the target line, and against the heel line if measured.

Turning the whole stance moves the first and not the second.
"""

from dataclasses import dataclass

from evenground.visit import HipLineCheck, HipLineTrial, Phase

__all__ = ["HipLines", "HipReading", "hip_lines"]


@dataclass(frozen=True, slots=True, kw_only=True)
class HipReading:
    """One reading; both angles + open, None against the heel line when that line was not measured."""

    trial: int
    phase: Phase
    width_mm: float
    against_target_deg: float
    against_heel_line_deg: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class HipLines:
    """Every reading of the hip line, with what the bar touched and how far the bar itself may be off.

    `bar_error_deg` shifts all readings of a visit alike: it does not change which width is squarest, and it
    enters when two visits are compared.
    """

    landmark: str
    bar_error_deg: float
    readings: tuple[HipReading, ...]


def _against_heel_line(trial: HipLineTrial) -> float | None:
    return None if trial.heel_line_deg is None else trial.hip_line_deg - trial.heel_line_deg


def hip_lines(check: HipLineCheck) -> HipLines:
    """All readings of a visit against the target line and against the heel line.

    Parameters
    ----------
    check
        The hip-line check; angles + open in degrees against the target line.

    Examples
    --------
    >>> trials = (HipLineTrial(trial=1, width_mm=400.0, hip_line_deg=5.0, heel_line_deg=4.0),)
    >>> hip_lines(HipLineCheck(landmark="front hip bones", trials=trials)).readings[0].against_heel_line_deg
    1.0
    """
    return HipLines(
        landmark=check.landmark,
        bar_error_deg=check.bar_error_deg,
        readings=tuple(
            HipReading(
                trial=t.trial,
                phase=t.phase,
                width_mm=t.width_mm,
                against_target_deg=t.hip_line_deg,
                against_heel_line_deg=_against_heel_line(t),
            )
            for t in check.trials
        ),
    )
