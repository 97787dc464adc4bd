"""What is known of the studio's instruments: dated checks of mats, bars and printers, each with its figures.

Plain frozen shapes below all rooms, like `visit.py`: `measure.instrument_*` works the figures out,
`capture.instrument_file` writes and reads them, a `StudioSnapshot` carries them to every analysis. Cells are
counted from 0, row 0 at the heels and column 0 at the player's left, as in `measure.recording`.
"""

from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Literal

__all__ = [
    "STEPS",
    "Cell",
    "DeadWeight",
    "EmptyMat",
    "Figures",
    "FlippedBar",
    "Instrument",
    "InstrumentCheck",
    "KnownWeight",
    "PrintedLength",
    "Step",
    "as_of",
    "last_good",
    "latest",
    "latest_passed",
]

Step = Literal["empty mat", "dead weight", "known weight", "flipped bar", "printed length", "by hand"]
"""One step of an opening check; *by hand* is what a person saw, without figures."""

STEPS: tuple[Step, ...] = (
    "empty mat",
    "dead weight",
    "known weight",
    "flipped bar",
    "printed length",
    "by hand",
)

Cell = tuple[int, int]
"""Row and column."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EmptyMat:
    """A mat with nobody on it: what its cells add, and which of them cannot be believed.

    `noise` and `offset` are those of one cell in one frame, in the mat's `unit`; `drift_per_min` is how fast
    the mean of all cells wanders. `dead` cells answer nothing, `stuck` ones always the same, `noisy` ones
    far more than the rest, `drifting` ones ever more or less. `bad_rows` and `bad_columns` are whole lines.
    `shows_noise` is False for a mat that shows nothing below a load: dead cells cannot be told there.
    """

    rows: int
    columns: int
    unit: Literal["kPa", "counts"]
    duration_s: float
    noise: float
    offset: float
    drift_per_min: float
    shows_noise: bool
    dead: tuple[Cell, ...] = ()
    stuck: tuple[Cell, ...] = ()
    noisy: tuple[Cell, ...] = ()
    drifting: tuple[Cell, ...] = ()
    bad_rows: tuple[int, ...] = ()
    bad_columns: tuple[int, ...] = ()

    @property
    def bad(self) -> tuple[Cell, ...]:
        """All cells that cannot be believed, each once."""
        return tuple(dict.fromkeys((*self.dead, *self.stuck, *self.noisy, *self.drifting)))


@dataclass(frozen=True, slots=True, kw_only=True)
class DeadWeight:
    """A weight that does not move: whatever path, velocity and area are seen are the mat's own.

    `reads_n` is what the mat says of the weight, None for raw counts; `crept_mm` how far the CoP wandered
    from the first fifth of the recording to the last, `crept_percent` how much the force did.
    """

    mass_kg: float
    duration_s: float
    rate_hz: float
    path_mm: float
    velocity_mm_s: float
    ellipse95_mm2: float
    crept_mm: float
    crept_percent: float
    reads_n: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownWeight:
    """Known weights in several places: for each where it stood, its mass, and what the mat made of it.

    `gain` is reading over truth: newtons for newtons, or for raw counts over their mean (`counts_per_n`);
    `gain_se` its standard error within the recording. `silent` cells read nothing under the weight.
    """

    x_mm: tuple[float, ...]
    y_mm: tuple[float, ...]
    mass_kg: tuple[float, ...]
    gain: tuple[float, ...]
    gain_se: tuple[float, ...]
    counts_per_n: float | None = None
    silent: tuple[Cell, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class FlippedBar:
    """A bar on a fixed line, read as always and flipped end for end: half the difference is its own error."""

    normal_deg: tuple[float, ...]
    flipped_deg: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedLength:
    """What a ruler says of a printed length that should be `nominal_mm`."""

    measured_mm: tuple[float, ...]
    nominal_mm: float = 100.0


Figures = EmptyMat | DeadWeight | KnownWeight | FlippedBar | PrintedLength


@dataclass(frozen=True, slots=True, kw_only=True)
class InstrumentCheck:
    """One step of a check: when, whether it passed, why not, and its figures (None where done by hand)."""

    step: Step
    at: datetime
    passed: bool
    why: str = ""
    figures: Figures | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Instrument:
    """Something that measures, and the checks it went through, oldest first."""

    name: str
    kind: str
    checks: tuple[InstrumentCheck, ...] = ()


def as_of(instrument: Instrument, day: date) -> Instrument:
    """The instrument with the checks of that day and before: what is known of it when it measures then."""
    return replace(instrument, checks=tuple(c for c in instrument.checks if c.at.date() <= day))


def latest(instrument: Instrument) -> dict[Step, InstrumentCheck]:
    """The newest check of each step."""
    return {check.step: check for check in sorted(instrument.checks, key=lambda c: c.at)}


def latest_passed(instrument: Instrument) -> dict[Step, InstrumentCheck]:
    """The newest check of each step that passed; a step that never did is not there."""
    return latest(replace(instrument, checks=tuple(c for c in instrument.checks if c.passed)))


def last_good(instrument: Instrument) -> datetime | None:
    """When the instrument was last known to be in order: every step's newest check had passed.

    None when it never was. What was measured later stands on an instrument that nobody vouches for.
    """
    now: dict[Step, bool] = {}
    good = None
    for check in sorted(instrument.checks, key=lambda c: c.at):
        now[check.step] = check.passed
        if all(now.values()):
            good = check.at
    return good
