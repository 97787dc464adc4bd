"""Known truth of trials in full: intervals, a rest as control, a least turn, a noisy bar, the next width.

What `prove_stance` says of the search at its stop is not said again here. Three families of one player
share a curve, so chances are counted for one family of each player.
"""

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.stats import binomtest

from bench.bench_stance import AHEAD, LADDERS, MOST_AHEAD, MOST_LADDER, Studio, adaptive, ladder, saving
from bench.prove_stance import calibration
from evenground.estimate import from_repeats
from evenground.fit.stance import fit_stance
from evenground.fit.stance_model import matern52
from evenground.fit.stance_types import StanceFit, StanceOptions
from evenground.simulate.hipline import HipLinePlayer, player_from_prior, player_from_shape
from evenground.visit import HipLineTrial, Phase, TurnReading

FloatArray = NDArray[np.float64]
LOW, HIGH = 0.93, 0.97
NOMINAL, SURE = 0.05, 0.001
SHARES = (0.16, 0.23, 0.30)  # of stature: where repeats are taken
LEAST_SAVING = 0.15
RIGHT = 0.80  # share of players with every family right that trials are counted to
LADDER_SHARE = 0.15  # of the count: three ladders and the look-ahead of one player take two seconds


def rngs(count: int, seed: int) -> list[np.random.Generator]:
    """A generator of its own for each player."""
    return [np.random.default_rng(s) for s in np.random.SeedSequence(seed).spawn(count)]


def searched(
    player: HipLinePlayer, trials: list[HipLineTrial], rng: np.random.Generator, **options: Any
) -> StanceFit:
    """The search over trials, with what it may draw on beside them."""
    turns = options.pop("turns", ())
    return fit_stance(
        trials,
        options=StanceOptions(draws=64, **options),
        stature_mm=player.stature_mm,
        as_arrived_mm={},
        rng=rng,
        turns=turns,
    )


def covers(value: float, se: float, truth: float) -> bool:
    """Whether a 95 % range of known error holds the truth."""
    return abs(value - truth) <= 1.959964 * se


def row_of_cover(name: str, held: list[bool], *, full: bool) -> dict[str, Any]:
    """Share of ranges that hold the truth; below the full count the limit is what chance leaves of 0.95."""
    share, n = float(np.mean(held)), len(held)
    band = 0.0 if full else 2.6 * float(np.sqrt(0.95 * 0.05 / n))
    low, high = LOW - band, min(1.0, HIGH + band)
    return {
        "claim": f"95 % ranges of {name} hold the truth ({n})",
        "seen": f"{share:.4f}",
        "limit": f"{low:.3f} to {high:.3f}",
        "held": bool(low <= share <= high),
    }


def of_repeats(count: int, seed: int) -> list[bool]:
    """Means of three to eight repeats whose spread is told by them alone."""
    held = []
    for i, rng in enumerate(rngs(count, seed)):
        sd = rng.uniform(0.5, 4.0)
        mean = from_repeats(rng.normal(3.0, sd, 3 + i % 6).tolist(), unit="deg", what="hip line")
        held.append(bool(mean.interval().holds(3.0)))
    return held


def repeated(player: HipLinePlayer, rng: np.random.Generator, times: int) -> list[HipLineTrial]:
    """Each of three widths so many times, in rounds of random order."""
    widths = [share * player.stature_mm for share in SHARES]
    order = [w for _ in range(times) for w in rng.permutation(widths)]
    return [player.read(i, float(w), rng) for i, w in enumerate(order, 1)]


def of_curve(count: int, seed: int) -> list[bool]:
    """The curve in the middle of the series at a width read three times, nothing known of the noise."""
    held = []
    for rng in rngs(count, seed):
        player = player_from_prior(rng)
        trials = repeated(player, rng, 3)
        fit = searched(player, trials, rng)
        wanted = SHARES[1] * player.stature_mm
        point = min(fit.curve, key=lambda p: abs(p.width_mm - wanted))
        truth = player.truth_deg(point.width_mm, (len(trials) + 1) / 2.0)
        held.append(covers(point.mean_deg, point.sd_deg, truth))
    return held


def moved_by(
    player: HipLinePlayer, rng: np.random.Generator, *, constant: float, slope: float, share: float
) -> FloatArray:
    """What a change or condition does over the player's grid, drawn from what the search assumes of it."""
    grid = player.grid_mm
    length, amplitude = rng.choice([60.0, 110.0, 180.0]), share * rng.choice([2.0, 4.0, 7.0])
    cov = amplitude**2 * matern52(grid[:, None] - grid[None, :], length)
    bends = np.linalg.cholesky(cov + 1e-6 * np.eye(len(grid))) @ rng.standard_normal(len(grid))
    off = (grid - 0.23 * player.stature_mm) / 100.0
    return np.asarray(constant * rng.standard_normal() + slope * rng.standard_normal() * off + bends)


def later(
    player: HipLinePlayer, phase: Phase, change_deg: FloatArray, rng: np.random.Generator
) -> list[HipLineTrial]:
    """Four trials of a later phase, the middle width twice and three times in all with those before."""
    widths = np.array([SHARES[1], SHARES[0], SHARES[2], SHARES[1]]) * player.stature_mm
    found = []
    for i, width in enumerate(widths, 1):
        moved = float(np.interp(width, player.grid_mm, change_deg))
        angle = player.truth_deg(float(width)) + moved + player.noise_deg * rng.standard_normal()
        found.append(HipLineTrial(trial=i, width_mm=float(width), hip_line_deg=angle, phase=phase))
    return found


def of_change(count: int, seed: int) -> list[bool]:
    """The change after the routine at the width that the answer stands on."""
    held = []
    for rng in rngs(count, seed):
        player = player_from_prior(rng, drift_sd_deg=0.0)
        moved = moved_by(player, rng, constant=3.0, slope=1.0, share=0.5)
        fit = searched(player, [*repeated(player, rng, 2), *later(player, "after", moved, rng)], rng)
        told = fit.change[0]
        truth = float(np.interp(told.width_mm, player.grid_mm, moved))
        held.append(covers(told.change_deg.value, told.change_deg.se, truth))
    return held


def of_shoes(count: int, seed: int) -> list[bool]:
    """What bare feet do, changed in every other of nine trials."""
    held = []
    for rng in rngs(count, seed):
        player = player_from_prior(rng)
        moved = moved_by(player, rng, constant=2.0, slope=0.7, share=0.25)
        trials = [
            HipLineTrial(
                trial=t.trial,
                width_mm=t.width_mm,
                hip_line_deg=t.hip_line_deg
                + (float(np.interp(t.width_mm, player.grid_mm, moved)) if t.trial % 2 == 0 else 0.0),
                footwear="barefoot" if t.trial % 2 == 0 else "golf shoes",
            )
            for t in repeated(player, rng, 3)
        ]
        (effect,) = searched(player, trials, rng).effects
        truth = float(np.interp(effect.width_mm, player.grid_mm, moved))
        held.append(covers(effect.effect_deg.value, effect.effect_deg.se, truth))
    return held


def after_nothing(count: int, seed: int, phase: Phase) -> list[bool]:
    """Whether a change shows in players whom neither routine nor rest moves, with drift and unknown noise."""
    shown = []
    for rng in rngs(count, seed):
        player = player_from_shape(rng)
        nothing = np.zeros(len(player.grid_mm))
        fit = searched(player, [*repeated(player, rng, 2), *later(player, phase, nothing, rng)], rng)
        told = (fit.control if phase == "rested" else fit.change)[0]
        shown.append(told.shows)
    return shown


def row_of_nothing(name: str, shown: list[bool]) -> dict[str, Any]:
    """Fails when so many of unmoved players would be *changed* by chance less than once in a thousand."""
    seen, n = int(np.sum(shown)), len(shown)
    p = float(binomtest(seen, n, NOMINAL, alternative="greater").pvalue)
    return {
        "claim": f"unmoved players in whom {name} shows a change ({n})",
        "seen": f"{seen / n:.4f}, one-sided p {p:.3f}",
        "limit": f"p at least {SURE} against {NOMINAL:.0%}",
        "held": p >= SURE,
    }


def least_turn(count: int, seed: int) -> FloatArray:
    """(count, 2) stated chance of square and turn enough at the chosen width, and whether it was so."""
    pairs = []
    for rng in rngs(count, seed):
        player = player_from_prior(rng)
        level, slope, sd = rng.uniform(45.0, 65.0), 5.0 * rng.standard_normal(), 2.1
        middle = 0.23 * player.stature_mm

        def turn(width: float, level: float = level, slope: float = slope, middle: float = middle) -> float:
            return level + slope * (width - middle) / 100.0

        widths = [share * player.stature_mm for share in (*SHARES, SHARES[0], SHARES[2])]
        turns = tuple(
            TurnReading(toward="trail", turn_deg=turn(w) + sd * rng.standard_normal(), width_mm=w)
            for w in widths
        )
        asked = level + rng.uniform(-4.0, 4.0)
        trials = repeated(player, rng, 3)
        fit = searched(player, trials, rng, turns=turns, turn_at_least_deg=asked)
        best = fit.families["irons"]
        truth = player.truth_deg(best.best_width_mm, (len(trials) + 1) / 2.0)
        pairs.append((best.probability, abs(truth) <= 2.0 and turn(best.best_width_mm) >= asked))
    return np.array(pairs, dtype=float)


def noisy_bar(count: int, seed: int) -> list[dict[str, Any]]:
    """A bar with an SEM of 3 deg and eight trials: what the studio hears, and at which margin."""
    words, wrong, margins = [], [], set()
    for rng in rngs(count, seed):
        player = player_from_shape(rng, noise_deg=3.0)
        widths = rng.permutation(np.linspace(0.13, 0.33, 8)) * player.stature_mm
        fit = searched(
            player, [player.read(i, float(w), rng) for i, w in enumerate(widths, 1)], rng, noise_deg=3.0
        )
        answer = fit.families["irons"]
        margins.add(fit.margin_deg)
        if player.square_somewhere("irons", 2.0, 4.5):
            words.append(answer.answer)
        truth = player.truth_deg(answer.best_width_mm, 4.5)
        wrong.append(answer.answer == "square" and abs(truth) > 2.0)
    shares = {w: float(np.mean([x == w for x in words])) for w in ("square", "likely", "none", "cannot tell")}
    said, false = ", ".join(f"{w} {s:.3f}" for w, s in shares.items()), float(np.mean(wrong))
    band = 2.6 * float(np.sqrt(0.02 * 0.98 / count))
    return [
        {
            "claim": f"SEM 3 deg, eight trials, a square width in reach: not called square ({len(words)})",
            "seen": said,
            "limit": "square under 0.05",
            "held": shares["square"] < 0.05,
        },
        {
            "claim": f"SEM 3 deg, eight trials: told square and not so, at a margin of 2 deg ({count})",
            "seen": f"{false:.4f}; margins used {sorted(margins)}",
            "limit": f"below {0.02 + band:.4f}; 2 deg alone",
            "held": false < 0.02 + band and margins == {2.0},
        },
    ]


def ahead_and_ladders(count: int, seed: int) -> dict[str, FloatArray]:
    """(count, trials) players with every family right, for each way of choosing the next width.

    Each player's noise is drawn and the studio does not know it; players drift by 0.3 deg a trial (SD).
    """
    found: dict[str, list[list[bool]]] = {}
    for i, rng in enumerate(rngs(count, seed)):
        player = player_from_shape(rng, drift_sd_deg=0.3, crossings=i % 4)
        studio = Studio(player=player, options=StanceOptions())
        found.setdefault(AHEAD, []).append([all(r) for r in adaptive(studio, MOST_AHEAD, rng)])
        for steps in LADDERS:
            right = [all(r) for r in ladder(studio, steps, MOST_LADDER, rng)]
            found.setdefault(f"ladder of {steps}", []).append(right)
    return {name: np.array(rows, dtype=float) for name, rows in found.items()}


def row_of_saving(right: Mapping[str, FloatArray]) -> dict[str, Any]:
    """How many trials fewer than the best ladder, with drift and a noise that nobody knows."""
    spared, n = saving(right, RIGHT), len(right[AHEAD])
    return {
        "claim": f"with drift and unknown noise, trials spared to have {RIGHT:.0%} of players right ({n})",
        "seen": f"{spared:.0%}",
        "limit": f"at least {LEAST_SAVING:.0%}",
        "held": spared >= LEAST_SAVING,
    }


COVERS: dict[str, Callable[[int, int], list[bool]]] = {
    "means of three to eight repeats": of_repeats,
    "the curve at a width read three times": of_curve,
    "the change after the routine": of_change,
    "what bare feet do": of_shoes,
}
"""What has ranges, and how they are drawn."""


def prove(count: int = 2000, seed: int = 20261125) -> list[dict[str, Any]]:
    """Rows (claim, seen, limit, held); ladders take a share of the count, since each is dear."""
    full = count >= 2000
    few = max(8, round(LADDER_SHARE * count))
    return [
        *(
            row_of_cover(name, drawn(count, seed + i), full=full)
            for i, (name, drawn) in enumerate(COVERS.items())
        ),
        row_of_nothing("a rest", after_nothing(count, seed + 10, "rested")),
        row_of_nothing("the routine", after_nothing(count, seed + 11, "after")),
        *calibration("and turn enough", least_turn(count, seed + 12), 2, full=full),
        *noisy_bar(count, seed + 13),
        row_of_saving(ahead_and_ladders(few, seed + 14)),
    ]
