"""Practice through a gate and a held load: ranges that cover, and false alarms that stay rare."""

import math
from collections.abc import Callable
from datetime import date
from typing import Any

import numpy as np

from evenground.fit.held_load import LoadPair, fit_held_load
from evenground.fit.practice import AimForecast, compare_practice, gate_window_deg, score_practice
from evenground.visit import AimPractice

__all__ = ["prove"]

GATE_MM, FAR_M = 60.0, 1.5
BODY_KG = 78.0


def prove(count: int, seed: int) -> list[dict[str, Any]]:
    """Simulate `count` players of each kind."""
    rng = np.random.default_rng(seed)
    covered = _share(lambda: _one_share(rng), count)
    alarms = _share(lambda: _false_alarm(rng), count)
    held, wrong = _held(rng, count)
    return [
        _line("range of a practice share covers the true one", covered, low=0.95, count=count),
        _line("practice that follows the card is called fewer or more", alarms, high=0.05, count=count),
        _line("held load: interval covers, three to six pairs", held, low=0.93, high=0.97, count=count),
        _line("held load: a body that does not give way is called so", wrong, high=0.05, count=count),
    ]


def _share(one: Callable[[], bool], count: int) -> float:
    return sum(one() for _ in range(count)) / count


def _line(claim: str, seen: float, *, count: int, low: float = 0.0, high: float = 1.0) -> dict[str, Any]:
    """Held unless a binomial of this count would hardly show it (three standard errors)."""
    slack = 3.0 * math.sqrt(0.05 * 0.95 / count)
    limit = f"{100.0 * low:.0f} to {100.0 * high:.0f} % (three standard errors: {100.0 * slack:.1f})"
    held = low - slack <= seen <= high + slack
    return {"claim": claim, "seen": f"{100.0 * seen:.1f} % of {count}", "limit": limit, "held": held}


def _entries(passed: int, rolled: int) -> list[AimPractice]:
    day = date(2026, 5, 9)
    return [AimPractice(entry=1, day=day, distance_m=FAR_M, gate_mm=GATE_MM, rolled=rolled, passed=passed)]


def _one_share(rng: np.random.Generator) -> bool:
    true, rolled = rng.uniform(0.05, 0.95), int(rng.integers(10, 80))
    score = score_practice(_entries(int(rng.binomial(rolled, true)), rolled))[0]
    return bool(score.interval.holds(true))


def _false_alarm(rng: np.random.Generator) -> bool:
    """A player who aims in the check as in practice, bias and spread drawn wide."""
    bias, spread = rng.normal(0.0, 0.8), math.exp(rng.uniform(math.log(0.4), math.log(2.0)))
    aims = rng.normal(bias, spread, int(rng.integers(6, 15)))
    forecast = AimForecast(bias_deg=float(aims.mean()), spread_deg=float(aims.std(ddof=1)), n=len(aims))
    rolled = int(rng.integers(10, 60))
    window = gate_window_deg(GATE_MM, FAR_M) / forecast.face_share
    passed = int(np.sum(np.abs(rng.normal(bias, spread, rolled)) < window))
    compared = compare_practice(score_practice(_entries(passed, rolled))[0], forecast)
    return compared.word in ("fewer than expected", "more than expected")


def _held(rng: np.random.Generator, count: int) -> tuple[float, float]:
    covered = wrong = 0
    for _ in range(count):
        load_kg, ahead = rng.uniform(1.0, 7.5), rng.uniform(250.0, 400.0)
        lean_mm, tape = rng.normal(0.0, 6.0), rng.normal(0.0, 15.0)
        covered += _load_covers(rng, load_kg, (ahead, tape), lean_mm)[0]
        wrong += _load_covers(rng, load_kg, (ahead, tape), 0.0)[1]
    return covered / count, wrong / count


def _load_covers(
    rng: np.random.Generator, load_kg: float, held_at: tuple[float, float], lean_mm: float
) -> tuple[bool, bool]:
    """Pairs of one player: whether the interval holds what is apart, and whether it says that it is."""
    ahead, tape = held_at
    spread = rng.uniform(4.0, 14.0)
    pairs = []
    for _ in range(int(rng.integers(3, 7))):
        without = 95.0 + rng.normal(0.0, 6.0)
        shift = load_kg * (ahead - without) / (BODY_KG + load_kg) + lean_mm + rng.normal(0.0, spread)
        pairs.append(
            LoadPair(load_kg=load_kg, load_ahead_mm=ahead + tape, without_mm=without, with_mm=without + shift)
        )
    fit = fit_held_load(pairs, BODY_KG)
    return fit.apart_mm.interval().holds(lean_mm), fit.word == "does not agree"
