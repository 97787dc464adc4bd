"""Known truth: how often the stated errors of simulated turns and of their slopes hold it."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, Literal

import numpy as np

from bench.rows import share_row
from evenground.fit.turn import turn_response
from evenground.measure.turn import turn_ranges
from evenground.visit import TurnReading

WIDTHS_MM = (300.0, 300.0, 360.0, 420.0, 420.0, 480.0, 540.0, 540.0)


def prove(count: int, seed: int) -> list[dict[str, Any]]:
    """Rows for `count` simulated players: three turns to each side, then eight over five widths."""
    rng = np.random.default_rng(seed)
    sides, apart, slopes, own = 0, 0, 0, 0
    for _ in range(count):
        lead, trail, sd = rng.normal(46.0, 6.0), rng.normal(50.0, 6.0), rng.uniform(1.0, 3.0)
        readings = [*_turns(rng, "lead", [lead] * 3, sd), *_turns(rng, "trail", [trail] * 3, sd)]
        found = turn_ranges(readings, known_sd_deg=sd)
        if found.lead.mean_deg is not None and found.difference_deg is not None:
            sides += found.lead.mean_deg.interval().holds(lead)
            apart += found.difference_deg.interval().holds(lead - trail)
        slope = rng.normal(-3.0, 3.0)
        widths = rng.permutation(WIDTHS_MM)
        varied = _turns(rng, "lead", [50.0 + slope * w / 100.0 for w in widths], sd)
        varied = [replace(t, width_mm=float(w)) for t, w in zip(varied, widths, strict=True)]
        slopes += _holds(varied, slope, sd)
        own += _holds(varied, slope, 1e-6)  # no studio is so fine: the turns' own scatter is used
    room = 4.0 * np.sqrt(0.05 * 0.95 / count) if count < 2000 else 0.0
    return [
        share_row("95 % interval of a mean turn holds the truth", sides / count, room=room),
        share_row("95 % interval of the two sides' difference holds the truth", apart / count, room=room),
        share_row(
            "95 % interval of a width's slope holds the truth, studio studied", slopes / count, room=room
        ),
        share_row("95 % interval of a width's slope holds the truth, own scatter", own / count, room=room),
    ]


def _turns(
    rng: np.random.Generator, toward: Literal["lead", "trail"], means: Sequence[float], sd: float
) -> list[TurnReading]:
    return [TurnReading(toward=toward, turn_deg=float(rng.normal(m, sd))) for m in means]


def _holds(readings: Sequence[TurnReading], slope: float, sd: float) -> bool:
    found = turn_response(readings, known_sd_deg=sd).slopes[0].slope
    return found is not None and found.interval().holds(slope)
