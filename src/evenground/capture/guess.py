"""A layout proposed for an unknown text export, with a reason for every key and how far to trust it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import islice
from typing import Any, BinaryIO, Literal

import numpy as np

from evenground.capture.fields import checked
from evenground.capture.guess_lines import Lines, lines_of
from evenground.capture.guess_place import direction_of, pitch_of, unit_of
from evenground.capture.guess_shape import Column, column_kinds, columns_of_frame, period_of_rows
from evenground.capture.guess_words import Said, said_in
from evenground.capture.layout import Layout
from evenground.capture.text import text_blocks
from evenground.capture.textgrid import NUMBER, frame_pieces
from evenground.errors import CaptureError
from evenground.measure.direction import feet_lie
from evenground.measure.recording import FloatArray

__all__ = ["Guess", "NoRowsError", "Reason", "Stated", "Trust", "guess_layout", "mean_of", "turned"]

Trust = Literal["read", "likely", "check"]
"""`read`: the file says so; `likely`: its values show it; `check`: nothing in the file can tell."""

_HEAD_BYTES = 3_000_000
_MOST_LINES = 20_000
_PLACEHOLDER_HZ = 50.0
_LONGEST_STEP_S = 2.0


class NoRowsError(CaptureError):
    """Numbers without a grid in them."""

    do = "Write the layout by hand: rows and columns stand in the mat's own window or data sheet."

    def __init__(self, file: str, values: int, lines: int) -> None:
        super().__init__(file, values, lines)
        self.where = file
        self.what = f"{lines} lines of {values} values do not fall into frames of a mat."


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """One key of the layout: what is proposed, why, and how far to trust it."""

    key: str
    value: str
    why: str
    trust: Trust


@dataclass(frozen=True, slots=True, kw_only=True)
class Stated:
    """What the teacher knows better. `turn_deg` turns the picture counter-clockwise, `mirror` flips it."""

    pitch_mm: tuple[float, float] | None = None
    rate_hz: float | None = None
    unit: str | None = None
    mass_kg: float | None = None
    turn_deg: int = 0
    mirror: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Guess:
    """A proposed layout and why."""

    layout: Layout
    reasons: tuple[Reason, ...]


@dataclass(slots=True)
class _Draft:
    """The layout as it grows."""

    file: str
    keys: dict[str, Any] = field(default_factory=dict)
    reasons: list[Reason] = field(default_factory=list)

    def put(self, key: str, value: Any, why: str, trust: Trust) -> None:
        self.keys[key] = value
        self.reasons = [r for r in self.reasons if r.key != key]
        self.reasons.append(Reason(key=key, value=_shown(value), why=why, trust=trust))

    def layout(self) -> Layout:
        return checked(Layout, self.keys, file=self.file)


def _shown(value: object) -> str:
    if isinstance(value, list):
        return _shown(value[0]) if value[0] == value[-1] else " x ".join(_shown(v) for v in value)
    if value in _SIGN_NAMES:
        return _SIGN_NAMES[str(value)]
    return f"{value:g}" if isinstance(value, float) else str(value)


_SIGN_NAMES = {"\t": "tab", " ": "blanks", ",": "comma", ";": "semicolon", "|": "bar", ".": "point"}


def guess_layout(stream: BinaryIO, *, file: str, stated: Stated | None = None, cut: bool = False) -> Guess:
    """Propose a layout from the beginning of a text export.

    Parameters
    ----------
    stream
        Open for reading bytes, seekable, plain or packed; read from where it stands.
    file
        Its name for messages.
    stated
        What is known already and need not be guessed.
    cut
        Whether the stream is only the beginning of a file.

    Raises
    ------
    NoGridError, NoRowsError
        When no frames of a mat are found in it.
    CaptureError
        When it is not text.

    Notes
    -----
    What nothing in a file can tell (left from right, the rate where no time is given, the exact pitch) is
    proposed too, with trust *check*: the picture shows a person whether it is so.
    """
    stated = stated or Stated()
    start = stream.tell()
    lines, whole = _head(stream, file, cut=cut)
    stream.seek(start)
    found = lines_of(lines, file=file)
    said = said_in([*lines[: found.first], *(line for gap in found.between[:3] for line in gap)])
    draft = _Draft(file)
    _put_signs(draft, found)
    table = np.array([row[found.labels :] for row in found.rows], np.float64)
    _put_frames(draft, found, said, table, whole=whole)
    _put_time(draft, found, said, stated, table)
    _put_mat(draft, said, stated, lambda layout: mean_of(stream, layout, file=file, cut=cut))
    stream.seek(start)
    return Guess(layout=draft.layout(), reasons=tuple(draft.reasons))


def _head(stream: BinaryIO, file: str, *, cut: bool) -> tuple[list[str], bool]:
    """The first lines, and whether they are all."""
    text, whole = b"", True
    for block in text_blocks(stream, file=file, size=_HEAD_BYTES // 4):
        if len(text) >= _HEAD_BYTES:
            whole = False
            break
        text += block
    lines = text.decode("utf-8").splitlines()
    if cut and len(lines) > 1:
        lines, whole = lines[:-1], False
    return lines[:_MOST_LINES], whole and len(lines) <= _MOST_LINES


def _put_signs(draft: _Draft, found: Lines) -> None:
    count = len(found.rows)
    sign = _SIGN_NAMES[found.delimiter]
    draft.put(
        "delimiter", found.delimiter, f"{count} lines of {found.values} values with {sign} between", "likely"
    )
    if found.decimal == ",":
        draft.put("decimal", ",", "commas stand between digits, and other signs between values", "likely")
    if found.first:
        draft.put("skip_lines", found.first, f"line {found.first + 1} is the first with cells", "likely")


def _put_frames(draft: _Draft, found: Lines, said: Said, table: FloatArray, *, whole: bool) -> None:
    extra = column_kinds(table)
    ahead = [c for c in extra if c.kind != "sum"]
    behind = [c for c in extra if c.kind == "sum"]
    cells = table[:, len(ahead) : table.shape[1] - len(behind)]
    if not _put_per_frame(draft, said, cells, ahead):
        _put_grids(draft, found, said, cells, ahead, whole=whole)
    first = found.labels + len(ahead)
    if draft.keys["frames"] == "row-per-frame":
        time = next((c.at + found.labels for c in ahead if c.kind == "time"), None)
        if time is not None:
            draft.put("time_column", time + 1, "this column rises evenly from line to line", "likely")
            first = 0 if first == 1 else first
    if first:
        draft.put("skip_columns", first, _columns_why(found, ahead), "likely")
    if behind:
        draft.put("skip_last_columns", len(behind), "the last column is the sum of its line", "likely")
    if found.tail and whole:
        draft.put("skip_last_lines", found.tail, "the last lines hold words", "likely")


def _columns_why(found: Lines, ahead: Sequence[Column]) -> str:
    words = ["words"] if found.labels else []
    names = {"time": "a time", "number": "a running number", "row": "the row's number"}
    return f"the first columns hold {', '.join([*words, *(names[c.kind] for c in ahead)])}"


def _put_per_frame(draft: _Draft, said: Said, cells: FloatArray, ahead: Sequence[Column]) -> bool:
    """Whether a line is a frame; then its rows and columns."""
    count = cells.shape[1]
    timed = any(c.kind in ("time", "number") for c in ahead)
    if said.rows and said.columns and said.rows[0] * said.columns[0] == count:
        shape, why, trust = (said.rows[0], said.columns[0]), _quoted(said.columns[1]), "read"
    elif (count > 256 or timed) and (best := columns_of_frame(cells)) is not None:
        shape = (count // best[0], best[0])
        why = f"of all ways to lay {count} cells out, this one puts like above like ({best[1]:.2f})"
        trust = "likely" if best[1] > 0.6 else "check"
    else:
        return False
    draft.put("frames", "row-per-frame", f"each line holds all {count} cells of a frame", "likely")
    draft.put("rows", shape[0], why, _trust(trust))
    draft.put("columns", shape[1], why, _trust(trust))
    return True


def _trust(word: str) -> Trust:
    return "read" if word == "read" else "likely" if word == "likely" else "check"


def _quoted(words: str) -> str:
    return f'the file says "{" ".join(words.split())}"'


def _put_grids(
    draft: _Draft, found: Lines, said: Said, cells: FloatArray, ahead: Sequence[Column], *, whole: bool
) -> None:
    rows, why = _rows_of(draft.file, found, said, cells, ahead, whole=whole)
    single = whole and len(cells) == rows
    kind = "single" if single else "stacked"
    draft.put("frames", kind, "one grid" if single else f"grids of {rows} rows follow one another", "likely")
    draft.put("rows", rows, why, "read" if why.startswith("the file says") else "likely")
    draft.put("columns", cells.shape[1], f"every row has {cells.shape[1]} cells", "likely")
    headers = {len(gap) for gap in found.between}
    if not single and len(headers) == 1 and (count := headers.pop()):
        draft.put("header_lines", count, _quoted(found.between[0][0][:60]), "likely")
        # the first frame's own header stands before it too
        draft.put("skip_lines", max(found.first - count, 0), "the words before the first header", "likely")


def _rows_of(
    file: str, found: Lines, said: Said, cells: FloatArray, ahead: Sequence[Column], *, whole: bool
) -> tuple[int, str]:
    runs = found.runs
    if said.rows is not None and (len(cells) % said.rows[0] == 0 or not whole):
        return said.rows[0], _quoted(said.rows[1])
    if len(runs) > 1 and len(set(runs[:-1])) == 1 and (runs[-1] == runs[0] or not whole):
        return runs[0], f"after every {runs[0]} rows something else stands between"
    if any(c.kind == "row" for c in ahead):
        return int(np.ptp(_row_numbers(found))) + 1, "the first column counts the rows"
    period = period_of_rows(cells[: len(cells)])
    if period is not None:
        return period, f"after {period} rows the picture comes again"
    if whole and 8 <= len(cells) <= 256:
        return len(cells), "the whole file is one grid"
    raise NoRowsError(file, cells.shape[1], len(cells))


def _row_numbers(found: Lines) -> FloatArray:
    return np.array([float(row[found.labels]) for row in found.rows])


def _put_time(draft: _Draft, found: Lines, said: Said, stated: Stated, table: FloatArray) -> None:
    """Seconds or milliseconds, and the rate where no time is given."""
    if draft.keys["frames"] == "single":
        return
    if stated.rate_hz is not None:
        draft.put("rate_hz", stated.rate_hz, "as you gave it", "read")
    step = _time_step(draft, found, table)
    if step is not None:
        if said.milliseconds is not None:
            draft.put("time_unit", "ms", _quoted(said.milliseconds), "read")
        elif step > _LONGEST_STEP_S:
            why = f"frames would be {step:g} s apart in seconds"
            draft.put("time_unit", "ms", why, "likely")
    if step is not None or stated.rate_hz is not None:
        return
    if said.rate_hz is not None:
        draft.put("rate_hz", said.rate_hz[0], _quoted(said.rate_hz[1]), "read")
        return
    why = "nothing in the file says how fast; sway figures are wrong until you give the mat's own rate"
    draft.put("rate_hz", _PLACEHOLDER_HZ, why, "check")


def _time_step(draft: _Draft, found: Lines, table: FloatArray) -> float | None:
    """What the time rises by from frame to frame, as the file has it; None when it has no time."""
    if "time_column" in draft.keys:
        return float(np.median(np.diff(table[:, draft.keys["time_column"] - 1 - found.labels])))
    if not draft.keys.get("header_lines"):
        return None
    numbers = [[float(n.replace(",", ".")) for n in NUMBER.findall(" ".join(gap))] for gap in found.between]
    fewest = min(map(len, numbers))
    for at in range(fewest):
        steps = np.diff([row[at] for row in numbers])
        usual = float(np.median(steps)) if len(steps) > 1 else 0.0
        even = usual > 0.0 and bool(np.all(np.abs(steps - usual) <= 0.25 * usual))
        if even and usual != 1.0:  # what rises by one counts the frames
            draft.put("header_time", at + 1, "this number rises evenly from frame to frame", "likely")
            return usual
    return None


Mean = Callable[[Layout], tuple[FloatArray, bool]]


def _put_mat(draft: _Draft, said: Said, stated: Stated, look: Mean) -> None:
    """Unit, pitch and direction, from a look at the frames themselves."""
    draft.keys.update(unit="counts", pitch_mm=8.0, first_row="toe", first_column="left")
    mean, whole = look(draft.layout())
    for key in ("unit", "pitch_mm", "first_row", "first_column"):
        del draft.keys[key]
    known = stated.pitch_mm or (None if said.pitch_mm is None else said.pitch_mm[0])
    lie = feet_lie(mean, 1.0 if known is None else known[1] / known[0])
    pitch, why, trust = pitch_of(lie, said, stated.pitch_mm)
    draft.put("pitch_mm", pitch, why, _trust(trust))
    unit, why, trust = unit_of(mean, pitch, said, (stated.unit, stated.mass_kg), whole=whole)
    draft.put("unit", unit, why, _trust(trust))
    for key, value, why, trust in direction_of(lie):
        draft.put(key, value, why, _trust(trust))
    if stated.turn_deg or stated.mirror:
        layout = turned(draft.layout(), stated.turn_deg, mirror=stated.mirror)
        for key in ("first_row", "first_column", "turned_deg"):
            draft.put(key, getattr(layout, key), "as you turned it", "read")


def mean_of(
    stream: BinaryIO, layout: Layout, *, file: str, most: int = 400, cut: bool = False
) -> tuple[FloatArray, bool]:
    """Mean of the first frames as the layout has them, and whether all their values are whole numbers.

    Parameters
    ----------
    stream, file, cut
        As in `guess_layout`.
    layout
        How the file is laid out.
    most
        How many frames are enough.

    Raises
    ------
    CaptureError
        When the layout does not fit the file.
    """
    start = stream.tell()
    total, frames, whole = np.zeros((1, 1)), 0, True
    pieces = frame_pieces(stream, layout, file=file, block_bytes=_HEAD_BYTES // 12)
    try:
        for piece in islice(pieces, 64):
            cells = piece.cells[: most - frames]
            total = total + cells.sum(axis=0, dtype=np.float64)
            frames += len(cells)
            whole = whole and bool(np.all(cells == np.round(cells)))
            if frames >= most:
                break
    except CaptureError:
        if not (cut and frames):  # a beginning may end within a frame
            raise
    stream.seek(start)
    return total / frames, whole


def turned(layout: Layout, turn_deg: int, *, mirror: bool = False) -> Layout:
    """The layout whose picture is turned counter-clockwise by so much more, then mirrored left for right.

    Examples
    --------
    A quarter turn four times changes nothing.
    """
    angle = layout.turned_deg + turn_deg
    plain = layout.model_dump()
    if mirror:
        angle = -angle  # mirroring after a turn is mirroring before the opposite turn
        plain["first_column"] = "right" if layout.first_column == "left" else "left"
    plain["turned_deg"] = float((angle + 180.0) % 360.0 - 180.0)
    if plain["turned_deg"] == -180.0:
        plain["turned_deg"] = 180.0
    return Layout.model_validate(plain)
