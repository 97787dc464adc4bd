"""One step of an instrument's check in the app: measured, judged, stored, and in use from then on."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import PurePath
from typing import BinaryIO

from django.utils import timezone

from evenground.capture.layout import Layout, read_layout
from evenground.capture.recording import read_recording
from evenground.errors import CaptureError
from evenground.instruments import Figures, FlippedBar, PrintedLength, Step
from evenground.measure.instrument_apply import mat_checks
from evenground.measure.instrument_judge import judged
from evenground.measure.instrument_mat import (
    PlacedWeight,
    measure_dead_weight,
    measure_empty_mat,
    measure_known_weights,
)
from evenground.measure.recording import MatRecording
from evenground.records.audit import note
from evenground.records.blobs import open_blob, put_blob
from evenground.records.instruments import instrument_of, keep_checks
from evenground.records.models import Instrument as InstrumentRow
from evenground.records.models import Person
from evenground.units import parse_angle_deg, parse_length_mm, parse_mass_kg

__all__ = ["STEPS_OF", "NothingSentError", "OtherMatError", "SentFile", "StepSent", "take_step"]

STEPS_OF: dict[str, tuple[Step, ...]] = {
    "mat": ("empty mat", "dead weight", "known weight"),
    "bar": ("flipped bar",),
    "printer": ("printed length",),
}
"""The steps with figures of each kind of instrument; every kind can be checked by hand."""

_MOST_PLACES = 40
_SEPARATED = re.compile(r"[;\n]+|,\s+|\s{2,}")


class NothingSentError(CaptureError):
    """A step without what it measures."""

    def __init__(self, step: str, do: str) -> None:
        super().__init__(step, do)
        self.where, self.what, self.do = step, "Nothing was sent to measure.", do


class OtherMatError(CaptureError):
    """A recording of another mat than the one whose page it was sent to."""

    do = "Enter the other mat as an instrument of its own, and check it there."

    def __init__(self, name: str, found: str, known: str) -> None:
        super().__init__(name, found, known)
        self.where, self.what = name, f"This recording has {found} cells, this mat {known}."


@dataclass(frozen=True, slots=True)
class SentFile:
    """A file as it was sent: its name and its content."""

    name: str
    stream: BinaryIO


@dataclass(frozen=True, slots=True, kw_only=True)
class StepSent:
    """What a page sent for a step; each step looks at its own."""

    recordings: Sequence[SentFile] = ()
    layout: SentFile | None = None
    mass: str = ""
    normal: str = ""
    flipped: str = ""
    measured: str = ""


def take_step(row: InstrumentRow, step: Step, sent: StepSent, person: Person | None) -> bool:
    """Measure, judge and keep one step; gives whether it passed.

    Raises
    ------
    EvengroundError
        When what was sent cannot be read or measured; nothing is kept then.
    """
    figures = _figures(row, step, sent)
    check = judged(step, figures, timezone.now().astimezone().replace(microsecond=0))
    keep_checks(row, [check], person, _stored(sent))
    note(person, "checked", what="instrument", object_id=str(row.pk), detail={"passed": check.passed})
    return check.passed


def _figures(row: InstrumentRow, step: Step, sent: StepSent) -> Figures:
    if step == "flipped bar":
        return FlippedBar(
            normal_deg=_several(sent.normal, "as always"), flipped_deg=_several(sent.flipped, "flipped")
        )
    if step == "printed length":
        return PrintedLength(measured_mm=_lengths(sent.measured))
    recordings = _recordings(row, step, sent)
    if step == "empty mat":
        return measure_empty_mat(recordings[0])
    bad = mat_checks(instrument_of(row)).bad_cells
    masses = _masses(sent.mass, len(recordings))
    placed = [
        PlacedWeight(recording=r, mass_kg=kg, bad=bad) for r, kg in zip(recordings, masses, strict=True)
    ]
    return measure_dead_weight(placed[0]) if step == "dead weight" else measure_known_weights(placed)


def _recordings(row: InstrumentRow, step: Step, sent: StepSent) -> list[MatRecording]:
    """What was sent, read; the mat's size and the layout of its exports are kept with it."""
    if not sent.recordings:
        raise NothingSentError(step, "Choose the file that the mat wrote.")
    files = sent.recordings[:_MOST_PLACES]
    layout = _layout(row, sent)
    read = [read_recording(f.stream, file=PurePath(f.name).name, layout=layout) for f in files]
    first = read[0]
    known = row.details.get("rows"), row.details.get("columns")
    for one in read:
        wanted = known if None not in known else first.shape[1:]
        if one.shape[1:] != wanted:
            shapes = (f"{r} x {c}" for r, c in (one.shape[1:], wanted))
            raise OtherMatError(one.name, *shapes)
    row.details = row.details | {
        "rows": first.shape[1],
        "columns": first.shape[2],
        "pitch_x_mm": first.pitch_x_mm,
        "pitch_y_mm": first.pitch_y_mm,
    }
    row.save(update_fields=["details"])
    return read


def _layout(row: InstrumentRow, sent: StepSent) -> Layout | None:
    """The layout that was sent, else the one that came with this mat's last text export."""
    if sent.layout is not None:
        raw = sent.layout.stream.read()
        layout = read_layout(raw, file=PurePath(sent.layout.name).name)
        row.details = row.details | {"layout": put_blob(raw, "application/toml").sha256}
        return layout
    known = row.details.get("layout")
    text = any(PurePath(f.name).suffix.lower() != ".parquet" for f in sent.recordings)
    if known is None or not text:
        return None
    with open_blob(str(known)) as stream:
        return read_layout(stream.read(), file="layout.toml")


def _stored(sent: StepSent) -> list[str]:
    """The recordings as files of their own, so that a check leads back to them."""
    digests = []
    for one in sent.recordings[:_MOST_PLACES]:
        one.stream.seek(0)
        digests.append(put_blob(one.stream, _media(one.name)).sha256)
    return digests


def _media(name: str) -> str:
    parquet = PurePath(name).suffix.lower() == ".parquet"
    return "application/vnd.apache.parquet" if parquet else "text/plain"


def _parts(text: str) -> list[str]:
    return [part.strip() for part in _SEPARATED.split(text.strip()) if part.strip()]


def _several(text: str, way: str) -> tuple[float, ...]:
    parts = _parts(text)
    if not parts:
        raise NothingSentError("flipped bar", f"Type what the bar reads {way}, such as 3.2 deg; 3.1 deg.")
    return tuple(parse_angle_deg(p, field=way, default_unit="deg", signed=True) for p in parts)


def _lengths(text: str) -> tuple[float, ...]:
    parts = _parts(text)
    if not parts:
        raise NothingSentError("printed length", "Type what a ruler says of the 100 mm bar, such as 99.6 mm.")
    return tuple(
        parse_length_mm(p, field="printed length", default_unit="mm", low_mm=50.0, high_mm=150.0)
        for p in parts
    )


def _masses(text: str, count: int) -> list[float]:
    """One mass for all recordings, or one for each in their order."""
    limits = {"low_kg": 1.0, "high_kg": 500.0}
    masses = [parse_mass_kg(p, field="mass", default_unit="kg", **limits) for p in _parts(text)]
    if len(masses) == 1:
        return masses * count
    if len(masses) != count:
        raise NothingSentError("known weight", f"Give one mass for all, or one for each of {count} files.")
    return masses
