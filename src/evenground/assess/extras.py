"""The held load, and practice between visits: each against what was predicted."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

from evenground.assess.book import Book, OpenBlob, Part
from evenground.assess.instruments import mat_for
from evenground.capture.standing import read_standing
from evenground.errors import MeasureError
from evenground.fit.aim import AimFit
from evenground.fit.held_load import (
    HeldLoadFit,
    LoadPair,
    LoadTooHeavyError,
    fit_held_load,
    load_limit,
)
from evenground.fit.practice import (
    AimForecast,
    PracticeCompared,
    PracticeScore,
    compare_practice,
    score_practice,
)
from evenground.measure.instrument_apply import MatChecks
from evenground.measure.recording import MatRecording
from evenground.measure.ways import describe_standing
from evenground.needs import NotOfferedError, load_not_offered
from evenground.visit import AimPractice, HeldLoadPair, Visit

__all__ = [
    "PlacementUnusableError",
    "PracticeFinding",
    "aim_forecast",
    "assess_held_load",
    "assess_practice",
    "placed_pair",
    "practice_kind",
    "years_of",
]

ChecksOf = Callable[[tuple[int, int]], MatChecks | None]
"""What is known of a mat with so many rows and columns."""


class PlacementUnusableError(MeasureError):
    """A recording of a pair that does not say where the weight was."""

    do = "Take the pair again, both placements one after the other."

    def __init__(self, recording: str, why: str) -> None:
        super().__init__(recording, why)
        self.where = f"held load, {recording}"
        self.what = f"This placement cannot be used: {why}"


@dataclass(frozen=True, slots=True, kw_only=True)
class PracticeFinding:
    """Practice through one gate, and what this visit's own aims under `condition` let one expect of it."""

    score: PracticeScore
    condition: str | None
    compared: PracticeCompared | None


def years_of(visit: Visit) -> int | None:
    """The player's age by the year of birth alone."""
    born = visit.player.birth_year
    return None if born is None else visit.day.year - born


def assess_held_load(book: Book) -> None:
    """One finding a mass; none where nothing was held."""
    pairs = book.visit.held_load
    for load_kg in dict.fromkeys(round(p.load_kg, 1) for p in pairs):
        own = tuple(p for p in pairs if round(p.load_kg, 1) == load_kg)
        names = [n for p in own for n in p.recordings]
        part = Part(
            evidence=tuple(f"held load, pair {p.pair}" for p in own),
            inputs=(own, book.blobs(names), book.visit.body, book.visit.player, book.visit.screening),
            methods=("held load",),
            costly=bool(names),
        )
        book.compute(f"held load.{1000.0 * load_kg:.0f} g", part, partial(_held_load, book, own))


def _held_load(book: Book, pairs: tuple[HeldLoadPair, ...]) -> HeldLoadFit:
    visit = book.visit
    gated = load_not_offered(visit)
    if gated is not None:
        raise NotOfferedError("held load", gated)
    body_kg = None if visit.body is None else visit.body.mass_kg
    limit = load_limit(body_kg, years_of(visit))
    heaviest = max(p.load_kg for p in pairs)
    if heaviest > limit.most_kg:
        raise LoadTooHeavyError(heaviest, limit.most_kg, limit.why)
    if body_kg is None:
        raise NotOfferedError("held load", "the mass of the body is not known, and the prediction needs it")
    seen = partial(mat_for, book.studio, visit.day)
    return fit_held_load([placed_pair(p, body_kg, book.open_blob, seen) for p in pairs], body_kg)


def placed_pair(
    pair: HeldLoadPair, body_kg: float, open_blob: OpenBlob, checks_of: ChecksOf | None = None
) -> LoadPair:
    """A pair with its centres of pressure, as they were typed or as the recordings tell them.

    Raises
    ------
    EvengroundError
        When a recording cannot be read, or does not tell where the heels were.
    """
    without = _ahead_mm(pair.without_mm, pair.without_recording, body_kg, open_blob, checks_of)
    with_it = _ahead_mm(pair.with_mm, pair.with_recording, body_kg + pair.load_kg, open_blob, checks_of)
    return LoadPair(
        load_kg=pair.load_kg,
        load_ahead_mm=pair.load_ahead_mm,
        load_ahead_se_mm=pair.load_ahead_se_mm,
        without_mm=without,
        with_mm=with_it,
    )


def _ahead_mm(
    typed_mm: float | None,
    recording: str | None,
    mass_kg: float,
    open_blob: OpenBlob,
    checks_of: ChecksOf | None,
) -> float:
    """Centre of pressure ahead of the heels: as typed, or as the mat saw it; either hand is the same."""
    if typed_mm is not None:
        return typed_mm
    name = recording or ""
    with open_blob(name) as stream:
        standing = read_standing(stream, file=name)
    checks = None
    if checks_of is not None and isinstance(standing, MatRecording):
        checks = checks_of(standing.shape[1:])
    ground = describe_standing(standing, handed="right", mass_kg=mass_kg, checks=checks)
    if not ground.grade.usable:
        raise PlacementUnusableError(name, " ".join(flag.text for flag in ground.grade.flags))
    if ground.cop_mm.y is None:
        raise PlacementUnusableError(name, "it does not tell where the heels were.")
    return ground.cop_mm.y.value


def practice_kind(score: PracticeScore) -> str:
    """The finding's kind, by gate and distance."""
    return f"practice.{score.gate_mm:g} mm at {score.distance_m:g} m"


def aim_forecast(fit: AimFit) -> AimForecast:
    """What an aim check lets one expect of practice."""
    return AimForecast(
        bias_deg=fit.bias_deg.value,
        spread_deg=fit.spread_deg.value,
        n=fit.bias_deg.n,
        face_share=fit.face_share,
    )


def assess_practice(book: Book) -> None:
    """One finding a gate, beside this visit's own aims under the condition tried last."""
    entries = book.visit.practice
    if not entries:
        return
    aims = [(f.kind.removeprefix("aim."), f.value) for f in book.found if isinstance(f.value, AimFit)]
    condition, aim = aims[-1] if aims else (None, None)
    for score in score_practice(entries):
        own = tuple(e for e in entries if (e.distance_m, e.gate_mm) == (score.distance_m, score.gate_mm))
        part = Part(
            evidence=tuple(f"practice, line {e.entry}" for e in own),
            inputs=(own, condition, aim),
            methods=("practice", "aim"),
        )
        book.compute(practice_kind(score), part, partial(_practice, own, condition, aim))


def _practice(entries: tuple[AimPractice, ...], condition: str | None, aim: AimFit | None) -> PracticeFinding:
    (score,) = score_practice(entries)
    compared = None if aim is None else compare_practice(score, aim_forecast(aim))
    return PracticeFinding(score=score, condition=condition, compared=compared)
