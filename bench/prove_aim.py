"""Known truth: how often the stated errors of simulated aims hold it, and how often the chance comes true."""

import math
from typing import Any

import numpy as np

from bench.rows import share_row
from evenground.fit.aim import AimFit, fit_aim
from evenground.fit.aim_angle import miss_mm
from evenground.fit.aim_compare import compare_aims
from evenground.fit.full_swing import full_swing_aim
from evenground.visit import AimCheck, AimTrial, FullSwingAim

MOST_FALSE = 0.06  # *changed* is two-sided at 5 %
DISTANCE_M, TARGET_M = 2.0, 150.0
CHECK = AimCheck(distance_m=DISTANCE_M, trials=())


def prove(count: int, seed: int) -> list[dict[str, Any]]:
    """Rows for `count` simulated players, each aiming 4 to 10 times with a bias and a spread of their own.

    Each aims a second way too: half of them alike, half with another bias and spread.
    """
    rng = np.random.default_rng(seed)
    held, steady, inside_held, said, came = 0, 0, 0, 0.0, 0
    false, ratio, change, metres = 0, 0, 0, 0
    for player in range(count):
        bias, spread = _truth(rng)
        fit = _fit(rng, bias, spread)
        truth = _inside(fit, bias, spread)
        held += fit.bias_deg.interval().holds(bias)
        steady += fit.spread_interval.holds(spread)
        inside_held += fit.inside_interval.holds(truth)
        said += fit.inside_probability.value
        came += abs(rng.normal(bias, spread)) <= fit.window_deg
        other_bias, other_spread = (bias, spread) if player % 2 else _truth(rng)
        other = _fit(rng, other_bias, other_spread)
        found = compare_aims(("one", fit), ("other", other))
        false += player % 2 and found.word == "changed"
        ratio += found.spread_ratio.holds(other_spread / spread)
        change += found.inside_change.holds(_inside(other, other_bias, other_spread) - truth)
        metres += _metres_hold(rng, bias, spread)
    # Below the full count four binomial SDs widen the limits.
    room = 4.0 * math.sqrt(0.05 * 0.95 / count) if count < 2000 else 0.0
    gap, gap_limit = said / count - came / count, 0.02 + 4.0 * math.sqrt(0.25 / count)
    most = MOST_FALSE + 4.0 * math.sqrt(0.05 * 0.95 / (count // 2)) * (count < 2000)
    wrong = false / (count // 2)
    return [
        share_row("95 % range of the spread holds the truth", steady / count, room=room),
        share_row("95 % interval of aim bias holds the truth", held / count, room=room),
        share_row("95 % range of the chance inside holds the truth", inside_held / count, room=room),
        {
            "claim": "chance of the next aim inside, said less come true",
            "seen": f"{gap:+.3f}",
            "limit": f"within {gap_limit:.3f}",
            "held": abs(gap) <= gap_limit,
        },
        {
            "claim": "two ways of aiming that are alike read changed",
            "seen": f"{wrong:.3f}",
            "limit": f"at most {most:.3f}",
            "held": bool(wrong <= most),
        },
        share_row("95 % range of the ratio of spreads holds the truth", ratio / count, room=room),
        share_row(
            "95 % range of the change of the chance holds the truth",
            change / count,
            room=room,
        ),
        share_row("95 % interval in metres at the target holds the truth", metres / count, room=room),
    ]


def _truth(rng: np.random.Generator) -> tuple[float, float]:
    return rng.uniform(-1.5, 1.5), math.exp(rng.uniform(math.log(0.3), math.log(1.5)))


def _fit(rng: np.random.Generator, bias: float, spread: float) -> AimFit:
    angles = rng.normal(bias, spread, int(rng.integers(4, 11)))
    trials = [AimTrial(trial=i, offset_mm=miss_mm(a, DISTANCE_M)) for i, a in enumerate(angles, 1)]
    return fit_aim(trials, CHECK, handed="right")


def _inside(fit: AimFit, bias: float, spread: float) -> float:
    sides = [(w - bias) / spread / math.sqrt(2.0) for w in (fit.window_deg, -fit.window_deg)]
    return 0.5 * (math.erf(sides[0]) - math.erf(sides[1]))


def _metres_hold(rng: np.random.Generator, bias: float, spread: float) -> bool:
    aims = [
        FullSwingAim(trial=i, club="7 iron", target_m=TARGET_M, face_deg=float(a))
        for i, a in enumerate(rng.normal(bias, spread, 4), 1)
    ]
    miss = full_swing_aim(aims, CHECK, handed="right").clubs[0].miss_m
    return miss is not None and miss.interval().holds(miss_mm(bias, TARGET_M) / 1000.0)
