"""Hip-line readings as they are told: against the target line, and against the heel line if measured.

Turning the whole stance moves the first and not the second. Means of paired grip trials stand here as well,
since they are readings of the same bar.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from evenground.errors import MeasureError
from evenground.estimate import Estimate, from_repeats
from evenground.visit import GripTrial, HipLineCheck, HipLineTrial, Phase

__all__ = ["GripDifference", "HipLines", "HipReading", "NoPairsError", "grip_difference", "hip_lines"]


class NoPairsError(MeasureError):
    """No two trials of a club differ only in the grip."""

    do = "Give each pair one number, and take the own and the proposed grip in it once each."

    def __init__(self, club: str, pairs: int) -> None:
        super().__init__(club, pairs)
        self.where = f"grip check, {club}"
        self.what = f"{pairs} complete pair{'' if pairs == 1 else 's'} of trials cannot show a difference."


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


@dataclass(frozen=True, slots=True, kw_only=True)
class GripDifference:
    """Hip line with the proposed grip minus with the own one, + more open, from pairs of trials."""

    club: str
    difference_deg: Estimate


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


def grip_difference(trials: Sequence[GripTrial], club: str) -> GripDifference:
    """Mean difference of the hip line between proposed and own grip on one club.

    Under three pairs the interval is too wide to mean anything; with one pair there is none.

    Parameters
    ----------
    trials
        Trials of any clubs; pairs share a number.
    club
        The club's mark.

    Raises
    ------
    NoPairsError
        With fewer than two complete pairs.

    Notes
    -----
    Paired differences, Student's t with pairs - 1 degrees of freedom.
    """
    by_pair: dict[int, dict[str, float]] = {}
    for t in trials:
        if t.club == club:
            by_pair.setdefault(t.pair, {})[t.grip] = t.hip_line_deg
    differences = [p["proposed"] - p["own"] for p in by_pair.values() if len(p) == 2]
    if len(differences) < 2:
        raise NoPairsError(club, len(differences))
    return GripDifference(club=club, difference_deg=from_repeats(differences, unit="deg", what="grip check"))
