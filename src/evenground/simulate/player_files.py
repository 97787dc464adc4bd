"""A simulated visit as the files of a bundle: recordings as Parquet, one as a text grid with its layout."""

from collections.abc import Mapping
from pathlib import Path
from tempfile import TemporaryDirectory

from evenground.capture.parquet import write_recording
from evenground.measure.recording import MatRecording
from evenground.simulate.player_scenario import SimulatedVisit

__all__ = ["blobs_of", "grid_layout_toml", "grid_text"]


def blobs_of(made: SimulatedVisit) -> dict[str, bytes]:
    """Every file that the visit and its studio name, by its name in the bundle."""
    blobs: dict[str, bytes] = {}
    for placement in made.visit.ground:
        recording = made.recordings[placement.recording]
        if placement.layout is None:
            blobs[placement.recording] = _parquet(recording)
        else:
            blobs[placement.recording] = grid_text(recording).encode()
            blobs[placement.layout] = grid_layout_toml(recording).encode()
    if made.studio.stock is not None:
        blobs[made.studio.stock] = made.stock_toml.encode()
    return blobs


def _parquet(recording: MatRecording) -> bytes:
    with TemporaryDirectory() as folder:
        path = Path(folder) / "recording.parquet"
        write_recording(recording, path, step=1.0 if recording.unit == "counts" else None)
        return path.read_bytes()


def grid_text(recording: MatRecording) -> str:
    """Frames one below the other with a blank line between, toes on top as a mat's own window shows them.

    Numbers are written to three decimals at most; raw counts are whole.
    """
    grids = (
        "\n".join("\t".join(_cell(c) for c in row) for row in frame[::-1].tolist())
        for frame in recording.cells
    )
    return "\n\n".join(grids) + "\n"


def _cell(value: float) -> str:
    return f"{value:.3f}".rstrip("0").rstrip(".")


def grid_layout_toml(recording: MatRecording) -> str:
    """The layout of `grid_text`."""
    _, rows, columns = recording.shape
    values: Mapping[str, str] = {
        "delimiter": '"\\t"',
        "decimal": '"."',
        "frames": '"stacked"',
        "rows": str(rows),
        "columns": str(columns),
        "pitch_mm": f"[{recording.pitch_x_mm:g}, {recording.pitch_y_mm:g}]",
        "unit": f'"{recording.unit}"',
        "first_row": '"toe"',
        "first_column": '"left"',
        "rate_hz": f"{recording.rate_hz:g}",
    }
    return "".join(f"{key} = {value}\n" for key, value in values.items())
