"""A mat from above with what its checks found: faulty cells as marks, known weights with their gain."""

from collections.abc import Iterable
from dataclasses import dataclass

from evenground.instruments import Cell, EmptyMat, Figures, KnownWeight
from evenground.report.drawing import Drawing, Mark, Point, Style, around, disc, label, outline

__all__ = ["MatOutline", "mat_check_drawing"]

_STYLES: tuple[tuple[str, Style], ...] = (
    ("dead", "hollow"),
    ("stuck", "arrow"),
    ("noisy", "hatch"),
    ("drifting", "band"),
)
"""Each fault by its own filling, never by a colour."""
_WEIGHT_MM = 55.0
_LEAST_MM = 9.0


@dataclass(frozen=True, slots=True, kw_only=True)
class MatOutline:
    """A mat's cells and pitch."""

    rows: int
    columns: int
    pitch_x_mm: float
    pitch_y_mm: float

    @property
    def size_mm(self) -> Point:
        """Width along the target line, and depth."""
        return self.columns * self.pitch_x_mm, self.rows * self.pitch_y_mm


def mat_check_drawing(mat: MatOutline, figures: Iterable[Figures]) -> Drawing:
    """The mat with the player's toes upwards, the faults of its cells, and the places of known weights.

    Faulty cells are drawn at least 9 mm large, so that one among ten thousand is seen. Under the mat stands
    which mark means which fault, with how many there are.
    """
    wide, tall = mat.size_mm
    marks: list[Mark] = [outline([(0.0, 0.0), (wide, 0.0), (wide, tall), (0.0, tall)], style="hair")]
    marks.append(label((0.5 * wide, tall), "toes", "above", style="soft"))
    marks.append(label((0.0, 0.5 * tall), "left", "left", style="soft"))
    marks.append(label((wide, 0.5 * tall), "right", "right", style="soft"))
    counts: list[tuple[str, Style, int]] = []
    for one in figures:
        if isinstance(one, EmptyMat):
            for name, style in _STYLES:
                cells = getattr(one, name)
                counts.append((name, style, len(cells)))
                marks += [mark for cell in cells for mark in _cell(mat, cell, style)]
        if isinstance(one, KnownWeight):
            marks += _weights(one)
    marks += _legend(counts, wide)
    return around(marks, pad_mm=0.03 * wide)


def _cell(mat: MatOutline, cell: Cell, style: Style) -> list[Mark]:
    row, column = cell
    x, y = (column + 0.5) * mat.pitch_x_mm, (row + 0.5) * mat.pitch_y_mm
    return _square((x, y), 0.5 * max(mat.pitch_x_mm, _LEAST_MM), 0.5 * max(mat.pitch_y_mm, _LEAST_MM), style)


def _square(at: Point, dx: float, dy: float, style: Style) -> list[Mark]:
    """A filling with a line around it, without which hatching is too faint to find."""
    x, y = at
    corners = [(x - dx, y - dy), (x + dx, y - dy), (x + dx, y + dy), (x - dx, y + dy)]
    return [outline(corners, style=style), outline(corners, style="soft")]


def _weights(known: KnownWeight) -> list[Mark]:
    """A circle a place with what it reads more or less than it weighs."""
    marks = []
    for x, y, gain in zip(known.x_mm, known.y_mm, known.gain, strict=True):
        marks.append(disc((x, y), _WEIGHT_MM, style="hollow"))
        marks.append(label((x, y), f"{100.0 * (gain - 1.0):+.1f} %", style="ink"))
    return marks


def _legend(counts: list[tuple[str, Style, int]], wide: float) -> list[Mark]:
    if not counts:
        return []
    step, y = wide / len(counts), -0.06 * wide
    marks: list[Mark] = []
    for n, (name, style, count) in enumerate(counts):
        x = (n + 0.08) * step
        marks += _square((x, y), 6.0, 6.0, style)
        marks.append(label((x + 8.0, y), f"{name}: {count}", "right", style="soft"))
    return marks
