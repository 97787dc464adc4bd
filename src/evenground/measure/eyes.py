"""The eye line's two facts while aiming: how far the eyes are beyond the ball's line, and where they look."""

from collections.abc import Sequence
from dataclasses import dataclass

from evenground.errors import MeasureError
from evenground.estimate import Estimate
from evenground.measure.repeats import mean_of_repeats
from evenground.sourced import Sourced
from evenground.visit import EyeLine

__all__ = ["EyeFacts", "NoEyesError", "eye_facts"]

OFFSET_SD_MM = Sourced(10.0, "mm", "ours: a plumb line from the bridge of the nose, read once")
DIRECTION_SD_DEG = Sourced(
    3.0, "deg", "ours: both eyes placed to 3 mm, 80 mm apart: sqrt(2) x 3 / 80 in degrees"
)


class NoEyesError(MeasureError):
    """Nothing was read of the eyes."""

    do = "Hang a plumb line from the bridge of the nose, or lay a rod along both eyes, and read it."

    def __init__(self) -> None:
        super().__init__()
        self.where = "eye line"
        self.what = "Neither where the eyes are nor where they look was entered."


@dataclass(frozen=True, slots=True, kw_only=True)
class EyeFacts:
    """Both facts with their errors, None when not taken; + beyond the ball's line, + open."""

    offset_mm: Estimate | None
    direction_deg: Estimate | None
    notes: tuple[str, ...]


def eye_facts(readings: Sequence[EyeLine]) -> EyeFacts:
    """Where the eyes are over the ball, and the line through them.

    Parameters
    ----------
    readings
        Repeats; each may hold one fact or both.

    Raises
    ------
    NoEyesError
        If no reading holds anything.

    Notes
    -----
    Two facts, no verdict: eyes over the ball or up to 50 mm inside its line is *common practice, no source*,
    and nobody has shown that either place aims better. Compare a player's aim under both.
    """
    offsets = [r.offset_mm for r in readings if r.offset_mm is not None]
    directions = [r.direction_deg for r in readings if r.direction_deg is not None]
    if not offsets and not directions:
        raise NoEyesError
    return EyeFacts(
        offset_mm=mean_of_repeats(offsets, unit="mm", stated_sd=OFFSET_SD_MM.value) if offsets else None,
        direction_deg=mean_of_repeats(directions, unit="deg", stated_sd=DIRECTION_SD_DEG.value)
        if directions
        else None,
        notes=("Eyes over the ball, or up to 50 mm inside, is common practice, no source: no norm is used.",),
    )
