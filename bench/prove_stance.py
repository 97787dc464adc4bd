"""Known truth: stated chances of square against what is so, at the stop, and players who are never square."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from evenground.fit.stance import fit_stance
from evenground.fit.stance_confirm import confirmation_order
from evenground.fit.stance_types import StanceOptions
from evenground.simulate.hipline import (
    HipLinePlayer,
    Outcome,
    player_from_prior,
    player_from_shape,
    player_never_square,
    run_series,
)
from evenground.visit import FAMILIES

BINS = 6
WITHIN = 0.06
NEVER_LIMIT = 0.03
BAND = 2.6  # SDs of a binomial share: what a smaller count may add to a limit


def outcomes(
    draw: Callable[[np.random.Generator], HipLinePlayer], count: int, seed: int
) -> list[tuple[HipLinePlayer, Outcome]]:
    """Series of `count` players to their stop; every other player's studio knows its noise."""
    found = []
    for i, rng in enumerate(map(np.random.default_rng, np.random.SeedSequence(seed).spawn(count))):
        player = draw(rng)
        options = StanceOptions(noise_deg=player.noise_deg if i % 2 else None)
        found.append((player, run_series(player, options=options, rng=rng)))
    return found


def stated_and_true(found: list[tuple[HipLinePlayer, Outcome]]) -> NDArray[np.float64]:
    """(3 N, 2) stated probability and whether it was so, each family of each player."""
    rows = [(o.fit.families[f].probability, o.truly_square[f]) for _, o in found for f in FAMILIES]
    return np.array(rows, dtype=float)


def after_confirming(found: list[tuple[HipLinePlayer, Outcome]], seed: int) -> NDArray[np.float64]:
    """The same pairs once three placements at the irons' width and three as arrived have joined."""
    rows = []
    for (player, outcome), rng in zip(
        found, map(np.random.default_rng, np.random.SeedSequence(seed).spawn(len(found))), strict=True
    ):
        trials = list(outcome.trials)
        window = outcome.fit.families["irons"].window_mm
        own = float(rng.uniform(window.low_mm, window.high_mm))
        widths = {"chosen": outcome.fit.families["irons"].best_width_mm, "as arrived": own}
        for name in confirmation_order(rng):
            trials.append(player.read(len(trials) + 1, widths[name], rng))
        fit = fit_stance(
            trials,
            options=StanceOptions(),
            stature_mm=player.stature_mm,
            as_arrived_mm={"irons": own},
            rng=rng,
        )
        late = (len(trials) + 1) / 2.0
        for answer in fit.families.values():
            truth = player.truth_deg(answer.best_width_mm, late)
            rows.append((answer.probability, abs(truth) <= StanceOptions().margin_deg))
    return np.array(rows, dtype=float)


def calibration(name: str, pairs: NDArray[np.float64], bins: int, *, full: bool) -> list[dict[str, Any]]:
    """One row a bin of equal count: mean stated beside the share that was true.

    Below the full count a binomial band is added, for players rather than families, which share a curve.
    """
    rows = []
    for i, part in enumerate(np.array_split(pairs[np.argsort(pairs[:, 0], kind="stable")], bins)):
        stated, true = part.mean(0)
        band = 0.0 if full else BAND * np.sqrt(max(stated * (1.0 - stated), 0.01) / (len(part) / 3.0))
        rows.append(
            {
                "claim": f"stated chance of square {name}, bin {i + 1} of {bins} ({len(part)})",
                "seen": f"stated {stated:.3f}, true {true:.3f}",
                "limit": f"{WITHIN + band:.3f} apart",
                "held": bool(abs(stated - true) <= WITHIN + band),
            }
        )
    return rows


def never_called_square(found: list[tuple[HipLinePlayer, Outcome]], *, full: bool) -> dict[str, Any]:
    """Share of players with no square width anywhere who were told *square* for any family."""
    wrong = np.mean([any(a.answer == "square" for a in o.fit.families.values()) for _, o in found])
    band = 0.0 if full else BAND * np.sqrt(NEVER_LIMIT * (1.0 - NEVER_LIMIT) / len(found))
    return {
        "claim": f"players never square who are told square ({len(found)})",
        "seen": f"{wrong:.4f}",
        "limit": f"below {NEVER_LIMIT + band:.4f}",
        "held": bool(wrong < NEVER_LIMIT + band),
    }


def mirrored(found: list[tuple[HipLinePlayer, Outcome]], seed: int) -> dict[str, Any]:
    """Largest change of any probability when every angle of a series changes its sign."""
    worst = 0.0
    for player, outcome in found:
        flipped = [replace(t, hip_line_deg=-t.hip_line_deg) for t in outcome.trials]
        one, other = (
            fit_stance(
                trials,
                options=StanceOptions(),
                stature_mm=player.stature_mm,
                as_arrived_mm={},
                rng=np.random.default_rng(seed),
            )
            for trials in (outcome.trials, flipped)
        )
        changes = [abs(a.p_square - b.p_square) for a, b in zip(one.curve, other.curve, strict=True)]
        changes += [abs(one.families[f].any_square - other.families[f].any_square) for f in FAMILIES]
        worst = max(worst, *changes)
    return {
        "claim": f"mirrored angles leave every chance of square unchanged ({len(found)})",
        "seen": f"{worst:.1e}",
        "limit": "1e-9",
        "held": bool(worst <= 1e-9),
    }


def prove(count: int = 2000, seed: int = 20261125) -> list[dict[str, Any]]:
    """Rows (claim, seen, limit, held): half the players from the prior, half from other shapes."""
    full = count >= 2000
    half = count // 2
    prior = outcomes(player_from_prior, half, seed)
    shaped = outcomes(player_from_shape, count - half, seed + 1)
    never = outcomes(player_never_square, count, seed + 2)
    confirmed = after_confirming(prior + shaped, seed + 3)
    both = np.concatenate([stated_and_true(prior), stated_and_true(shaped)])
    return [
        *calibration("at the stop, all players", both, BINS, full=full),
        *calibration("at the stop, curves from the prior", stated_and_true(prior), BINS // 2, full=full),
        *calibration("at the stop, curves of other shapes", stated_and_true(shaped), BINS // 2, full=full),
        *calibration("with confirming placements counted", confirmed, BINS, full=full),
        never_called_square(never, full=full),
        mirrored((prior + shaped)[:: max(1, count // 100)], seed),
    ]
