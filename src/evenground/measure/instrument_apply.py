"""A mat's checks put to use: cells filled, gain taken out, sway held against the mat's own floor."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from evenground.instruments import Cell, DeadWeight, EmptyMat, Instrument, KnownWeight, latest, latest_passed
from evenground.measure.contact import cell_positions_mm
from evenground.measure.grade import Flag
from evenground.measure.instrument_cells import fill_cells
from evenground.measure.instrument_constants import FLOOR_TIMES
from evenground.measure.instrument_gain import gain_map
from evenground.measure.recording import FloatArray, MatRecording
from evenground.measure.sway import Sway, noise_velocity_mm_s

__all__ = ["Corrected", "MatChecks", "SwayFloor", "correct", "mat_checks", "sway_floor"]

_CHI_SQUARE_95 = -2.0 * math.log(0.05)  # 95 % of two independent normals lie within the root of it


@dataclass(frozen=True, slots=True, kw_only=True)
class MatChecks:
    """The newest figures of each step of a mat's checks, None where a step was not done.

    `doubts` are sentences that go with everything it measures; `suspects` are cells that no check found but
    that read like faulty ones in the recording at hand.
    """

    name: str
    empty: EmptyMat | None = None
    dead: DeadWeight | None = None
    known: KnownWeight | None = None
    doubts: tuple[str, ...] = ()
    suspects: tuple[Cell, ...] = ()

    @property
    def bad_cells(self) -> tuple[Cell, ...]:
        """Every cell that some step found not to be believed."""
        found = (*(self.empty.bad if self.empty else ()), *(self.known.silent if self.known else ()))
        return tuple(dict.fromkeys((*found, *self.suspects)))


def mat_checks(instrument: Instrument) -> MatChecks:
    """The figures that an analysis uses; doubts are the caller's (`instrument_judge.trust`).

    Faulty cells and the floor of the sway are those of the newest checks, passed or not. A gain map that
    did not pass may come from a weight half off the mat: it is taken from the newest that did.
    """
    newest, passed = latest(instrument), latest_passed(instrument)
    figures = [check.figures for check in newest.values()]
    known = passed.get("known weight")
    return MatChecks(
        name=instrument.name,
        empty=next((f for f in figures if isinstance(f, EmptyMat)), None),
        dead=next((f for f in figures if isinstance(f, DeadWeight)), None),
        known=known.figures if known and isinstance(known.figures, KnownWeight) else None,
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Corrected:
    """A recording without what its mat is known to add, and what to say about it."""

    recording: MatRecording
    flags: tuple[Flag, ...]


def correct(recording: MatRecording, checks: MatChecks) -> Corrected:
    """Fill the cells that cannot be believed from their neighbours and divide by the gain.

    Parameters
    ----------
    recording, checks
        Of one mat. Checks of another size are left alone, and the flag says so.

    Returns
    -------
    corrected
        A new recording where something was changed, the same one where nothing was.

    Notes
    -----
    A filled cell has in every frame the mean of its eight neighbours that can be believed, at least three;
    others stay and are flagged. The gain of a mat of raw counts has a mean of one, so counts stay counts.
    """
    empty = checks.empty
    if empty is not None and (empty.rows, empty.columns) != recording.shape[1:]:
        text = f"{checks.name} was checked with {empty.rows} x {empty.columns} cells: its check is not used."
        flag = Flag(code="other-mat", where=recording.name, text=text)
        return Corrected(recording=recording, flags=(flag, *_doubts(recording, checks)))
    cells, flags = _filled(recording, checks.bad_cells)
    flags = (*_doubts(recording, checks), *flags)
    if empty is not None and (empty.bad_rows or empty.bad_columns):
        text = "A whole line of this mat's cells does not answer; it was filled from both sides."
        flags += (Flag(code="dead-line", where=recording.name, text=text),)
    if checks.known is not None:
        gain = gain_map(checks.known, cell_positions_mm(recording)).reshape(recording.shape[1:])
        cells = cells / gain.astype(cells.dtype)
    changed = cells is not recording.cells
    return Corrected(recording=replace(recording, cells=cells) if changed else recording, flags=flags)


def _doubts(recording: MatRecording, checks: MatChecks) -> tuple[Flag, ...]:
    said = (f"{doubt[:1].upper()}{doubt[1:]}." for doubt in checks.doubts)
    return tuple(Flag(code="instrument", where=recording.name, text=text) for text in said)


def _filled(recording: MatRecording, bad: Sequence[Cell]) -> tuple[FloatArray, tuple[Flag, ...]]:
    filled = fill_cells(recording, bad)
    flags = []
    if filled.count:
        text = f"{filled.count} cells that the mat's check found faulty were filled from their neighbours."
        flags.append(Flag(code="filled-cells", where=recording.name, text=text))
    if filled.left:
        text = f"{filled.left} faulty cells lie together and could not be filled: figures near them are off."
        flags.append(Flag(code="faulty-cells", where=recording.name, text=text))
    return filled.recording.cells, tuple(flags)


@dataclass(frozen=True, slots=True, kw_only=True)
class SwayFloor:
    """What the mat alone makes of path, velocity and area, and which figures lie under three times of it.

    `source` says where it comes from: a dead weight, or the noise of the cells in the recording itself.
    """

    path_mm: float
    velocity_mm_s: float
    ellipse95_mm2: float
    source: str
    below: tuple[str, ...]

    @classmethod
    def pooled(cls, floors: Sequence["SwayFloor | None"]) -> "SwayFloor | None":
        """The largest floor of several placements; a figure is below it when it is in any of them."""
        known = [f for f in floors if f is not None]
        if not known:
            return None
        largest = max(known, key=lambda f: f.velocity_mm_s)
        below = tuple(dict.fromkeys(name for f in known for name in f.below))
        return replace(largest, below=below)


def sway_floor(sway: Sway, *, rate_hz: float, noise_mm: float, dead: DeadWeight | None) -> SwayFloor:
    """The floor under a recording's sway, the larger of a dead weight's and of its own cells' noise.

    Parameters
    ----------
    sway
        Of the recording.
    rate_hz
        Of the recording.
    noise_mm
        SD of the CoP on each axis that the noise of its cells makes.
    dead
        The mat's dead weight, where it was recorded.

    Notes
    -----
    The velocity that white noise fakes grows with the rate (`sway.noise_velocity_mm_s`), so a dead weight's
    is scaled to the recording's; its path goes with duration; its area does not depend on either. Figures
    under `FLOOR_TIMES` floors are the mat's (check values 1.4).
    """
    duration = sway.duration_s.value
    shaken = noise_velocity_mm_s(noise_mm, rate_hz)
    floor = (shaken, math.pi * _CHI_SQUARE_95 * noise_mm**2, "the noise of its cells")
    if dead is not None:
        scaled = dead.velocity_mm_s * rate_hz / dead.rate_hz
        source = f"a dead weight of {dead.mass_kg:g} kg"
        floor = max(floor, (scaled, dead.ellipse95_mm2, source))
    velocity, area, source = floor
    times = float(FLOOR_TIMES)
    below = []
    if sway.mean_velocity_mm_s.value < times * velocity:
        below += ["path_mm", "mean_velocity_mm_s", "mean_frequency_hz"]
    if sway.ellipse95_mm2.value < times * area:
        below += ["ellipse95_mm2", "rms_x_mm", "rms_y_mm", "range_x_mm", "range_y_mm"]
    return SwayFloor(
        path_mm=velocity * duration,
        velocity_mm_s=velocity,
        ellipse95_mm2=float(area),
        source=source,
        below=tuple(below),
    )
