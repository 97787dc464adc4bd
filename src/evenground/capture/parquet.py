"""Mat recordings in Apache Parquet: one row a frame, the mat's geometry in the schema's metadata.

Columns: `time_s` (float64) and `cells`, a fixed-size list of rows * columns values, row after row from the
heels, each row from the player's left. The metadata key `evenground.recording` holds a JSON object:
`version`, `rows`, `columns`, `pitch_x_mm`, `pitch_y_mm`, `unit` ("kPa" or "counts"), `rate_hz` (null for
one frame), `turned_deg`, and `step`: what the stored values are multiplied by to get the unit (1 unless
they are whole steps).
"""

import json
from pathlib import Path
from typing import Annotated, Any, Literal

import numpy as np
from pydantic import Field

from evenground.capture.fields import Count, Number, Typed, checked
from evenground.capture.text import CutFileError, EmptyFileError, TooLargeFileError, opened
from evenground.errors import CaptureError
from evenground.measure.recording import FloatArray, MatRecording

__all__ = [
    "Geometry",
    "NotARecordingError",
    "RecordingWriter",
    "cells_of",
    "geometry_of",
    "opened_parquet",
    "read_parquet",
    "write_recording",
]

_KEY = b"evenground.recording"
_MAGIC = b"PAR1"
MOST_VALUES = 500_000_000
"""2 GB in single precision, as much as a text export may hold (ours)."""
_MAX_STEPS = 65535
_GROUP_VALUES = 4_000_000  # a row group: 16 MB in single precision, so that a long file can be read in pieces


class NotARecordingError(CaptureError):
    """A file that is not a recording in the documented form."""

    do = "docs/formats.md says what such a file holds; for a text export give its layout."

    def __init__(self, file: str, why: str) -> None:
        super().__init__(file, why)
        self.where, self.what = file, f"This is not a recording: {why}."


class Geometry(Typed):
    """What a recording's metadata say: see the top of this module."""

    version: Literal[1]
    rows: Annotated[Count, Field(ge=1, le=2000)]
    columns: Annotated[Count, Field(ge=1, le=2000)]
    pitch_x_mm: Annotated[Number, Field(gt=0.0)]
    pitch_y_mm: Annotated[Number, Field(gt=0.0)]
    unit: Literal["kPa", "counts"]
    rate_hz: Annotated[Number, Field(gt=0.0)] | None
    turned_deg: Annotated[Number, Field(ge=-45.0, le=45.0)] = 0.0
    step: Annotated[Number, Field(gt=0.0)] = 1.0


def write_recording(recording: MatRecording, path: Path, *, step: float | None = None) -> None:
    """Write a recording.

    Parameters
    ----------
    recording
        What to write.
    path
        Where to; an existing file is replaced.
    step
        Store whole multiples of this many kPa (or counts) in two bytes, which packs several times smaller.
        Without it cells are stored as they are.

    Raises
    ------
    ValueError
        When a cell needs more than 65535 steps.
    """
    frames, rows, columns = recording.shape
    flat = recording.cells.reshape(frames, -1)
    if step is not None:
        if float(flat.max()) / step > _MAX_STEPS:
            msg = f"steps of {step} reach to {step * _MAX_STEPS}, the recording to {float(flat.max())}"
            raise ValueError(msg)
        flat = np.round(flat / flat.dtype.type(step)).astype(np.uint16)
    geometry = Geometry(
        version=1,
        rows=rows,
        columns=columns,
        pitch_x_mm=recording.pitch_x_mm,
        pitch_y_mm=recording.pitch_y_mm,
        unit=recording.unit,
        rate_hz=recording.rate_hz,
        turned_deg=recording.turned_deg,
        step=step or 1.0,
    )
    with RecordingWriter(path, geometry, dtype=flat.dtype) as writer:
        writer.write(recording.time_s, flat)


class RecordingWriter:
    """Writes a recording some frames at a time; use it in a `with` statement.

    Parameters
    ----------
    path
        Where to; an existing file is replaced.
    geometry
        What every frame is of.
    dtype
        Of the values as they are stored.
    """

    def __init__(self, path: Path, geometry: "Geometry", *, dtype: Any = np.float32) -> None:
        import pyarrow as pa  # 30 MB that a server at rest need not hold
        import pyarrow.parquet as pq

        cells = pa.list_(pa.from_numpy_dtype(dtype), geometry.rows * geometry.columns)
        said = {_KEY: json.dumps(geometry.model_dump()).encode()}
        self._schema = pa.schema([("time_s", pa.float64()), ("cells", cells)], metadata=said)
        self._group = max(_GROUP_VALUES // (geometry.rows * geometry.columns), 1)
        self._writer = pq.ParquetWriter(
            path,
            self._schema,
            compression="zstd",
            use_dictionary=False,
            write_page_checksum=True,
            column_encoding={"time_s": "PLAIN", "cells.list.element": "BYTE_STREAM_SPLIT"},
        )

    def __enter__(self) -> "RecordingWriter":
        """Ready to write."""
        return self

    def __exit__(self, *_: object) -> None:
        """Write the list of contents; without it the file cannot be read."""
        self._writer.close()

    def write(self, time_s: FloatArray, cells: Any) -> None:
        """Add frames, (k, R, C) or (k, R * C), with their times, (k,)."""
        import pyarrow as pa

        values = pa.array(np.ascontiguousarray(cells).ravel())
        lists = pa.FixedSizeListArray.from_arrays(values, self._schema.field("cells").type.list_size)
        table = pa.Table.from_arrays([pa.array(time_s, pa.float64()), lists], schema=self._schema)
        self._writer.write_table(table, row_group_size=self._group)


def read_parquet(raw: bytes, *, file: str) -> MatRecording:
    """Read a recording; `file` is its name for messages.

    Raises
    ------
    EmptyFileError, CutFileError, NotARecordingError
        When the file has no content, no end, or another content.
    TooLargeFileError
        When it unpacks to more than any recording holds; nothing of it is unpacked.
    UnreadableFieldError
        When its geometry is wrong.
    MeasureError
        When a cell holds what no pressure can be.
    """
    import pyarrow as pa
    import pyarrow.parquet as pq

    _look(raw, file)
    try:
        packed = pq.ParquetFile(pa.BufferReader(raw), page_checksum_verification=True)
        if _values_in(packed.metadata) > MOST_VALUES:
            raise TooLargeFileError(file, 4 * MOST_VALUES // 1_000_000)
        table = packed.read()
    except (pa.ArrowException, OSError) as exc:
        raise CutFileError(file, "what is inside cannot be unpacked") from exc
    geometry = geometry_of(file, table.schema)
    if not {"time_s", "cells"} <= set(table.column_names):
        raise NotARecordingError(file, "it lacks time_s or cells")
    if table["time_s"].null_count:
        raise NotARecordingError(file, "frames or times are missing")
    cells = cells_of(file, table, geometry)
    return MatRecording(
        cells=cells,
        unit=geometry.unit,
        pitch_x_mm=geometry.pitch_x_mm,
        pitch_y_mm=geometry.pitch_y_mm,
        rate_hz=geometry.rate_hz if len(cells) > 1 else None,
        time_s=table["time_s"].to_numpy().astype(np.float64),
        turned_deg=geometry.turned_deg,
        name=file,
    )


def _values_in(metadata: Any) -> int:
    """How many values all columns hold: a few bytes packed may stand for billions of equal cells."""
    groups = [metadata.row_group(n) for n in range(metadata.num_row_groups)]
    return sum(group.column(n).num_values for group in groups for n in range(group.num_columns))


def opened_parquet(path: Path, *, file: str) -> Any:
    """An open Parquet file whose parts are read when they are asked for.

    Raises
    ------
    MissingFileError, EmptyFileError, CutFileError, NotARecordingError
        When it cannot be opened, has no content, no end, or another content.
    """
    import pyarrow as pa
    import pyarrow.parquet as pq

    with opened(path) as stream:
        size = stream.seek(0, 2)
        stream.seek(0)
        head = stream.read(12)
        stream.seek(max(size - 4, 0))
        _look(head if size <= len(head) else head + stream.read(4), file)
    try:
        return pq.ParquetFile(path, page_checksum_verification=True)
    except (pa.ArrowException, OSError) as exc:
        raise CutFileError(file, "what is inside cannot be unpacked") from exc


def _look(raw: bytes, file: str) -> None:
    """Tell nothing, cut and something else apart by the first and last four bytes."""
    if not raw:
        raise EmptyFileError(file)
    if not raw.startswith(_MAGIC):
        raise NotARecordingError(file, "it is no Parquet file")
    if len(raw) < 12 or not raw.endswith(_MAGIC):
        raise CutFileError(file, "a Parquet file ends with its list of contents, this one does not")


def geometry_of(file: str, schema: Any) -> Geometry:
    """What a schema's metadata say of the mat.

    Raises
    ------
    NotARecordingError, UnreadableFieldError
        When they say nothing, or something that is not allowed.
    """
    said = (schema.metadata or {}).get(_KEY)
    if said is None:
        raise NotARecordingError(file, "its metadata do not say what mat it comes from")
    try:
        plain = json.loads(said)
    except ValueError as exc:
        raise NotARecordingError(file, "the mat's description in its metadata is not JSON") from exc
    return checked(Geometry, plain, file=file)


def cells_of(file: str, table: Any, geometry: Geometry) -> FloatArray:
    """(T, R, C) values of a table in the recording's unit.

    Raises
    ------
    NotARecordingError
        When they are not what the geometry says.
    """
    from pyarrow.types import is_fixed_size_list

    kind = table.schema.field("cells").type
    size = geometry.rows * geometry.columns
    if not is_fixed_size_list(kind) or kind.list_size != size:
        raise NotARecordingError(file, f"cells are not lists of {geometry.rows} x {geometry.columns} values")
    if table.num_rows == 0:
        raise NotARecordingError(file, "it has no frames")
    if table["cells"].null_count:
        raise NotARecordingError(file, "frames or times are missing")
    chunks = [chunk.flatten() for chunk in table["cells"].chunks]
    if any(chunk.null_count for chunk in chunks):
        raise NotARecordingError(file, "cells are missing")
    parts = [chunk.to_numpy(zero_copy_only=False) for chunk in chunks]
    values = parts[0] if len(parts) == 1 else np.concatenate(parts)
    if values.dtype.kind not in "fui":
        raise NotARecordingError(file, "cells are not numbers")
    if geometry.step != 1.0 or values.dtype not in (np.float32, np.float64):
        values = values.astype(np.float32) * np.float32(geometry.step)
    return np.asarray(values.reshape(-1, geometry.rows, geometry.columns))
