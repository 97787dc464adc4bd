"""Which end of a print is the heel and which foot made it, told by its shape as well as by its place.

Two signs, from the touched cells in the foot's own frame (u along the axis, v outward for the side that its
place gives it; both as shares of the contact length)::

    breadth   forefoot over heel         a foot is broader ahead: backwards, heel and toes change places
    lean      arch outward, toes inward  the arch rests on its outer edge, the big toe leads on the inner side

A shoe has the first sign and often not the second one: then place alone names the feet, and that is said.
"""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from evenground.errors import MeasureError
from evenground.floor import other_side
from evenground.measure.feet import FootSeen
from evenground.measure.feet_split import BoolArray
from evenground.measure.grade import Flag
from evenground.measure.ground_constants import (
    BREADTH_AHEAD,
    BREADTH_BEHIND,
    LEAN_ARCH,
    LEAN_SEEN,
    LEAN_TOES,
    TURNED_FLAG_DEG,
)
from evenground.measure.recording import FloatArray, MatRecording

__all__ = ["FootSigns", "Told", "TurnedStanceError", "foot_signs", "told_sides"]

_HEEL, _BALL, _ARCH, _TOES = (0.06, 0.30), (0.58, 0.82), (0.36, 0.58), 0.90
_FEWEST = 3  # cells that a sign is read from


class TurnedStanceError(MeasureError):
    """Heels lie where toes should."""

    do = (
        "Turn the recording by half a turn (turned_deg, or first_row in its layout), "
        "or stand with the toes toward the mat's last row."
    )

    def __init__(self, where: str, feet: Literal["both feet", "the left foot", "the right foot"]) -> None:
        super().__init__(where, feet)
        self.where = where
        verb = "point" if feet == "both feet" else "points"
        self.what = f"By their shape {feet} {verb} backwards: broad behind, narrow ahead."


@dataclass(frozen=True, slots=True, kw_only=True)
class FootSigns:
    """Signs of one print; None where too little of it touches.

    `breadth` is the logarithm of forefoot over heel breadth, + when the broad end is ahead. `lean` is about
    +1 for the foot that its place says, -1 for the other one, near 0 for what looks the same either way.
    """

    breadth: float | None
    lean: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What the shapes say about sides: flags, whether the recording may be used, what was noticed."""

    flags: tuple[Flag, ...]
    usable: bool
    noticed: tuple[str, ...]


def foot_signs(foot: FootSeen, load: FloatArray, positions_mm: FloatArray) -> FootSigns:
    """Read heel-to-toe and side from the shape of one print.

    Parameters
    ----------
    foot
        Which foot it is by its place, its cells and its shape.
    load
        (N,) mean map without its floor.
    positions_mm
        (N, 2) cell centres.

    Notes
    -----
    `breadth` is the logarithm of the spread of v over 58 to 82 % of the contact length against that over 6 to
    30 %. `lean` is the mean of the arch's mean v over `LEAN_ARCH` and of the toes' load-weighted mean -v over
    `LEAN_TOES`, each where it touches. Limits and scales: ours, from the prints of Pataky et al. 2008 and
    2011 redrawn on cells of 5 to 12 mm and turned up to 40 deg.
    """
    shape, touched = foot.shape, foot.area.touched
    away = (positions_mm[touched] - shape.heel_mm) / shape.length_mm
    u = away @ shape.axis - shape.rear_mm / shape.length_mm
    outward = np.array([shape.axis[1], -shape.axis[0]])
    v = away @ (outward if foot.side == "right" else -outward)
    heel, ball, arch = ((low < u) & (u < high) for low, high in (_HEEL, _BALL, _ARCH))
    toes = u > _TOES
    leans = []
    if arch.sum() >= _FEWEST:
        leans.append(float(v[arch].mean()) / float(LEAN_ARCH))
    if toes.sum() >= _FEWEST:
        leans.append(-_load_mean(v, load[touched], toes) / float(LEAN_TOES))
    wide = [float(v[part].std()) if part.sum() >= _FEWEST else 0.0 for part in (ball, heel)]
    return FootSigns(
        breadth=math.log(wide[0] / wide[1]) if min(wide) > 0.0 else None,
        lean=sum(leans) / len(leans) if leans else None,
    )


def _load_mean(v: FloatArray, load: FloatArray, which: BoolArray) -> float:
    weights = np.maximum(load[which], 0.0)
    return float(v[which] @ weights / weights.sum()) if weights.sum() > 0.0 else 0.0


def told_sides(
    recording: MatRecording, load: FloatArray, feet: tuple[FootSeen, ...], positions_mm: FloatArray
) -> Told:
    """Hold the places of the feet, left and right or the only one, against their shapes.

    Parameters
    ----------
    recording
        For what messages call it.
    load, positions_mm
        (N,) mean map without its floor, and (N, 2) cell centres.
    feet
        Named by place.

    Raises
    ------
    TurnedStanceError
        When the heel of one foot or of both lies ahead.
    """
    signs = [foot_signs(foot, load, positions_mm) for foot in feet]
    _refuse_backwards(recording, feet, signs)
    flags = [*_side_flags(recording, feet, signs), *_turn_flags(recording, feet)]
    usable = not any(flag.code in ("crossed", "other-foot") for flag in flags)
    return Told(flags=tuple(flags), usable=usable, noticed=tuple(_noticed(feet, signs)))


def _refuse_backwards(recording: MatRecording, feet: tuple[FootSeen, ...], signs: list[FootSigns]) -> None:
    known = [sign.breadth for sign in signs if sign.breadth is not None]
    behind = -float(BREADTH_BEHIND)
    if len(known) == 2 and sum(known) / 2.0 < behind and max(known) < float(BREADTH_AHEAD):
        raise TurnedStanceError(recording.name, "both feet")
    for foot, sign in zip(feet, signs, strict=True):
        if sign.breadth is not None and sign.breadth < behind:
            raise TurnedStanceError(
                recording.name, "the left foot" if foot.side == "left" else "the right foot"
            )


def _side_flags(recording: MatRecording, feet: tuple[FootSeen, ...], signs: list[FootSigns]) -> list[Flag]:
    against = [s.lean is not None and s.lean < -float(LEAN_SEEN) for s in signs]
    if all(against) and len(feet) == 2:
        text = (
            "By their shapes the left-hand print is a right foot and the right-hand one a left: "
            "uncross the legs, or check first_column in the layout and which way the player faces."
        )
        return [Flag(code="crossed", where=recording.name, text=text)]
    flags = []
    for foot, odd in zip(feet, against, strict=True):
        if odd:
            shape = f"The {foot.side} print has the shape of a {other_side(foot.side)} foot"
            text = f"{shape}: is it the player's own? Record again."
            flags.append(Flag(code="other-foot", where=f"{foot.side} foot", text=text))
    return flags


def _turn_flags(recording: MatRecording, feet: tuple[FootSeen, ...]) -> list[Flag]:
    """Both feet turned the same way far enough to look like a mat, or a player, that lies askew."""
    turns = [math.degrees(math.atan2(float(f.shape.axis[0]), float(f.shape.axis[1]))) for f in feet]
    mean = sum(turns) / len(turns)
    if len(feet) < 2 or abs(mean) <= float(TURNED_FLAG_DEG):
        return []
    way = "right" if mean > 0.0 else "left"
    text = (
        f"The whole stance is turned {abs(mean):.0f} deg to the {way}: lines and toe-out are the mat's, "
        "so check that it lies along the target line (turned_deg in the layout)."
    )
    return [Flag(code="stance-turned", where=recording.name, text=text)]


def _noticed(feet: tuple[FootSeen, ...], signs: list[FootSigns]) -> list[str]:
    agree = [s.lean is not None and s.lean > float(LEAN_SEEN) for s in signs]
    if len(feet) == 1:
        told = "agrees with its side" if agree[0] else "does not say which side it is of"
        return [f"The shape of the {feet[0].side} print {told}."]
    if all(agree):
        return ["Left and right are told by place, and the shapes agree."]
    unsure = [foot.side for foot, sure in zip(feet, agree, strict=True) if not sure]
    which = (
        "neither shape says which it is"
        if len(unsure) == 2
        else f"the shape of the {unsure[0]} one says nothing"
    )
    return [f"Left and right are told by place; {which}."]
