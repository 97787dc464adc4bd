"""Whether a check passed, and in one sentence why not; how old it is and who may still trust it."""

import math
from collections.abc import Iterator
from datetime import date, datetime

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
    as_of,
    last_good,
    latest,
    latest_passed,
)
from evenground.measure.ground_constants import STANDARD_GRAVITY
from evenground.measure.instrument_bar import bar_error_deg, print_scale
from evenground.measure.instrument_constants import (
    BAD_CELLS_MAX,
    BAR_LIMIT_DEG,
    CREEP_LIMIT_MM,
    DEAD_WEIGHT_MIN_KG,
    FLOOR_TIMES,
    FORCE_LIMIT,
    GAIN_SPREAD_LIMIT,
    LINEARITY_LIMIT,
    NOISE_DRIFT_LIMIT,
    PRINT_LIMIT,
    READS_RIGHT,
)
from evenground.measure.instrument_gain import nonlinearity

__all__ = ["faults_of", "judged", "reads_right", "remarks_of", "trust"]

_PLACES_WANTED = 9


def faults_of(figures: Figures) -> tuple[str, ...]:
    """Everything in the figures of a check that makes it fail, a sentence each; empty when it passes."""
    if isinstance(figures, EmptyMat):
        return tuple(_empty(figures))
    if isinstance(figures, DeadWeight):
        return tuple(_dead(figures))
    if isinstance(figures, KnownWeight):
        return tuple(_known(figures))
    if isinstance(figures, FlippedBar):
        return tuple(_bar(figures))
    return tuple(_printed(figures))


def remarks_of(figures: Figures) -> tuple[str, ...]:
    """What a person should know of a check that passed all the same, a sentence each."""
    said = []
    if isinstance(figures, EmptyMat) and not figures.shows_noise:
        said.append("This mat shows nothing below a load: the weights in several places show dead cells.")
    if isinstance(figures, DeadWeight):
        slowest = float(FLOOR_TIMES) * figures.velocity_mm_s
        said.append(f"Sway slower than {slowest:.1f} mm/s cannot be told from this mat's own.")
        if figures.mass_kg < float(DEAD_WEIGHT_MIN_KG):
            said.append(
                f"{figures.mass_kg:g} kg says little of a mat under a player; "
                f"take {float(DEAD_WEIGHT_MIN_KG):.0f} kg or more."
            )
    if isinstance(figures, KnownWeight):
        if len(figures.gain) < _PLACES_WANTED:
            said.append(f"{_PLACES_WANTED} places, three by three, show how the gain changes over the mat.")
        if figures.silent:
            said.append(f"{len(figures.silent)} cells under the weights read nothing; they are filled now.")
    return tuple(said)


def judged(step: Step, figures: Figures, at: datetime) -> InstrumentCheck:
    """The check with its verdict."""
    faults = faults_of(figures)
    return InstrumentCheck(step=step, at=at, passed=not faults, why=" ".join(faults), figures=figures)


def _empty(figures: EmptyMat) -> Iterator[str]:
    if figures.bad_rows or figures.bad_columns:
        lines = [f"row {r + 1}" for r in figures.bad_rows] + [f"column {c + 1}" for c in figures.bad_columns]
        yield f"Whole lines of cells do not answer as the others do: {', '.join(lines)}."
    share = len(figures.bad) / (figures.rows * figures.columns)
    if share > float(BAD_CELLS_MAX):
        yield (
            f"{len(figures.bad)} cells ({100.0 * share:.1f} %) cannot be believed; "
            f"{100.0 * float(BAD_CELLS_MAX):.0f} % is allowed."
        )
    limit = float(NOISE_DRIFT_LIMIT) * figures.noise
    if figures.noise > 0.0 and abs(figures.drift_per_min) > limit:
        yield (
            f"All cells together drift by {figures.drift_per_min:+.2f} {figures.unit} a minute: "
            "let the mat warm up, and tare it again."
        )


def _dead(figures: DeadWeight) -> Iterator[str]:
    if figures.crept_mm > float(CREEP_LIMIT_MM):
        yield f"The CoP of a weight that lies still wandered {figures.crept_mm:.1f} mm."
    if figures.reads_n is not None:
        off = figures.reads_n / (figures.mass_kg * float(STANDARD_GRAVITY)) - 1.0
        if abs(off) > float(FORCE_LIMIT):
            yield f"The mat reads {figures.reads_n:.0f} N for {figures.mass_kg:g} kg, {100.0 * off:+.0f} %."


def _known(figures: KnownWeight) -> Iterator[str]:
    mean = math.fsum(figures.gain) / len(figures.gain)
    if abs(mean - 1.0) > float(FORCE_LIMIT):
        yield f"Known weights read {100.0 * (mean - 1.0):+.0f} % on average."
    worst = max(figures.gain, key=lambda g: abs(g - mean))
    if abs(worst - mean) > float(GAIN_SPREAD_LIMIT):
        yield f"One place reads {100.0 * (worst - mean):+.0f} % against the others."
    bent = nonlinearity(figures)
    if bent is not None and abs(bent) > float(LINEARITY_LIMIT):
        yield f"The gain changes by {100.0 * bent:+.0f} % from the lighter to the heavier weight."


def _bar(figures: FlippedBar) -> Iterator[str]:
    error = bar_error_deg(figures)
    if abs(error.value) > float(BAR_LIMIT_DEG):
        yield (
            f"Flipped end for end the bar reads {2.0 * abs(error.value):.1f} deg apart: "
            f"its own error is {abs(error.value):.1f} deg, {float(BAR_LIMIT_DEG):g} deg is allowed."
        )


def _printed(figures: PrintedLength) -> Iterator[str]:
    scale = print_scale(figures)
    if abs(scale.value - 1.0) > float(PRINT_LIMIT):
        yield (
            f"{figures.nominal_mm:g} mm came out as {scale.value * figures.nominal_mm:.1f} mm: "
            "print at 100 %, not fitted to the page."
        )


def reads_right(instrument: Instrument) -> bool:
    """Whether a known weight was read right: by known weights, whose gain is taken out, or a dead weight."""
    newest = {step: check.figures for step, check in latest_passed(instrument).items()}
    known, dead = newest.get("known weight"), newest.get("dead weight")
    if isinstance(known, KnownWeight) and known.counts_per_n is None:
        return True
    if not isinstance(dead, DeadWeight) or dead.reads_n is None:
        return False
    return abs(dead.reads_n / (dead.mass_kg * float(STANDARD_GRAVITY)) - 1.0) < float(READS_RIGHT)


def trust(instrument: Instrument, *, day: date, limit_days: int) -> tuple[str, ...]:
    """What to say beside everything that an instrument measured on a day; empty when it may be trusted.

    Parameters
    ----------
    instrument
        With its checks.
    day
        The day it measured on; checks of later days say nothing of it.
    limit_days
        The studio's limit: a check older than this is too old.
    """
    past = as_of(instrument, day)
    newest = latest(past)
    if not newest:
        return (f"{instrument.name} had not been checked by {day.isoformat()}",)
    said = []
    failed = [c for c in newest.values() if not c.passed]
    if failed:
        steps = ", ".join(c.step for c in failed)
        good = last_good(past)
        since = "it never passed" if good is None else f"last in order {good.date().isoformat()}"
        said.append(f"{instrument.name} failed its check ({steps}; {since})")
    age = (day - max(c.at for c in newest.values()).date()).days
    if age > limit_days:
        said.append(f"{instrument.name} was last checked {age} days before; the limit is {limit_days}")
    return tuple(said)
