"""A mat from above with what its checks found: faulty cells as marks, known weights with their gain."""

from collections.abc import Iterable
from dataclasses import dataclass

from evenground.instruments import Cell, EmptyMat, Figures, KnownWeight
from evenground.report.drawing import Drawing, Mark, Point, around, disc, label, outline

__all__ = ["MatOutline", "mat_check_drawing"]

_FAULTS = ("dead", "stuck", "noisy", "drifting")
"""Each fault by its own shape: an open square, a full one, a ring, a triangle; never by a colour."""
_WEIGHT_MM = 55.0
_LEAST_MM = 14.0


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

    Faulty cells are drawn 14 mm large, so that one among ten thousand is seen. Under the mat stands which
    mark means which fault, with how many there are.
    """
    wide, tall = mat.size_mm
    marks: list[Mark] = [outline([(0.0, 0.0), (wide, 0.0), (wide, tall), (0.0, tall)], style="hair")]
    marks.append(label((0.5 * wide, tall), "toes", "above", style="soft"))
    marks.append(label((0.0, 0.5 * tall), "left", "left", style="soft"))
    marks.append(label((wide, 0.5 * tall), "right", "right", style="soft"))
    counts: list[tuple[str, int]] = []
    for one in figures:
        if isinstance(one, KnownWeight):
            marks += _weights(one)
        if isinstance(one, EmptyMat):
            counts = [(name, len(getattr(one, name))) for name in _FAULTS]
            marks += [_fault(name, _middle(mat, cell)) for name in _FAULTS for cell in getattr(one, name)]
    marks += _legend(counts, wide)
    return around(marks, pad_mm=0.08 * wide)


def _middle(mat: MatOutline, cell: Cell) -> Point:
    row, column = cell
    return (column + 0.5) * mat.pitch_x_mm, (row + 0.5) * mat.pitch_y_mm


def _fault(name: str, at: Point) -> Mark:
    """The shape of one fault around a point."""
    x, y = at
    half = 0.5 * _LEAST_MM
    if name == "noisy":
        return disc(at, half, style="hollow")
    if name == "drifting":
        return outline([(x - half, y - half), (x + half, y - half), (x, y + half)], style="arrow")
    corners = [(x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half)]
    return outline(corners, style="arrow" if name == "stuck" else "hollow")


def _weights(known: KnownWeight) -> list[Mark]:
    """A circle a place with what it reads more or less than it weighs."""
    marks = []
    for x, y, gain in zip(known.x_mm, known.y_mm, known.gain, strict=True):
        marks.append(disc((x, y), _WEIGHT_MM, style="hollow"))
        marks.append(label((x, y), f"{100.0 * (gain - 1.0):+.1f} %", style="ink"))
    return marks


def _legend(counts: list[tuple[str, int]], wide: float) -> list[Mark]:
    if not counts:
        return []
    step, y = wide / len(counts), -0.06 * wide
    marks: list[Mark] = []
    for n, (name, count) in enumerate(counts):
        x = (n + 0.08) * step
        marks.append(_fault(name, (x, y)))
        marks.append(label((x + 9.0, y), f"{name}: {count}", "right", style="soft"))
    return marks
