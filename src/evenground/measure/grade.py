"""Whether a standing recording may be used, and what is doubtful about it."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from evenground.measure.contact import BoolArray, Contact, FootArea, LoneContact
from evenground.measure.feet import FootSeen
from evenground.measure.ground_constants import (
    FORCE_MISMATCH_FLAG,
    FORCE_MISMATCH_MAX,
    SHORT_RECORDING_S,
    STANDARD_GRAVITY,
)
from evenground.measure.recording import FloatArray, MatRecording
from evenground.measure.sums import foot_sums, fullest_frame
from evenground.measure.weighing import mismatch_words

__all__ = ["Flag", "Grade", "grade_recording"]

_EDGE_SHARE = 0.01  # of a foot's load on the mat's outermost cells, from which some of it must lie outside
_EDGE_PRESSURE = 0.12  # on those cells, of the foot's highest, from which the foot is cut off there
_HEEL_UP = 14.0  # percent of a foot's load on the rear half of its contact, below which its heel is up
_NOISE_FLAG, _NOISE_MAX = 0.10, 0.5  # floor taken off, as a share of the force that stays
_MOVED_MM = 10.0
_UNEVEN_FEET, _UNEVEN_MAX = 0.15, 0.35
_UNEVEN_TIMES = 0.5
_SATURATED_CELLS = 3
_STRAY = 0.0005


@dataclass(frozen=True, slots=True, kw_only=True)
class Flag:
    """One doubtful thing: a code, a place, a sentence."""

    code: str
    where: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Grade:
    """Whether the figures may be used, and what to know before doing so."""

    usable: bool
    flags: tuple[Flag, ...]


Doubt = tuple[Flag, bool]
"""A flag and whether it makes the recording unusable."""


def _doubt(code: str, where: str, text: str, *, unusable: bool = False) -> Doubt:
    return Flag(code=code, where=where, text=text), unusable


def grade_recording(
    recording: MatRecording,
    contact: Contact | LoneContact,
    feet: tuple[FootSeen, ...],
    sums: FloatArray,
    mass_kg: float | None,
) -> Grade:
    """Look a recording over for everything that makes its figures doubtful.

    Parameters
    ----------
    recording, contact, feet
        The recording, what touches the mat, and left and right foot or the only one.
    sums
        (T, 10 a foot) sums of every frame, floor taken off.
    mass_kg
        The player's mass, where known.
    """
    doubts = [
        *_time_doubts(recording),
        *_edge_doubts(recording, contact, feet),
        *_cell_doubts(recording, contact, feet),
        *_shape_doubts(recording, feet, sums),
        *_moved_doubts(feet, sums),
        *_force_doubts(recording, len(feet), sums, mass_kg),
    ]
    return Grade(usable=not any(bad for _, bad in doubts), flags=tuple(flag for flag, _ in doubts))


def _time_doubts(recording: MatRecording) -> Iterator[Doubt]:
    where = recording.name
    if recording.duration_s is None or len(recording.cells) == 1:
        yield _doubt("snapshot", where, "One frame shows one instant: load and CoP sway, record about 10 s.")
        return
    if recording.duration_s < float(SHORT_RECORDING_S):
        text = f"{recording.duration_s:.1f} s is short for a mean load and CoP: record about 10 s."
        yield _doubt("short", where, text)
    steps = np.diff(recording.time_s)
    gap = float(steps.max() / np.median(steps)) - 1.0
    if gap > _UNEVEN_TIMES:
        text = f"A frame comes {steps.max():.3f} s after the one before it: frames are missing or uneven."
        yield _doubt("uneven-times", where, text, unusable=gap > 10.0)


def _border(recording: MatRecording) -> BoolArray:
    _, rows, columns = recording.shape
    border = np.ones((rows, columns), bool)
    border[1:-1, 1:-1] = False
    return border.ravel()


def _edge_doubts(
    recording: MatRecording, contact: Contact | LoneContact, feet: tuple[FootSeen, ...]
) -> Iterator[Doubt]:
    border = _border(recording)
    for foot in feet:
        reached = border & foot.area.touched
        if not np.any(reached):
            continue
        name = f"{foot.side} foot"
        share = _share(contact.load, border, foot.area)
        pressed = float(contact.load[reached].max() / contact.load[foot.area.touched].max())
        text = (
            f"The {name} reaches the mat's edge ({100.0 * share:.1f} % of its load there): step further in."
        )
        yield _doubt("edge", name, text, unusable=share > _EDGE_SHARE or pressed > _EDGE_PRESSURE)


def _share(load: FloatArray, cells: BoolArray, foot: FootArea) -> float:
    carried = np.maximum(load, 0.0)
    return float(carried[cells & foot.region].sum() / carried[foot.region].sum())


def _cell_doubts(
    recording: MatRecording, contact: Contact | LoneContact, feet: tuple[FootSeen, ...]
) -> Iterator[Doubt]:
    where = recording.name
    if contact.background_cells < 20:
        text = "No cells away from the feet show the mat's noise floor: nothing was taken off for it."
        yield _doubt("no-background", where, text)
    regions = np.any([foot.area.region for foot in feet], axis=0)
    share = float(contact.noise.floor * (~regions).sum() / contact.load[regions].sum())
    if share > _NOISE_FLAG:
        text = f"Unloaded cells read {100.0 * share:.0f} % of the force; it was taken off. Tare the mat."
        yield _doubt("noise-floor", where, text, unusable=share > _NOISE_MAX)
    frame = fullest_frame(recording.cells)
    full = int((frame == frame.max()).sum())
    if full >= _SATURATED_CELLS:
        text = f"{full} cells read the same highest value at once: they may be at the end of their range."
        yield _doubt("saturated", where, text)
    if contact.stray_share > _STRAY:
        text = f"Specks away from the feet ({100.0 * contact.stray_share:.2f} % of the load) were left out."
        yield _doubt("stray", where, text)


def _shape_doubts(recording: MatRecording, feet: tuple[FootSeen, ...], sums: FloatArray) -> Iterator[Doubt]:
    lengths = [foot.shape.length_mm for foot in feet]
    uneven = max(lengths) / min(lengths) - 1.0
    if uneven > _UNEVEN_FEET:
        text = f"Contact is {lengths[0]:.0f} mm long left, {lengths[1]:.0f} mm right: is a heel up?"
        yield _doubt("uneven-feet", recording.name, text, unusable=uneven > _UNEVEN_MAX)
    for k, foot in enumerate(feet):
        part = foot_sums(sums, k)
        rear = 100.0 * float(part.rear_half.mean() / part.whole.mean())
        if rear < _HEEL_UP:
            text = (
                f"The {foot.side} heel carries next to nothing ({rear:.0f} %): put it down and record again."
            )
            yield _doubt("heel-up", f"{foot.side} foot", text, unusable=True)


def _moved_doubts(feet: tuple[FootSeen, ...], sums: FloatArray) -> Iterator[Doubt]:
    count = len(sums) // 5
    if count < 4:
        return
    for k, foot in enumerate(feet):
        part = foot_sums(sums, k)
        heels = [
            part.heel_mm[when].sum(axis=0) / part.heel[when].sum()
            for when in (slice(count), slice(-count, None))
        ]
        moved = float(np.hypot(*(heels[1] - heels[0])))
        if moved > _MOVED_MM:
            name = f"{foot.side} foot"
            text = f"The {name} moved {moved:.0f} mm during the recording: record again without stepping."
            yield _doubt("foot-moved", name, text, unusable=True)


def _force_doubts(
    recording: MatRecording, feet: int, sums: FloatArray, mass_kg: float | None
) -> Iterator[Doubt]:
    where = recording.name
    if recording.unit == "counts":
        if mass_kg is None:
            yield _doubt("unscaled", where, "Raw counts without the player's mass: shares only, no force.")
        return
    if mass_kg is None:
        return
    force_n = sum(float(foot_sums(sums, k).whole.mean()) for k in range(feet)) * recording.cell_area_mm2 / 1e3
    off = force_n / (mass_kg * float(STANDARD_GRAVITY)) - 1.0
    if math.fabs(off) > float(FORCE_MISMATCH_FLAG):
        weight_n = mass_kg * float(STANDARD_GRAVITY)
        left = 100.0 * float(foot_sums(sums, 0).whole.mean()) * recording.cell_area_mm2 / 1e3 / force_n
        why = mismatch_words(force_n, weight_n, left if feet == 2 else None)
        text = (
            f"The mat reads {force_n:.0f} N, {100.0 * off:+.0f} % against {mass_kg:.1f} kg: {why}. "
            "Are both feet wholly on the mat?"
        )
        yield _doubt("force-mismatch", where, text, unusable=math.fabs(off) > float(FORCE_MISMATCH_MAX))
