"""Known truth: how often the grip check prefers a grip on noise, and finds a difference that is there.

Every simulated check is looked at after each pair from the third to the twelfth, and ends at the first word.
"""

from typing import Any

import numpy as np

from evenground.fit.grip_check import GripErrors, GripVerdict, grip_verdict
from evenground.visit import GripTrial

SEM_DEG = 1.5
MATTERS_DEG = 2.0
FIRST, LAST = 3, 12
MOST_FALSE = 0.05
LEAST_FOUND = 0.90


def prove(count: int, seed: int) -> list[dict[str, Any]]:
    """Rows for `count` simulated checks of each kind."""
    rng = np.random.default_rng(seed)
    room = 4.0 * np.sqrt(MOST_FALSE * (1.0 - MOST_FALSE) / count) if count < 2000 else 0.0
    rows = []
    for times in (0.5, 1.0, 2.0):
        words = [_word(rng, 4.0, 4.0, times, SEM_DEG) for _ in range(count)]
        rows.append(_most(f"prefers on noise, scatter {times:g} times the studio's", "prefer", words, room))
    words = [_word(rng, 4.0, 4.0, 1.0, None) for _ in range(count)]
    rows.append(_most("prefers on noise, studio not studied", "prefer", words, room))
    words = [_word(rng, 2.0, -2.0, 1.0, SEM_DEG) for _ in range(count)]
    rows.append(_most("prefers where both are as far from square", "prefer", words, room))
    words = [_word(rng, 4.0, 4.0 - MATTERS_DEG, 1.0, SEM_DEG) for _ in range(count)]
    rows.append(_most("no real difference at one that matters", "no real difference", words, room))
    words = [_word(rng, 5.0, 0.8, 1.0, SEM_DEG) for _ in range(count)]
    right = np.mean([w.word == "prefer" and w.prefer == "proposed" for w in words])
    least = LEAST_FOUND - (4.0 * np.sqrt(0.09 / count) if count < 2000 else 0.0)
    rows.append(
        {
            "claim": "prefers the grip that is 4.2 deg nearer to square",
            "seen": f"{right:.3f}",
            "limit": f"at least {least:.3f}",
            "held": bool(right >= least),
        }
    )
    return rows


def _word(
    rng: np.random.Generator, own_deg: float, proposed_deg: float, times: float, sem: float | None
) -> GripVerdict:
    """The verdict at which a check ends: the first word that is told, else the last look's."""
    trials: list[GripTrial] = []
    for pair in range(1, LAST + 1):
        shift = rng.normal(0.0, 1.0)  # feet and bar are set anew for each pair
        for grip, mean in (("own", own_deg), ("proposed", proposed_deg)):
            angle = round(2.0 * (mean + shift + rng.normal(0.0, SEM_DEG * times))) / 2.0
            trials.append(GripTrial(pair=pair, club="7 iron", grip=grip, hip_line_deg=angle))  # type: ignore[arg-type]
        if pair >= FIRST:
            errors = GripErrors(hip_line_deg=sem)
            verdict = grip_verdict(trials, glove=True, errors=errors, matters_deg=MATTERS_DEG)
            if verdict.word != "keep testing":
                break
    return verdict


def _most(claim: str, word: str, verdicts: list[GripVerdict], room: float) -> dict[str, Any]:
    seen, most = float(np.mean([v.word == word for v in verdicts])), MOST_FALSE + room
    return {"claim": claim, "seen": f"{seen:.3f}", "limit": f"at most {most:.3f}", "held": bool(seen <= most)}
