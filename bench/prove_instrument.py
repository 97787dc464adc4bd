"""Known truth: mats that err, recordings with steps, weights that disagree; what of it is found."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np

from evenground.measure.ground import Ground, describe
from evenground.measure.instrument_apply import MatChecks
from evenground.measure.instrument_mat import (
    PlacedWeight,
    measure_dead_weight,
    measure_empty_mat,
    measure_known_weights,
)
from evenground.measure.quiet import quiet_part
from evenground.measure.recording import FloatArray, MatRecording
from evenground.measure.weighing import Weighing, explain_weights
from evenground.simulate.instrument import FaultyMat, MatFaults, draw_faults, empty_mat, seen_by, weight_on
from evenground.simulate.mat import Mat, Standing, Swaying, simulate_mat

ROWS, COLUMNS, PITCH = 40, 64, 12.0
PLACES = [(x, y) for x in (130.0, 384.0, 640.0) for y in (90.0, 240.0, 390.0)]
LOW, HIGH = 0.93, 0.97
G = 9.80665


def draw_mat(rng: np.random.Generator) -> FaultyMat:
    """A mat with smooth and single gains, twelve bad cells of four kinds, some noise and offset."""
    flat = rng.choice(ROWS * COLUMNS, 12, replace=False)
    cells = [(int(i // COLUMNS), int(i % COLUMNS)) for i in flat]
    faults = MatFaults(
        gain_mean=rng.uniform(0.95, 1.05),
        gain_sd=rng.uniform(0.005, 0.04),
        reach_mm=rng.uniform(250.0, 1000.0),
        cell_gain_sd=rng.uniform(0.0, 0.05),
        noise_kpa=rng.uniform(0.1, 0.8),
        offset_kpa=float(rng.choice([0.0, 0.0, 0.6])),
        dead=tuple(cells[:3]),
        stuck=tuple(cells[3:6]),
        noisy=tuple(cells[6:9]),
        drifting=tuple(cells[9:]),
    )
    return draw_faults(ROWS, COLUMNS, PITCH, faults, rng=rng)


def checked(mat: FaultyMat, rng: np.random.Generator) -> MatChecks:
    """The mat's checks: empty, and one weight in nine places."""
    empty = measure_empty_mat(empty_mat(mat, rng=rng, duration_s=8.0))
    placed = [
        PlacedWeight(recording=weight_on(mat, at, 20.0, rng=rng, duration_s=1.0), mass_kg=20.0, bad=empty.bad)
        for at in PLACES
    ]
    return MatChecks(name="mat", empty=empty, known=measure_known_weights(placed))


def stance_on(mat: FaultyMat, rng: np.random.Generator) -> tuple[MatRecording, Standing]:
    """A player on the mat, and how they stand."""
    standing = Standing(
        width_mm=rng.uniform(220.0, 420.0),
        load_left_percent=rng.uniform(40.0, 60.0),
        mass_kg=rng.uniform(55.0, 105.0),
        shod=bool(rng.integers(2)),
    )
    swaying = Swaying(
        duration_s=12.0,
        rate_hz=10.0,
        slow_s=float(np.clip(3.0 * np.exp(rng.standard_normal()), 0.5, 8.0)),
        load_rms_percent=rng.uniform(0.2, 0.8),
    )
    clean = Mat(rows=ROWS, columns=COLUMNS, pitch_x_mm=PITCH, pitch_y_mm=PITCH, noise_kpa=0.0)
    made = simulate_mat(standing, clean, swaying, rng=rng)
    return seen_by(mat, made.recording, rng=rng), standing


def one_mat(rng: np.random.Generator) -> dict[str, bool]:
    """Whether one mat's bad cells were found, and its intervals hold the truth, with and without the gain."""
    mat = draw_mat(rng)
    checks = checked(mat, rng)
    recording, standing = stance_on(mat, rng)
    assert checks.empty is not None
    planted = {c for name in ("dead", "stuck", "noisy", "drifting") for c in getattr(mat.faults, name)}
    ground = describe(recording, handed="right", mass_kg=standing.mass_kg, checks=checks)
    plain = describe(recording, handed="right", mass_kg=standing.mass_kg, checks=replace(checks, known=None))
    return {
        "found": planted <= set(checks.empty.bad),
        "no more": set(checks.empty.bad) <= planted,
        "load": _load_held(ground, standing),
        "force": _force_held(ground, standing),
        "load, gain left in": _load_held(plain, standing),
    }


def _load_held(ground: Ground, standing: Standing) -> bool:
    load = ground.feet.left.load_percent
    return load is not None and load.interval().holds(standing.load_left_percent)


def _force_held(ground: Ground, standing: Standing) -> bool:
    force = ground.total_force_n
    return force is not None and force.interval().holds(standing.mass_kg * G)


def mats(count: int, seed: int) -> dict[str, float]:
    """Shares over many mats, by claim."""
    rows = [one_mat(np.random.default_rng(s)) for s in np.random.SeedSequence(seed).spawn(count)]
    return {name: float(np.mean([row[name] for row in rows])) for name in rows[0]}


def one_floor(rng: np.random.Generator) -> bool:
    """Whether a weight in the player's place is told to be the mat's own sway."""
    mat = draw_mat(rng)
    empty = measure_empty_mat(empty_mat(mat, rng=rng))
    dead, again = (
        measure_dead_weight(
            PlacedWeight(
                recording=weight_on(mat, (380.0, 240.0), kg, rng=rng, duration_s=12.0),
                mass_kg=kg,
                bad=empty.bad,
            )
        )
        for kg in (20.0, 20.0)
    )
    return again.velocity_mm_s < 3.0 * dead.velocity_mm_s and again.ellipse95_mm2 < 3.0 * dead.ellipse95_mm2


def one_recording(rng: np.random.Generator) -> dict[str, bool]:
    """Whether a quiet recording is left alone, and one with a step is cut to the right side of it."""
    rate = 10.0
    clean = Mat(
        rows=ROWS, columns=COLUMNS, pitch_x_mm=PITCH, pitch_y_mm=PITCH, noise_kpa=rng.uniform(0.0, 1.0)
    )

    def part(seconds: float, width_mm: float) -> FloatArray:
        swaying = Swaying(duration_s=seconds, rate_hz=rate, ahead_rms_mm=rng.uniform(2.0, 7.0))
        return simulate_mat(Standing(width_mm=width_mm), clean, swaying, rng=rng).recording.cells

    width = rng.uniform(240.0, 360.0)
    before, after = float(rng.uniform(1.0, 4.0)), float(rng.uniform(6.0, 9.0))
    apart = float(rng.choice([-1.0, 1.0]) * rng.uniform(30.0, 60.0))
    one, other = part(before, width), part(after, width + apart)
    whole = quiet_part(_joined([other], rate))
    stepped = quiet_part(_joined([one, other], rate)).part
    return {
        "left alone": whole.part is None,
        "noticed": stepped is not None,
        "clear of the step": stepped is not None and stepped.from_s >= len(one) / rate - 1e-9,
    }


def _joined(parts: list[FloatArray], rate_hz: float) -> MatRecording:
    cells = np.concatenate(parts)
    return MatRecording(
        cells=cells,
        unit="kPa",
        pitch_x_mm=PITCH,
        pitch_y_mm=PITCH,
        rate_hz=rate_hz,
        time_s=np.arange(len(cells)) / rate_hz,
    )


def people(rng: np.random.Generator) -> list[Weighing]:
    """Six to ten people who weigh what is on file within a breakfast."""
    masses = rng.uniform(45.0, 115.0, int(rng.integers(6, 11)))
    return [
        Weighing(force_n=(kg + rng.normal(0.0, 0.4)) * G, mass_kg=float(kg), person=f"person {i}")
        for i, kg in enumerate(masses)
    ]


def _offset(rng: np.random.Generator) -> tuple[list[Weighing], tuple[str, str]]:
    added = float(rng.uniform(15.0, 60.0))
    plain = people(rng)
    foam = [replace(w, force_n=w.force_n + added + rng.normal(0.0, 2.0), stood_on="foam") for w in plain]
    return [*plain, *foam], ("tare offset", "foam")


def _unit(rng: np.random.Generator) -> tuple[list[Weighing], tuple[str, str]]:
    factor = float(rng.choice([1.0 / G, G, 0.1, 10.0, 1000.0]))
    return [replace(w, force_n=w.force_n * factor) for w in people(rng)], ("wrong unit", "the mat")


def _pounds(rng: np.random.Generator) -> tuple[list[Weighing], tuple[str, str]]:
    plain = people(rng)
    return [replace(plain[0], mass_kg=plain[0].mass_kg / 0.45359237), *plain[1:]], ("wrong unit", "person 0")


def _mass(rng: np.random.Generator) -> tuple[list[Weighing], tuple[str, str]]:
    plain = people(rng)
    factor = float(rng.choice([rng.uniform(0.80, 0.92), rng.uniform(1.08, 1.20)]))
    return [replace(plain[0], mass_kg=plain[0].mass_kg * factor), *plain[1:]], ("wrong mass", "person 0")


FAULTS: dict[str, Callable[[np.random.Generator], tuple[list[Weighing], tuple[str, str]]]] = {
    "a tare offset of 15 to 60 N on one thing stood on": _offset,
    "a wrong unit of the force": _unit,
    "one mass in pounds": _pounds,
    "one mass 8 to 20 % off": _mass,
}


def told(fault: str, count: int, seed: int) -> float:
    """Share of studios in which exactly the planted fault was found."""
    right = 0
    for rng in map(np.random.default_rng, np.random.SeedSequence(seed).spawn(count)):
        weighings, planted = FAULTS[fault](rng)
        right += [(m.cause, m.who) for m in explain_weights(weighings)] == [planted]
    return right / count


def quiet_people(count: int, seed: int) -> float:
    """Share of studios without a fault in which one was found."""
    rngs = map(np.random.default_rng, np.random.SeedSequence(seed).spawn(count))
    return sum(bool(explain_weights(people(rng))) for rng in rngs) / count


def prove(count: int, seed: int) -> list[dict[str, Any]]:
    """One row a claim."""
    rows: list[dict[str, Any]] = []

    def claim(words: str, seen: float, low: float, high: float = 1.0) -> None:
        limit = f"{low} to {high}" if high < 1.0 else f"at least {low}"
        limit = f"at most {high}" if low == 0.0 else limit
        rows.append({"claim": words, "seen": seen, "limit": limit, "held": low <= seen <= high})

    shares = mats(count, seed)
    claim(
        f"95 % intervals of load hold the truth on mats with a gain map ({count})", shares["load"], LOW, HIGH
    )
    claim("all twelve bad cells of an empty mat are found", shares["found"], 0.99)
    claim("no good cell is called bad", shares["no more"], 0.95)
    for watched in ("force", "load, gain left in"):
        words = f"95 % intervals of {watched} hold the truth"
        rows.append({"claim": words, "seen": shares[watched], "limit": "watched, no limit", "held": True})
    rngs = [np.random.default_rng(s) for s in np.random.SeedSequence(seed + 1).spawn(max(count // 10, 20))]
    claim(
        "sway of a weight that lies still is under three floors",
        float(np.mean([one_floor(r) for r in rngs])),
        0.99,
    )
    cut = [
        one_recording(np.random.default_rng(s)) for s in np.random.SeedSequence(seed + 2).spawn(count // 4)
    ]
    for name, low in (("left alone", 0.99), ("noticed", 0.95), ("clear of the step", 0.95)):
        claim(f"quiet part: {name}", float(np.mean([c[name] for c in cut])), low)
    for fault in FAULTS:
        claim(f"{fault} is told, and nothing else", told(fault, count, seed), 0.95)
    claim("a fault is seen in weights that agree", quiet_people(count, seed), 0.0, 0.07)
    return rows
