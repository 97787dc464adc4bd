"""Known truth: how often the stated errors of simulated aims hold it, and how often the chance comes true."""

import math
from typing import Any

import numpy as np

from evenground.fit.aim import fit_aim
from evenground.visit import AimCheck, AimTrial

LOW, HIGH = 0.93, 0.97
LOW_CHANCE = 0.92  # from few aims the range of a chance near 1 errs toward caution: what it misses lies above
DISTANCE_M = 2.0


def prove(count: int, seed: int) -> list[dict[str, Any]]:
    """Rows for `count` simulated players, each aiming 4 to 10 times with a bias and a spread of their own."""
    rng = np.random.default_rng(seed)
    held, inside_held, said, came = 0, 0, 0.0, 0
    for _ in range(count):
        bias, spread = rng.uniform(-1.5, 1.5), math.exp(rng.uniform(math.log(0.3), math.log(1.5)))
        angles = rng.normal(bias, spread, int(rng.integers(4, 11)))
        trials = [
            AimTrial(trial=i, offset_mm=1000.0 * DISTANCE_M * math.tan(math.radians(a)))
            for i, a in enumerate(angles, 1)
        ]
        fit = fit_aim(trials, AimCheck(distance_m=DISTANCE_M, trials=()), handed="right")
        sides = [(w - bias) / spread / math.sqrt(2.0) for w in (fit.window_deg, -fit.window_deg)]
        ends = [0.5 * math.erf(z) for z in sides]
        held += fit.bias_deg.interval().holds(bias)
        inside_held += fit.inside_interval.holds(ends[0] - ends[1])
        said += fit.inside_probability.value
        came += abs(rng.normal(bias, spread)) <= fit.window_deg
    # Below the full count four binomial SDs widen the limits.
    room = 4.0 * math.sqrt(0.05 * 0.95 / count) if count < 2000 else 0.0
    gap, gap_limit = said / count - came / count, 0.02 + 4.0 * math.sqrt(0.25 / count)
    return [
        _row("95 % interval of aim bias holds the truth", held / count, LOW, room),
        _row("95 % range of the chance inside holds the truth", inside_held / count, LOW_CHANCE, room),
        {
            "claim": "chance of the next aim inside, said less come true",
            "seen": f"{gap:+.3f}",
            "limit": f"within {gap_limit:.3f}",
            "held": abs(gap) <= gap_limit,
        },
    ]


def _row(claim: str, seen: float, least: float, room: float) -> dict[str, Any]:
    low, high = least - room, min(1.0, HIGH + room)
    return {
        "claim": claim,
        "seen": f"{seen:.3f}",
        "limit": f"{low:.3f} to {high:.3f}",
        "held": low <= seen <= high,
    }
