"""The whole chain against players whose truth is known: pooled placements, and visits seen in a mirror."""

import re
from collections.abc import Iterator
from io import BytesIO
from typing import Any

import numpy as np

from evenground.assess import assess
from evenground.estimate import Estimate
from evenground.findings import Findings
from evenground.measure.ground import Ground, describe, pool_placements
from evenground.simulate.player import simulate_player
from evenground.simulate.player_files import blobs_of
from evenground.simulate.player_ground import ground_truth, stand
from evenground.simulate.player_scenario import FootTruth, OwnStance, Scenario, SimulatedVisit

__all__ = ["mirrored_cards", "pooled_intervals", "prove"]

_SHORT = Scenario(placements=1, placement_s=1.0, text_grid=False)
_STEPPING = Scenario(placements=3, placement_s=2.0, rate_hz=15.0, text_grid=False)
_SWAP = {"left": "right", "right": "left"}


def _fitted(made: SimulatedVisit) -> Findings:
    blobs = blobs_of(made)
    return assess(made.visit, made.studio, lambda name: BytesIO(blobs[name]))


def _swapped(text: str) -> str:
    """The sentence about the mirror image; a range over both sides still starts on the left."""
    other = " ".join(_SWAP.get(word, word) for word in text.split(" "))
    return re.sub(r"between (\S+) right and (\S+) left", r"between \2 left and \1 right", other)


def mirrored_cards(count: int, seed: int) -> int:
    """How many of `count` players get the mirrored card, word for word, when their visit is mirrored."""
    alike = 0
    for k in range(count):
        right, left = (
            _fitted(simulate_player(seed + k, handed=h, scenario=_SHORT)) for h in ("right", "left")
        )
        lines = [(line.key, line.answer, _swapped(line.now)) for line in right.card]
        alike += lines == [(line.key, line.answer, line.now) for line in left.card]
    return alike


def _own(rng: np.random.Generator) -> OwnStance:
    width, lead, trail = rng.uniform((260.0, 5.0, 0.0), (430.0, 25.0, 15.0))
    return OwnStance(width_mm=width, toe_out_lead_deg=lead, toe_out_trail_deg=trail)


def _pooled(rng: np.random.Generator) -> Iterator[tuple[Ground, FootTruth]]:
    """Three placements of each kind, pooled, beside how the player stands on average."""
    truths = ground_truth(rng, _own(rng), fitted_mm=float(rng.uniform(260.0, 430.0)))
    stood = stand(rng, truths, _STEPPING, shoe_mm=295.0, foot_mm=262.0, mass_kg=72.0)
    for kind, truth in truths.items():
        own = [s for s in stood if s.placement.recording.startswith(f"mat/{kind}-")]
        yield pool_placements([describe(s.recording, handed="right", mass_kg=72.0) for s in own]), truth


def pooled_intervals(count: int, seed: int) -> dict[str, float]:
    """Share of pooled stances whose 95 % interval holds how the player stands on average."""
    held: dict[str, list[bool]] = {"width": [], "toe-out": [], "load": []}

    def note(what: str, found: Estimate | None, truth: float) -> None:
        held[what].append(found is not None and found.interval(0.95).holds(truth))

    for k in range(count):
        for ground, truth in _pooled(np.random.default_rng((seed, k))):
            note("width", ground.stance_width_mm.heel_centres, truth.width_mm)
            note("toe-out", ground.feet.left.toe_out_deg, truth.toe_out_left_deg)
            note("load", ground.feet.left.load_percent, truth.load_left_percent)
    return {what: float(np.mean(inside)) for what, inside in held.items()}


def prove(count: int, seed: int) -> list[dict[str, Any]]:
    """Rows for docs/proof.md: a tenth of `count` players on the mat, a fortieth in the mirror."""
    players, mirrored = max(count // 10, 4), max(count // 40, 2)
    rows = []
    for what, share in pooled_intervals(players, seed).items():
        wide = 3.0 * (0.95 * 0.05 / (3 * players)) ** 0.5
        low, high = 0.95 - max(0.02, wide), min(0.95 + max(0.02, wide), 1.0)
        rows.append(
            {
                "claim": f"95 % interval of {what}, three placements pooled, {3 * players} stances",
                "seen": f"{100.0 * share:.1f} %",
                "limit": f"{100.0 * low:.1f} to {100.0 * high:.1f} %",
                "held": low <= share <= high,
            }
        )
    alike = mirrored_cards(mirrored, seed)
    rows.append(
        {
            "claim": f"mirrored visit gives the mirrored card, {mirrored} players",
            "seen": f"{alike} of {mirrored}",
            "limit": f"{mirrored} of {mirrored}",
            "held": alike == mirrored,
        }
    )
    return rows
