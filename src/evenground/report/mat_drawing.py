"""A mat seen from above: pressure as ink, with toes, heels, left, right, lead and trail named."""

import numpy as np

from evenground.floor import Handed, lead_side
from evenground.measure.recording import FloatArray
from evenground.report.drawing import Drawing, Mark, Point, label, line, outline

__all__ = ["mat_drawing", "mat_letters"]

_FAINTEST = 0.04  # of the highest pressure; less is no ink
_ROOM = 0.11  # of the mat's longer side, for words around it


def mat_drawing(mean_map: FloatArray, pitch_x_mm: float, pitch_y_mm: float, handed: Handed) -> Drawing:
    """The mat with every loaded cell as a square of ink whose area is its pressure.

    Parameters
    ----------
    mean_map
        (R, C) mean pressures in the standard orientation, none negative.
    pitch_x_mm, pitch_y_mm
        Pitch of columns and of rows.
    handed
        The player's golfing hand, for lead and trail and for where the target is.
    """
    rows, columns = mean_map.shape
    wide, tall = columns * pitch_x_mm, rows * pitch_y_mm
    room = _ROOM * max(wide, tall)
    marks = [outline([(0.0, 0.0), (wide, 0.0), (wide, tall), (0.0, tall)], style="hair")]
    marks += _ink(mean_map, pitch_x_mm, pitch_y_mm)
    marks += [
        label((0.5 * wide, tall + 0.4 * room), "toes: ahead of the player", style="soft"),
        label((0.5 * wide, -1.4 * room), "heels: behind the player", style="soft"),
    ]
    marks += _sides(wide, room, handed)
    marks += _target(wide, tall, room, handed)
    return Drawing(left_mm=-room, right_mm=wide + room, bottom_mm=-2.0 * room, top_mm=tall + room,
                   marks=tuple(marks))  # fmt: skip


def _ink(mean_map: FloatArray, pitch_x_mm: float, pitch_y_mm: float) -> list[Mark]:
    share = mean_map / max(float(mean_map.max()), 1e-12)
    marks = []
    for row, column in np.argwhere(share > _FAINTEST):
        half = 0.5 * float(np.sqrt(share[row, column]))
        x, y = (column + 0.5) * pitch_x_mm, (row + 0.5) * pitch_y_mm
        dx, dy = half * pitch_x_mm, half * pitch_y_mm
        corners: list[Point] = [(x - dx, y - dy), (x + dx, y - dy), (x + dx, y + dy), (x - dx, y + dy)]
        marks.append(outline(corners, style="arrow"))
    return marks


def _sides(wide: float, room: float, handed: Handed) -> list[Mark]:
    names = {side: f"{side} foot, {'lead' if side == lead_side(handed) else 'trail'}"
             for side in ("left", "right")}  # fmt: skip
    return [
        label((0.25 * wide, -0.5 * room), names["left"]),
        label((0.75 * wide, -0.5 * room), names["right"]),
    ]


def _target(wide: float, tall: float, room: float, handed: Handed) -> list[Mark]:
    """An arrow beside the mat toward the target, which lies on the lead side."""
    away = -1.0 if lead_side(handed) == "left" else 1.0
    edge = 0.0 if away < 0.0 else wide
    at = 0.5 * tall
    tip: Point = (edge + away * 0.8 * room, at)
    head = [
        tip,
        (tip[0] - away * 0.25 * room, at + 0.12 * room),
        (tip[0] - away * 0.25 * room, at - 0.12 * room),
    ]
    return [
        line((edge + away * 0.2 * room, at), tip, style="soft"),
        outline(head, style="arrow"),
        label((edge + away * 0.5 * room, at + 0.35 * room), "target", style="soft"),
    ]


_SHADES = " .:-=+*#%@"
_WIDEST = 64
_TALL_TO_WIDE = 2.0  # of a letter in a terminal


def mat_letters(mean_map: FloatArray, pitch_x_mm: float, pitch_y_mm: float, handed: Handed) -> str:
    """The same picture in letters, for a terminal: toes at the top, darker letters press harder.

    Parameters as in `mat_drawing`.
    """
    rows, columns = mean_map.shape
    wide = min(columns, _WIDEST)
    tall = min(max(round(wide * rows * pitch_y_mm / (columns * pitch_x_mm) / _TALL_TO_WIDE), 2), rows)
    # each letter shows the cell of its part of the mat that presses most, so that none is lost
    up, across = np.arange(rows) * tall // rows, np.arange(columns) * wide // columns
    seen = np.zeros((tall, wide))
    np.maximum.at(seen, (up[:, None], across[None, :]), mean_map)
    steps = np.ceil(seen / max(float(seen.max()), 1e-12) * (len(_SHADES) - 1) - _FAINTEST)
    lines = ["".join(_SHADES[int(max(s, 0.0))] for s in row) for row in steps[::-1]]
    lead = "left" if lead_side(handed) == "left" else "right"
    names = [f"{side} foot{' (lead)' if side == lead else ''}" for side in ("left", "right")]
    frame = "+" + "-" * wide + "+"
    under = names[0].center(wide // 2) + names[1].center(wide - wide // 2)
    body = [f"|{text}|" for text in lines]
    return "\n".join(["toes".center(wide + 2), frame, *body, frame, f" {under}"]).rstrip()
