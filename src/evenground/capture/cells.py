"""Numbers out of lines of delimited text: fast where every line is plain, line by line where one is not.

The fast way finds the delimiters as bytes, takes them out, and has Arrow read the values between them; it
gives up on anything odd. The slow way reads the same lines one by one and says what is odd and where, so
that both ways give the same numbers for what both can read.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from evenground.capture.fixed_point import fixed_point
from evenground.capture.text import CutFileError
from evenground.errors import CaptureError
from evenground.measure.recording import FloatArray

__all__ = [
    "Form",
    "NotANumberTextError",
    "WrongColumnsError",
    "count_lines",
    "parts_of",
    "plain_numbers",
    "slow_numbers",
]

_BLANK = " \t\r\x0b\x0c,;|"
_LINE_END = 10
_INSIDE = re.compile(rb"[^\s,;|][ ]+[^\s,;|]")


class WrongColumnsError(CaptureError):
    """A line with more or fewer cells than the layout says."""

    do = "Check columns, delimiter, decimal and skip_lines in the layout."

    def __init__(self, file: str, line: int, found: int, wanted: int) -> None:
        super().__init__(file, line, found, wanted)
        self.where = f"{file}, line {line}"
        self.what = f"This line has {found} values where the layout asks for {wanted}."


class NotANumberTextError(CaptureError):
    """A value that is no number."""

    do = "Check decimal, delimiter and skip_lines in the layout."

    def __init__(self, file: str, line: int, value: int, text: str) -> None:
        super().__init__(file, line, value, text)
        self.where = f"{file}, line {line}"
        self.what = f'Value {value}, "{text}", is not a number.'


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """How numbers stand in a line: the sign between them, the decimal sign, how many, and how exact.

    Columns in `ignored`, counted from 0, may hold anything and are left out.
    """

    delimiter: str
    decimal: str
    wanted: int
    exact: bool
    ignored: frozenset[int] = frozenset()

    @property
    def kept(self) -> list[int]:
        """The columns that are read."""
        return [k for k in range(self.wanted) if k not in self.ignored]

    @property
    def dtype(self) -> Any:
        """Times need double precision, cells do not."""
        return np.float64 if self.exact else np.float32


def plain_numbers(block: bytes, form: Form) -> FloatArray | None:
    """The values of a block of whole lines, a row a line, blank lines left out; None for anything odd."""
    tidy = _tidied(block, form)
    if tidy is None:
        return None
    if not tidy.strip():
        return np.empty((0, len(form.kept)), form.dtype)
    if form.delimiter == " ":
        return _by_arrow(tidy, form)
    fixed = _fixed(tidy, form)
    if fixed is not None:
        return fixed
    return _by_arrow(_without_blank(tidy), form)


def _tidied(block: bytes, form: Form) -> bytes | None:
    """Every line ended, blanks and one delimiter at line ends gone; None if odd."""
    if not block.isascii():
        return None
    if form.delimiter != " ":
        mark = form.delimiter.encode()
        if b" " in block:
            if _INSIDE.search(block):
                return None
            block = block.replace(b" ", b"")
        first_end = block.find(b"\n")
        if block[:first_end].endswith(mark):
            block = block.replace(mark + b"\n", b"\n")
    return block if block.endswith(b"\n") else block + b"\n"


def _fixed(block: bytes, form: Form) -> FloatArray | None:
    """By `fixed_point` where every line has as many values as wanted; blank lines between frames are cut."""
    if form.ignored:
        return None
    ends = _even_ends(block, form)
    if ends is None and b"\n\n" in block:  # looked for only now: the search takes as long as the reading
        block = _without_blank(block)
        ends = _even_ends(block, form)
    values = None if ends is None else fixed_point(block, ends, ord(form.decimal), form.dtype)
    return None if values is None else values.reshape(-1, form.wanted)


def _even_ends(block: bytes, form: Form) -> Any:
    """Where the values end, or None unless each line has as many as wanted."""
    marks = np.frombuffer(block, np.uint8)
    ends = np.flatnonzero((marks == ord(form.delimiter)) | (marks == _LINE_END))
    lines, rest = divmod(len(ends), form.wanted)
    line_ends = ends[form.wanted - 1 :: form.wanted]
    if rest or not np.all(marks[line_ends] == _LINE_END) or count_lines(block) != lines:
        return None
    return ends


def count_lines(block: bytes) -> int:
    """How many line ends there are; `bytes.count` looks at one after another and takes ten times as long."""
    return int(np.count_nonzero(np.frombuffer(block, np.uint8) == _LINE_END))


def _without_blank(block: bytes) -> bytes:
    """Empty lines gone."""
    while b"\n\n" in block:
        block = block.replace(b"\n\n", b"\n")
    return block[1:] if block.startswith(b"\n") else block


def _by_arrow(block: bytes, form: Form) -> FloatArray | None:
    """Values of any length by Arrow's reader of numbers."""
    import pyarrow as pa

    if form.decimal == ",":
        block = block.replace(b",", b".")
    offsets, per_line, bare = _tokens(block, form.delimiter)
    if len(per_line) == 0 or np.any(per_line != form.wanted):
        return None
    texts = pa.StringArray.from_buffers(len(offsets) - 1, pa.py_buffer(offsets), pa.py_buffer(bare))
    if form.ignored:
        mask = np.zeros((len(per_line), form.wanted), bool)
        mask[:, form.kept] = True
        texts = texts.filter(pa.array(mask.ravel()))
    try:
        values = texts.cast(pa.float64())  # as the slow way, which rounds to single precision after it
    except pa.ArrowInvalid:
        return None
    read: FloatArray = values.to_numpy(zero_copy_only=False).astype(form.dtype, copy=False)
    return read.reshape(len(per_line), -1)


def _tokens(block: bytes, delimiter: str) -> tuple[Any, Any, bytes]:
    """Where each value begins once delimiters are gone, values of each line, the text without them."""
    marks = np.frombuffer(block, np.uint8)
    if delimiter == " ":
        blank = (marks == 32) | (marks == 9) | (marks == _LINE_END)
        inside = ~blank
        ends = np.flatnonzero(blank[1:] & inside[:-1]) + 1
        starts = np.flatnonzero(inside[1:] & blank[:-1]) + 1
        if inside[0]:
            starts = np.concatenate([[0], starts])
        lengths, deleted = ends - starts, b" \t\n"
    else:
        ends = np.flatnonzero((marks == ord(delimiter)) | (marks == _LINE_END))
        lengths, deleted = np.diff(ends, prepend=-1) - 1, delimiter.encode() + b"\n"
    offsets = np.zeros(len(ends) + 1, np.int32)
    np.cumsum(lengths, out=offsets[1:])
    line_ends = np.flatnonzero(marks == _LINE_END)
    per_line = np.diff(np.searchsorted(ends, line_ends, side="right"), prepend=0)
    if delimiter == " ":
        per_line = per_line[per_line > 0]  # lines of blanks alone
    return offsets, per_line, block.translate(None, deleted)


def parts_of(line: str, delimiter: str) -> list[str]:
    """Values of a line as text; one delimiter too many at its end is forgiven."""
    if delimiter == " ":
        return line.split()
    parts = line.split(delimiter)
    return parts[:-1] if len(parts) > 1 and not parts[-1].strip() else parts


def slow_numbers(
    lines: Sequence[tuple[int, str]], form: Form, *, file: str, is_last: bool = False
) -> FloatArray:
    """As `plain_numbers` for numbered lines, or what is wrong with the first that is not as wanted.

    Raises
    ------
    WrongColumnsError, NotANumberTextError
        At the first line that the layout does not fit.
    CutFileError
        When that is the last line of the file and it is short.
    """
    full = [(number, line) for number, line in lines if line.strip(_BLANK)]
    kept = form.kept
    table = np.empty((len(full), len(kept)), form.dtype)
    for at, (number, line) in enumerate(full):
        parts = parts_of(line.replace(",", ".") if form.decimal == "," else line, form.delimiter)
        if len(parts) != form.wanted:
            if is_last and at == len(full) - 1 and number > 1 and len(parts) < form.wanted:
                raise CutFileError(file, f"its last line has {len(parts)} of {form.wanted} values")
            raise WrongColumnsError(file, number, len(parts), form.wanted)
        table[at] = [_number(parts[k], file, number, k + 1) for k in kept]
    return table


def _number(part: str, file: str, line: int, value: int) -> float:
    text = part.strip().strip('"')
    try:
        if "_" in text:  # which Python takes as a sign between digits
            raise NotANumberTextError(file, line, value, text[:40])
        return float(text)
    except ValueError as exc:
        raise NotANumberTextError(file, line, value, text[:40]) from exc
