r"""The journal of a live recording: frames on the disk before anybody sees them, readable however it ends.

    magic   8 bytes  "EGMATJ1\n"
    head    length, CRC-32, JSON: the mat, and what the recording is about
    batch   length, CRC-32, then kind (1 frames, 2 end), index of the first frame, count,
            count times (float64), count x rows x columns cells (float32)
    batch   ...

Numbers are little-endian; docs/formats/journal.md. A batch is synced before `Journal.append` returns. Reading
stops at the first batch that is not whole: only what was being written when the plug was pulled is missing.
"""

import json
import struct
import zlib
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Annotated, Any, Literal

import numpy as np
from pydantic import Field

from evenground.capture.disk import (
    LocalDisk,
    SyncedDisk,
    SyncedFile,
    held_elsewhere,
    sync_folder,
    write_whole,
)
from evenground.capture.fields import Count, MissingFileError, Number, Typed, checked
from evenground.capture.frames import MatFrames, MatHead, recording_of
from evenground.errors import CaptureError
from evenground.measure.recording import MatRecording

__all__ = [
    "BATCH_S",
    "JOURNAL_SUFFIX",
    "Journal",
    "JournalStoppedError",
    "Journalled",
    "NotAJournalError",
    "begin_journal",
    "file_recording",
    "left_journals",
    "read_journal",
]

BATCH_S = 0.1
"""Frames of at most so long are written and synced as one batch (ours, the promise of issue 4)."""

JOURNAL_SUFFIX = ".journal"
_MAGIC = b"EGMATJ1\n"
_PIECE = struct.Struct("<II")
_BATCH = struct.Struct("<BII")
_FRAMES, _END = 1, 2
_LONGEST_HEAD = 1_000_000


class JournalStoppedError(CaptureError):
    """The disk takes no more frames."""

    do = "Make room or check the disk; everything up to there is kept and can be looked at."

    def __init__(self, file: str, frames: int, why: str) -> None:
        super().__init__(file, frames, why)
        self.where = file
        self.what = f"The recording stopped after {frames} frames: the disk refused the next ({why})."


class NotAJournalError(CaptureError):
    """A file that is no journal, or one whose head is damaged."""

    do = "Only journals that this program wrote hold recordings; docs/formats/journal.md says how they begin."

    def __init__(self, file: str, why: str) -> None:
        super().__init__(file, why)
        self.where = file
        self.what = f"This is no journal of a recording: {why}."


class _HeadFile(Typed):
    rows: Annotated[Count, Field(ge=1, le=2000)]
    columns: Annotated[Count, Field(ge=1, le=2000)]
    pitch_x_mm: Annotated[Number, Field(gt=0.0)]
    pitch_y_mm: Annotated[Number, Field(gt=0.0)]
    unit: Literal["kPa", "counts"]
    rate_hz: Annotated[Number, Field(gt=0.0)]
    turned_deg: Annotated[Number, Field(ge=-45.0, le=45.0)]
    name: str
    about: dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Journalled:
    """What a journal holds.

    Attributes
    ----------
    head, about
        The mat, and what the recording is about: whatever its beginner wrote down, as JSON.
    frames
        All frames that are whole.
    ended
        Whether the writer came to the end; False when it was killed.
    torn_bytes
        Bytes behind the last whole batch.
    """

    head: MatHead
    about: Mapping[str, Any]
    frames: MatFrames
    ended: bool
    torn_bytes: int

    @property
    def recording(self) -> MatRecording:
        """The frames as a recording; a MeasureError when there is none."""
        return recording_of(self.head, self.frames)


class Journal:
    """A journal that is being written; made by `begin_journal`."""

    def __init__(self, path: Path, head: MatHead, file: SyncedFile, length: int) -> None:
        self.path, self.head = path, head
        self.count = 0
        self._file, self._length = file, length
        self._open = True

    def append(self, frames: MatFrames) -> None:
        """Put frames on the disk, in batches of at most `BATCH_S`; all of them are synced when this returns.

        Raises
        ------
        JournalStoppedError
            When the disk refuses; what was synced before stays readable.
        """
        step = max(1, int(BATCH_S * self.head.rate_hz))
        for start in range(0, len(frames), step):
            part = frames.part(start, start + step)
            body = _BATCH.pack(_FRAMES, self.count, len(part)) + _bytes(part, self.head)
            self._put(body)
            self.count += len(part)

    def end(self) -> None:
        """Say that the recording is whole, and let the file go; ended again it changes nothing.

        Raises
        ------
        JournalStoppedError
            When the disk refuses even this.
        """
        if not self._open:
            return
        try:
            self._put(_BATCH.pack(_END, self.count, 0))
        finally:
            self.close()

    def close(self) -> None:
        """Let the file go as it is."""
        if self._open:
            self._open = False
            self._file.close()

    def _put(self, body: bytes) -> None:
        piece = _PIECE.pack(len(body), zlib.crc32(body)) + body
        try:
            self._file.write(piece)
            self._file.sync()
        except OSError as exc:
            self._back()
            raise JournalStoppedError(self.path.name, self.count, (exc.strerror or str(exc)).lower()) from exc
        self._length += len(piece)

    def _back(self) -> None:
        """Cut off what was half written; reading would stop there anyway."""
        try:
            self._file.cut(self._length)
        except OSError:
            self.close()


def _bytes(frames: MatFrames, head: MatHead) -> bytes:
    cells = np.ascontiguousarray(frames.cells, dtype="<f4").reshape(len(frames), head.cells)
    return frames.time_s.astype("<f8").tobytes() + cells.tobytes()


def begin_journal(
    path: Path, head: MatHead, about: Mapping[str, Any], *, disk: SyncedDisk | None = None
) -> Journal:
    """Begin a journal.

    Parameters
    ----------
    path
        Its file, by custom with `JOURNAL_SUFFIX`; appears whole with its head.
    head
        The mat.
    about
        What the recording is of, for whoever reads it after this process is gone; plain JSON.
    disk
        Where it is written; this machine's disk.

    Raises
    ------
    JournalStoppedError
        When the file cannot be begun.
    """
    said = json.dumps({**asdict(head), "about": dict(about)}, ensure_ascii=False).encode()
    first = _MAGIC + _PIECE.pack(len(said), zlib.crc32(said)) + said
    try:
        file = (disk or LocalDisk()).begin(path, first)
    except OSError as exc:
        raise JournalStoppedError(path.name, 0, (exc.strerror or str(exc)).lower()) from exc
    return Journal(path, head, file, len(first))


def read_journal(path: Path) -> Journalled:
    """Read every frame that is whole, in whatever state the writer left the file.

    Raises
    ------
    MissingFileError
        When it cannot be opened.
    NotAJournalError
        When its head is not that of a journal.
    UnreadableFieldError
        When its head says something impossible.
    """
    try:
        raw = path.read_bytes()
    except OSError as exc:
        raise MissingFileError(path.name, (exc.strerror or "unknown reason").lower()) from exc
    head, about, at = _head(raw, path.name)
    times: list[Any] = []
    cells: list[Any] = []
    count, ended = 0, False
    for kind, first, many, start, end in _batches(raw, at, head):
        if first != count or ended:
            break
        at = end
        ended = kind == _END
        if many:
            times.append(np.frombuffer(raw, "<f8", many, start))
            cells.append(np.frombuffer(raw, "<f4", many * head.cells, start + 8 * many))
            count += many
    frames = MatFrames(
        time_s=np.concatenate(times) if times else np.zeros(0),
        cells=(np.concatenate(cells) if cells else np.zeros(0, np.float32)).reshape(
            -1, head.rows, head.columns
        ),
    )
    return Journalled(head=head, about=about, frames=frames, ended=ended, torn_bytes=len(raw) - at)


def _head(raw: bytes, file: str) -> tuple[MatHead, Mapping[str, Any], int]:
    at = len(_MAGIC) + _PIECE.size
    if not raw.startswith(_MAGIC) or len(raw) < at:
        raise NotAJournalError(file, "it begins otherwise")
    length, said_crc = _PIECE.unpack_from(raw, len(_MAGIC))
    said = raw[at : at + length]
    if length > _LONGEST_HEAD or len(said) != length or zlib.crc32(said) != said_crc:
        raise NotAJournalError(file, "its head is damaged")
    try:
        plain = json.loads(said)
    except ValueError as exc:
        raise NotAJournalError(file, "its head is not JSON") from exc
    checked_head = checked(_HeadFile, plain, file=file)
    fields = checked_head.model_dump()
    about = fields.pop("about")
    return MatHead(**fields), about, at + length


def _batches(raw: bytes, at: int, head: MatHead) -> Iterator[tuple[int, int, int, int, int]]:
    """Kind, first frame, count, where its times begin and where it ends, of every batch up to a torn one."""
    while at + _PIECE.size <= len(raw):
        length, crc = _PIECE.unpack_from(raw, at)
        start, end = at + _PIECE.size, at + _PIECE.size + length
        if length < _BATCH.size or end > len(raw) or zlib.crc32(memoryview(raw)[start:end]) != crc:
            return
        kind, first, count = _BATCH.unpack_from(raw, start)
        if kind not in (_FRAMES, _END) or length != _BATCH.size + count * (8 + 4 * head.cells):
            return
        yield kind, first, count, start + _BATCH.size, end
        at = end


def left_journals(folder: Path) -> tuple[Path, ...]:
    """Journals in a folder that nobody writes to any more, oldest name first."""
    if not folder.is_dir():
        return ()
    found = sorted(p for p in folder.iterdir() if p.suffix == JOURNAL_SUFFIX and p.is_file())
    return tuple(path for path in found if not held_elsewhere(path))


def file_recording(journal: Path, out: Path) -> MatRecording | None:
    """Make a journal a Parquet recording, and forget the journal once that is on the disk.

    Returns
    -------
    recording
        None when the journal holds no frame; it is forgotten all the same.

    Raises
    ------
    CaptureError
        When it cannot be read; it is left as it is.
    MeasureError
        When its frames are no recording; it is left as it is.
    """
    found = read_journal(journal)
    recording = found.recording if len(found.frames) else None
    if recording is not None:
        put_recording(recording, out)
    journal.unlink()
    sync_folder(journal.parent)
    return recording


def put_recording(recording: MatRecording, out: Path) -> None:
    """Write a recording so that its name never stands for half a file."""
    import tempfile

    from evenground.capture.parquet import write_recording

    with tempfile.TemporaryDirectory(dir=out.parent, prefix=".making-") as folder:
        made = Path(folder) / out.name
        write_recording(recording, made)
        write_whole(Path(folder) / f"{out.name}.whole", out, made.read_bytes())
