"""Trials needed: the next width chosen by looking ahead, beside the best of three fixed ladders.

Both use the same model, options and decision; only the widths differ. A ladder is 5, 7 or 10 widths evenly
spaced over all windows, gone through again and again, in a new random order each time. Curves have 0 to 3
zero crossings, a quarter each, and shapes that are not drawn from the model.

A family's decision is right when it is given a truly square width where its window holds one, and is not
told *square* where it holds none. Shares of right decisions are counted two ways: players with every family
right, which the promise is about (one curve, one success), and families one by one, for information. Trials
for a share of right decisions: where the share, made monotone over the number of trials, first reaches it,
between whole trials by a straight line. The saving is against the ladder that needs fewest; its interval is
a bootstrap over players that picks the best ladder anew each time.
"""

import time
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from sklearn.isotonic import IsotonicRegression

from evenground.fit.stance import fit_stance
from evenground.fit.stance_answer import Curve, choose_widths, curve_at, width_grid, width_windows
from evenground.fit.stance_constants import CENTRE_SHARE, SQUARE_FROM
from evenground.fit.stance_layout import Layout, lay_out
from evenground.fit.stance_model import Fitted, fit_trials, gaussian_posterior
from evenground.fit.stance_next import Goal, first_widths, gains, pick_near_best
from evenground.fit.stance_types import StanceOptions
from evenground.simulate.hipline import HipLinePlayer, player_from_shape
from evenground.visit import FAMILIES, HipLineTrial

LADDERS = (5, 7, 10)
FIRST = 3
AHEAD = "look ahead"
BY_PLAYER, BY_FAMILY = "players with every family right", "families right, one by one"
CASES = ((1.5, 0.90), (2.0, 0.90), (3.0, 0.80))  # noise deg, share of right decisions
MOST_AHEAD, MOST_LADDER = 14, 24  # trials that are simulated; a share not reached counts against us
SAVING, LEAST = 0.25, 0.15
PLAYERS = 600

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Studio:
    """One player and what both ways of choosing widths share."""

    player: HipLinePlayer
    options: StanceOptions

    @property
    def grid_mm(self) -> FloatArray:
        """(W,) widths a decision may choose."""
        return width_grid(width_windows(self.player.stature_mm, {}), self.options.step_mm)

    def look(self, trials: list[HipLineTrial]) -> tuple[Layout, Fitted, Curve]:
        """The posterior from some trials."""
        centre = CENTRE_SHARE.value * self.player.stature_mm
        layout, points, y = lay_out(trials, options=self.options, centre_mm=centre)
        fitted = fit_trials(layout.prior, points, y)
        curve = curve_at(fitted, layout.points("irons", "before", self.grid_mm), self.options.margin_deg)
        return layout, fitted, curve

    def right(self, curve: Curve, count: int) -> tuple[bool, ...]:
        """Whether the decision after `count` trials is right, for each family."""
        windows, margin, late = (
            width_windows(self.player.stature_mm, {}),
            self.options.margin_deg,
            (count + 1) / 2,
        )
        chosen = choose_widths(
            curve.width_mm, dict.fromkeys(FAMILIES, curve.p), windows, {}, keep_order=self.options.keep_order
        )
        found = []
        for family, i in chosen.items():
            truth = abs(self.player.truth_deg(float(curve.width_mm[i]), late))
            some = self.player.square_somewhere(family, margin, late)
            found.append(truth <= margin if some else bool(curve.p[i] < SQUARE_FROM.value))
        return tuple(found)


def adaptive(studio: Studio, most: int, rng: np.random.Generator) -> Iterator[tuple[bool, ...]]:
    """Right or not after 3, 4, ... trials at the widths that looking ahead chooses."""
    player, options = studio.player, studio.options
    firsts = first_widths(player.stature_mm, step_mm=options.step_mm, rng=rng)
    trials = [player.read(i + 1, w, rng) for i, w in enumerate(firsts)]
    candidates = studio.grid_mm[::2]
    windows = list(width_windows(player.stature_mm, {}).values())
    for count in range(FIRST, most + 1):
        layout, fitted, curve = studio.look(trials)
        yield studio.right(curve, count)
        points = layout.points("irons", "before", candidates, late=(count + 1) / 2)
        gain = gains(fitted, points, [Goal.of(curve, windows)], options.margin_deg)
        trials.append(player.read(count + 1, float(candidates[pick_near_best(gain, rng)]), rng))


def ladder(studio: Studio, steps: int, most: int, rng: np.random.Generator) -> Iterator[tuple[bool, ...]]:
    """Right or not after 3, 4, ... trials at the widths of a fixed ladder."""
    grid = studio.grid_mm
    rungs = np.linspace(grid[0], grid[-1], steps)
    widths = np.concatenate([rng.permutation(rungs) for _ in range(most // steps + 1)])
    trials = [studio.player.read(i + 1, float(w), rng) for i, w in enumerate(widths[:most])]
    for count in range(FIRST, most + 1):
        yield studio.right(studio.look(trials[:count])[2], count)


def simulate(noise_deg: float, players: int, seed: int) -> dict[str, FloatArray]:
    """(players, trials, 3) right decisions of each way of choosing widths, from 3 trials on."""
    found: dict[str, list[list[tuple[bool, ...]]]] = {}
    for i, sequence in enumerate(np.random.SeedSequence(seed).spawn(players)):
        rng = np.random.default_rng(sequence)
        player = player_from_shape(rng, noise_deg=noise_deg, crossings=i % 4)
        studio = Studio(player=player, options=StanceOptions(noise_deg=noise_deg))
        found.setdefault(AHEAD, []).append(list(adaptive(studio, MOST_AHEAD, rng)))
        for steps in LADDERS:
            found.setdefault(f"ladder of {steps}", []).append(list(ladder(studio, steps, MOST_LADDER, rng)))
    return {name: np.array(rows, dtype=float) for name, rows in found.items()}


def trials_needed(right: FloatArray, share: float) -> float:
    """Trials at which the mean of `right` (players, trials) reaches `share`; infinite when it never does."""
    counts = np.arange(FIRST, FIRST + right.shape[1])
    level = IsotonicRegression().fit_transform(counts, right.mean(0))
    if level[-1] < share:
        return float("inf")
    k = int(np.argmax(level >= share))
    if k == 0:
        return float(FIRST)
    return float(counts[k] - (level[k] - share) / (level[k] - level[k - 1]))


def saving(right: Mapping[str, FloatArray], share: float) -> float:
    """Part of the best ladder's trials that looking ahead does without; one never there took all."""
    rivals = [trials_needed(rows, share) for name, rows in right.items() if name != AHEAD]
    ours = trials_needed(right[AHEAD], share)
    return 0.0 if np.isinf(ours) else 1.0 - ours / min(MOST_LADDER, *rivals)


def compare(
    right: Mapping[str, FloatArray], share: float, seed: int, resamples: int = 1000
) -> dict[str, Any]:
    """Saving with its lower 97.5 % bootstrap bound, and trials needed, from (players, trials) right."""
    rng = np.random.default_rng(seed)
    players = len(right[AHEAD])
    drawn = []
    for _ in range(resamples):
        rows = rng.integers(players, size=players)
        drawn.append(saving({name: r[rows] for name, r in right.items()}, share))
    return {
        "share": share,
        "trials": {name: trials_needed(rows, share) for name, rows in right.items()},
        "right": {name: rows.mean(0).round(3).tolist() for name, rows in right.items()},
        "saving": saving(right, share),
        "lower": float(np.quantile(drawn, 0.025)),
    }


WAYS: dict[str, Callable[[FloatArray], FloatArray]] = {
    BY_PLAYER: lambda right: right.min(-1),
    BY_FAMILY: lambda right: right.mean(-1),
}
"""Two ways of counting right decisions: (players, trials, 3) to (players, trials)."""


def assert_fast_equals_plain() -> None:
    """The batched posterior against the textbook one, set by set."""
    rng = np.random.default_rng(5)
    player = player_from_shape(rng)
    studio = Studio(player=player, options=StanceOptions())
    trials = [player.read(i + 1, w, rng) for i, w in enumerate((300.0, 450.0, 380.0, 520.0))]
    layout, fitted, curve = studio.look(trials)
    y = np.array([t.hip_line_deg for t in trials])
    prior, targets = layout.prior, curve.view.points
    kernels = [prior.covariance(a, b) for a in (fitted.trials, targets) for b in (fitted.trials, targets)]
    for h, noise in enumerate(fitted.noise_sd):
        k = h // len(prior.noises_deg)
        plain = gaussian_posterior(kernels[0][k], kernels[1][k], kernels[3][k], y, float(noise))
        assert np.allclose(plain.mean, curve.set_mean[h], atol=1e-9)
        assert np.allclose(np.diagonal(plain.cov), curve.set_sd[h] ** 2, atol=1e-8)


def time_fit(count: int, repeats: int = 15) -> dict[str, float]:
    """Median and spread of a whole fit of `count` trials, warm, in ms."""
    rng = np.random.default_rng(9)
    player = player_from_shape(rng, noise_deg=2.0)
    trials = [player.read(i + 1, float(w), rng) for i, w in enumerate(rng.uniform(240.0, 560.0, count))]
    took = []
    for _ in range(repeats + 1):
        started = time.perf_counter()
        fit_stance(
            trials,
            options=StanceOptions(budget_before=100),
            stature_mm=player.stature_mm,
            as_arrived_mm={},
            rng=np.random.default_rng(1),
        )
        took.append(1e3 * (time.perf_counter() - started))
    return {"median_ms": float(np.median(took[1:])), "spread_ms": float(np.ptp(took[1:]))}


def promise(noise_deg: float, found: Mapping[str, Mapping[str, Any]]) -> dict[str, Any]:
    """One noise as a row of the report: held or not by players, with the count by families beside it."""

    def said(case: Mapping[str, Any]) -> str:
        return (
            f"{case['trials'][AHEAD]:.1f} trials, saving {case['saving']:.0%} (at least {case['lower']:.0%})"
        )

    players, families = found[BY_PLAYER], found[BY_FAMILY]
    rivals = ", ".join(f"{name} {n:.1f}" for name, n in players["trials"].items() if name != AHEAD)
    return {
        "promise": f"fewer trials at {noise_deg} deg noise for {players['share']:.0%} of {BY_PLAYER}",
        "ours": said(players),
        "beside": f"{rivals}; {BY_FAMILY}: {said(families)}",
        "limit": f"saving {SAVING:.0%}, lower bound {LEAST:.0%}",
        "held": players["saving"] >= SAVING and players["lower"] >= LEAST,
    }


def run(players: int = PLAYERS, seed: int = 20261127) -> dict[str, Any]:
    """All comparisons and the time of one fit."""
    assert_fast_equals_plain()
    promises: list[dict[str, Any]] = []
    cases: list[dict[str, Any]] = []
    for i, (noise_deg, share) in enumerate(CASES):
        right = simulate(noise_deg, players, seed + i)
        found = {
            way: compare({name: counted(rows) for name, rows in right.items()}, share, seed + i)
            for way, counted in WAYS.items()
        }
        cases += [{"noise_deg": noise_deg, "way": way, **case} for way, case in found.items()]
        promises.append(promise(noise_deg, found))
    times = {count: time_fit(count) for count in (12, 60)}
    promises.append(
        {
            "promise": "one whole fit of 12 trials, warm",
            "ours": f"{times[12]['median_ms']:.1f} ms (spread {times[12]['spread_ms']:.1f})",
            "beside": f"60 trials: {times[60]['median_ms']:.1f} ms (spread {times[60]['spread_ms']:.1f})",
            "limit": "150 ms",
            "held": times[12]["median_ms"] < 150.0,
        }
    )
    return {"promises": promises, "cases": cases, "times_ms": times}
