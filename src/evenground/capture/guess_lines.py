"""How the lines of an unknown text export are made: its signs, where cells begin, what parts frames."""

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from evenground.capture.cells import parts_of
from evenground.errors import CaptureError

__all__ = ["Lines", "NoGridError", "lines_of"]

Delimiter = Literal[",", ";", "\t", "|", " "]
_DELIMITERS: tuple[Delimiter, ...] = ("\t", ";", "|", ",", " ")
_SAMPLE = 100
_LABELS = 4  # columns of words before the cells, at most
_NUMBER = re.compile(r"[-+]?(\d+([.,]\d*)?|[.,]\d+)([eE][-+]?\d+)?$")
_COMMA_BETWEEN = re.compile(r"\d,\d")


class NoGridError(CaptureError):
    """A text in which no grid of numbers is found."""

    do = "Export frames of pressures as text, or write the layout by hand (docs/formats/ground.md)."

    def __init__(self, file: str) -> None:
        super().__init__(file)
        self.where = file
        self.what = "No grid of numbers is found in this file."


@dataclass(frozen=True, slots=True, kw_only=True)
class Lines:
    """What the lines say.

    Attributes
    ----------
    delimiter, decimal
        The signs.
    values
        How many parts a line of cells has.
    labels
        How many of them, at its front, are words.
    first
        Index of the first line of cells, which is how many lines stand before it.
    runs
        Lengths of the stretches of consecutive lines of cells; blank lines and others end one.
    between
        Lines that are neither blank nor cells, by the stretch they stand before; not those before the first.
    tail
        Lines behind the last line of cells that are not blank.
    rows
        Parts of every line of cells.
    """

    delimiter: Delimiter
    decimal: Literal[".", ","]
    values: int
    labels: int
    first: int
    runs: tuple[int, ...]
    between: tuple[tuple[str, ...], ...]
    tail: int
    rows: tuple[tuple[str, ...], ...]


def lines_of(lines: Sequence[str], *, file: str) -> Lines:
    """Find the signs and the lines of cells.

    Raises
    ------
    NoGridError
        When no sign makes lines of numbers.
    """
    delimiter, decimal = _signs(lines, file)
    split = [_split(line, delimiter, decimal) for line in lines]
    counted = Counter((len(parts), _labels(parts)) for parts in split if _labels(parts) is not None)
    (values, labels), _ = max(counted.items(), key=lambda item: item[1] * item[0][0])
    is_cells = [len(parts) == values and _labels(parts) == labels for parts in split]
    first = is_cells.index(True)
    last = len(lines) - 1 - is_cells[::-1].index(True)
    runs, between = _runs(lines, is_cells, first, last)
    return Lines(
        delimiter=delimiter,
        decimal=decimal,
        values=values,
        labels=labels or 0,
        first=first,
        runs=tuple(runs),
        between=tuple(between),
        tail=sum(bool(line.strip(" \t,;|")) for line in lines[last + 1 :]),
        rows=tuple(tuple(parts) for parts, cells in zip(split, is_cells, strict=True) if cells),
    )


def _signs(lines: Sequence[str], file: str) -> tuple[Delimiter, Literal[".", ","]]:
    """The delimiter under which most values stand in lines of one length, and the decimal sign."""
    filled = [line for line in lines if line.strip()]
    middle = max(len(filled) // 2 - _SAMPLE // 2, 0)
    sample = filled[middle : middle + _SAMPLE]  # a preamble may be longer than a frame
    best: tuple[float, Delimiter, Literal[".", ","]] | None = None
    for delimiter in _DELIMITERS:
        commas = delimiter != "," and any(_COMMA_BETWEEN.search(line) for line in sample)
        decimal: Literal[".", ","] = "," if commas else "."
        counts = Counter(
            len(parts)
            for parts in (_split(line, delimiter, decimal) for line in sample)
            if len(parts) > 2 and _labels(parts) is not None
        )
        score = max((n * (count - 1) for n, count in counts.items()), default=0)
        if score and (best is None or score > 1.5 * best[0]):
            best = (score, delimiter, decimal)
    if best is None:
        raise NoGridError(file)
    return best[1], best[2]


def _split(line: str, delimiter: Delimiter, decimal: str) -> list[str]:
    if not line.strip(" \t,;|"):
        return []
    parts = [part.strip().strip('"') for part in parts_of(line, delimiter)]
    return [part.replace(",", ".") for part in parts] if decimal == "," else parts


def _labels(parts: Sequence[str]) -> int | None:
    """How many words stand before numbers alone; None when it is no line of cells."""
    words = next((k for k, part in enumerate(parts) if _NUMBER.match(part)), len(parts))
    rest = parts[words:]
    if words > _LABELS or len(rest) < 2 or not all(map(_NUMBER.match, rest)):
        return None
    return words


def _runs(
    lines: Sequence[str], is_cells: Sequence[bool], first: int, last: int
) -> tuple[list[int], list[tuple[str, ...]]]:
    runs: list[int] = [0]
    between: list[tuple[str, ...]] = []
    held: list[str] = []
    broken = False
    for line, cells in zip(lines[first : last + 1], is_cells[first : last + 1], strict=True):
        if not cells:
            broken = True
            held += [line] if line.strip(" \t,;|") else []
            continue
        if broken:
            runs.append(0)
            between.append(tuple(held))
            held, broken = [], False
        runs[-1] += 1
    return runs, between
