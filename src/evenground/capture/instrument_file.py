"""`instrument.toml`: the dated checks of a studio's instruments; the same tables stand in `studio.toml`."""

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Annotated, Literal, Self

from pydantic import AwareDatetime, Field, Strict, model_validator
from pydantic_core import PydanticCustomError

from evenground.capture import toml_text
from evenground.capture.fields import Count, Number, Typed, load_toml
from evenground.errors import CaptureError
from evenground.instruments import (
    DeadWeight,
    EmptyMat,
    Figures,
    FlippedBar,
    Instrument,
    InstrumentCheck,
    KnownWeight,
    PrintedLength,
    Step,
)

__all__ = [
    "CheckTable",
    "InstrumentFile",
    "InstrumentTable",
    "NotRereadError",
    "WhichInstrumentError",
    "instrument_from",
    "instrument_toml",
    "instruments_lines",
    "load_instruments",
    "only_of_kind",
    "with_checks",
    "write_instruments",
]

Sized = Annotated[Number, Field(ge=0)]
Cells = tuple[tuple[Annotated[Count, Field(ge=0)], Annotated[Count, Field(ge=0)]], ...]
Lines = tuple[Annotated[Count, Field(ge=0)], ...]
Several = Annotated[tuple[Number, ...], Field(min_length=1)]
Kind = Annotated[str, Field(min_length=1, max_length=40)]


class WhichInstrumentError(CaptureError):
    """A file of instruments without the one that is wanted, or with several."""

    def __init__(self, file: str, kind: str, names: tuple[str, ...]) -> None:
        super().__init__(file, kind, names)
        self.where = file
        self.what = (
            f"There is no {kind} in it." if not names else f"There are {len(names)}: {', '.join(names)}."
        )
        self.do = "Check one first with evenground instrument." if not names else "Keep one file for each."


class NotRereadError(CaptureError):
    """What was to be written would be read back differently."""

    do = "Give shorter names without line ends."

    def __init__(self, file: str, why: str) -> None:
        super().__init__(file, why)
        self.where, self.what = file, f"The checks cannot be written: {why}."


class EmptyMatTable(Typed):
    """Figures of an empty mat."""

    rows: Annotated[Count, Field(ge=1, le=2000)]
    columns: Annotated[Count, Field(ge=1, le=2000)]
    unit: Literal["kPa", "counts"]
    duration_s: Sized
    noise: Sized
    offset: Number
    drift_per_min: Number
    shows_noise: Annotated[bool, Strict()]
    dead: Cells = ()
    stuck: Cells = ()
    noisy: Cells = ()
    drifting: Cells = ()
    bad_rows: Lines = ()
    bad_columns: Lines = ()


class DeadWeightTable(Typed):
    """Figures of a weight that does not move."""

    mass_kg: Annotated[Number, Field(gt=0, le=1000)]
    duration_s: Sized
    rate_hz: Annotated[Number, Field(gt=0)]
    path_mm: Sized
    velocity_mm_s: Sized
    ellipse95_mm2: Sized
    crept_mm: Sized
    crept_percent: Number
    reads_n: Number | None = None


class KnownWeightTable(Typed):
    """Figures of known weights in several places; lists of one length."""

    x_mm: Several
    y_mm: Several
    mass_kg: Several
    gain: Several
    gain_se: Annotated[tuple[Sized, ...], Field(min_length=1)]
    counts_per_n: Annotated[Number, Field(gt=0)] | None = None
    silent: Cells = ()

    @model_validator(mode="after")
    def _one_length(self) -> Self:
        lengths = {len(v) for v in (self.x_mm, self.y_mm, self.mass_kg, self.gain, self.gain_se)}
        if len(lengths) != 1:
            said = "x_mm, y_mm, mass_kg, gain and gain_se have different lengths; give one of each a place"
            raise PydanticCustomError("keys_disagree", "{said}", {"said": said})
        return self


class FlippedBarTable(Typed):
    """Readings of one fixed line with a bar as always and flipped."""

    normal_deg: Several
    flipped_deg: Several


class PrintedLengthTable(Typed):
    """Readings of a printed length."""

    measured_mm: Several
    nominal_mm: Annotated[Number, Field(gt=0)] = 100.0


_FIGURES: dict[Step, tuple[type[Typed], type[Figures]]] = {
    "empty mat": (EmptyMatTable, EmptyMat),
    "dead weight": (DeadWeightTable, DeadWeight),
    "known weight": (KnownWeightTable, KnownWeight),
    "flipped bar": (FlippedBarTable, FlippedBar),
    "printed length": (PrintedLengthTable, PrintedLength),
}


class CheckTable(Typed):
    """One ``[[instruments.checks]]``; its figures stand under the step's own name."""

    step: Step
    at: AwareDatetime
    passed: Annotated[bool, Strict()]
    why: Annotated[str, Field(max_length=2000)] = ""
    empty_mat: EmptyMatTable | None = None
    dead_weight: DeadWeightTable | None = None
    known_weight: KnownWeightTable | None = None
    flipped_bar: FlippedBarTable | None = None
    printed_length: PrintedLengthTable | None = None

    @model_validator(mode="after")
    def _figures_of_the_step(self) -> Self:
        own = self.step.replace(" ", "_")
        given = [s.replace(" ", "_") for s in _FIGURES if getattr(self, s.replace(" ", "_")) is not None]
        if given != ([] if self.step == "by hand" else [own]):
            said = f"a check of the step {self.step} needs the figures {own} and no others"
            said = "a check by hand has no figures" if self.step == "by hand" else said
            raise PydanticCustomError("keys_disagree", "{said}", {"said": said})
        return self


class InstrumentTable(Typed):
    """One ``[[instruments]]``."""

    name: Annotated[str, Field(min_length=1, max_length=120)]
    kind: Kind
    checks: tuple[CheckTable, ...] = ()


class InstrumentFile(Typed):
    """The whole of `instrument.toml`."""

    format: Literal[1]
    instruments: tuple[InstrumentTable, ...] = ()


def instrument_from(table: InstrumentTable) -> Instrument:
    """The instrument that a checked table describes."""
    return Instrument(name=table.name, kind=table.kind, checks=tuple(_check(c) for c in table.checks))


def _check(table: CheckTable) -> InstrumentCheck:
    figures = None
    if table.step in _FIGURES:
        typed = getattr(table, table.step.replace(" ", "_"))
        figures = _FIGURES[table.step][1](**dict(typed))
    return InstrumentCheck(step=table.step, at=table.at, passed=table.passed, why=table.why, figures=figures)


def load_instruments(path: Path) -> tuple[Instrument, ...]:
    """Read `instrument.toml`.

    Raises
    ------
    MissingFileError, NotTomlError, UnreadableFieldError
        With the file, the field, and what is allowed.
    """
    return tuple(instrument_from(t) for t in load_toml(path, InstrumentFile).instruments)


def instruments_lines(instruments: Iterable[Instrument]) -> list[str]:
    """The TOML lines of instruments, for `instrument.toml` and `studio.toml` alike."""
    lines = []
    for one in instruments:
        lines += toml_text.entry("instruments", {"name": one.name, "kind": one.kind})
        for check in one.checks:
            plain = {k: v for k, v in toml_text.given(check).items() if k != "figures"}
            lines += toml_text.entry("instruments.checks", plain)
            if check.figures is not None:
                name = f"instruments.checks.{check.step.replace(' ', '_')}"
                lines += toml_text.table(name, toml_text.given(check.figures))
    return lines


def instrument_toml(instruments: Iterable[Instrument]) -> str:
    """The text of `instrument.toml`."""
    return "\n".join(["format = 1", *instruments_lines(instruments)]) + "\n"


def write_instruments(path: Path, instruments: tuple[Instrument, ...]) -> None:
    """Write `instrument.toml` whole beside the old one, then in its place: a cut write changes nothing.

    Raises
    ------
    NotRereadError
        When the file would be read back differently.
    """
    from evenground.capture.fields import read_toml

    text = instrument_toml(instruments)
    try:
        again = read_toml(text.encode(), InstrumentFile, file=path.name)
    except CaptureError as exc:
        raise NotRereadError(path.name, str(exc).removesuffix(".")) from exc
    if tuple(instrument_from(t) for t in again.instruments) != instruments:
        raise NotRereadError(path.name, "they would be read back differently")
    fresh = path.with_name(f"{path.name}.new")
    fresh.write_text(text, "utf-8")
    fresh.replace(path)


def with_checks(
    instruments: tuple[Instrument, ...], name: str, kind: str, checks: Iterable[InstrumentCheck]
) -> tuple[Instrument, ...]:
    """The same instruments with checks appended to one of them, which is added where it is not there."""
    added = tuple(checks)
    if any(one.name == name for one in instruments):
        return tuple(
            replace(one, checks=(*one.checks, *added)) if one.name == name else one for one in instruments
        )
    return (*instruments, Instrument(name=name, kind=kind, checks=added))


def only_of_kind(instruments: Iterable[Instrument], kind: str, *, file: str) -> Instrument:
    """The one instrument of a kind.

    Raises
    ------
    WhichInstrumentError
        When there is none, or more than one.
    """
    own = [one for one in instruments if one.kind == kind]
    if len(own) != 1:
        raise WhichInstrumentError(file, kind, tuple(one.name for one in own))
    return own[0]
