"""A bag of 14 clubs fitted from 200 grips with 13 layers in two zones, beside the same search by brute force.

The peer works out every profile of every pair of layers with numpy, all stations at once, and takes the best
that has no bulge and goes over the shaft. Both see the same benches; the peer gives the answers alone,
without masses, errors and notes. It runs on two clubs, and its time is scaled to fourteen.
"""

import time
from statistics import median
from typing import Any

import numpy as np

from evenground.fit.grip import GripWanted, entered_diameters
from evenground.fit.grip_bench import bench_of, tape_thickness_mm
from evenground.fit.grip_build import fit_grip
from evenground.fit.grip_types import GripFit
from evenground.stock import GripSection, Stock, StockGrip, Tape
from evenground.visit import OwnClub

GRIPS, LAYERS, CLUBS, PEER_CLUBS = 200, 13, 14, 2
LIMIT_S = 1.0
WIDEST_MM, RISE_MM, BORE_STRETCH = 44.45, 0.2, 1.30
REPEATS = 5


def run() -> dict[str, Any]:
    """Time both; the answers have to agree first."""
    rng = np.random.default_rng(20261125)
    stock, clubs = _stock(rng), [_club(rng, i) for i in range(CLUBS)]
    wanted = entered_diameters(23.6, 22.1)
    ours = [fit_grip(wanted, stock, club) for club in clubs]
    for fitted, club in zip(ours[:PEER_CLUBS], clubs, strict=False):
        _assert_same(fitted, by_force(wanted, stock, club))
    times = [_seconds(lambda: [fit_grip(wanted, stock, club) for club in clubs]) for _ in range(REPEATS)]
    force_s = _seconds(lambda: [by_force(wanted, stock, c) for c in clubs[:PEER_CLUBS]]) * CLUBS / PEER_CLUBS
    seconds = median(times)
    return {
        "promises": [
            {
                "promise": f"{CLUBS} clubs from {GRIPS} grips x 2 zones x {LAYERS} layers",
                "ours": f"{seconds:.2f} s ({min(times):.2f} to {max(times):.2f})",
                "beside": f"{force_s:.1f} s by brute force in numpy",
                "limit": f"{LIMIT_S:g} s",
                "held": seconds <= LIMIT_S,
            }
        ],
    }


def _seconds(work: Any) -> float:
    started = time.perf_counter()
    work()
    return time.perf_counter() - started


def _assert_same(fitted: GripFit, force: dict[str, float]) -> None:
    found = {b.grip: b.error_mm for b in fitted.builds if b.error_mm is not None}
    assert found.keys() == force.keys()
    for mark, error in force.items():
        assert abs((found[mark] or 0.0) - error) < 1e-9, (mark, found[mark], error)


def by_force(wanted: GripWanted, stock: Stock, club: OwnClub) -> dict[str, float]:
    """Smallest error of each grip over every pair of layers that may be built."""
    assert wanted.upper_mm is not None
    assert wanted.lower_mm is not None
    counts = np.arange(1, stock.tape.most_layers + 1)
    upper, lower = (part.reshape(-1, 1) for part in np.meshgrid(counts, counts, indexing="ij"))
    found = {}
    for grip in stock.grips:
        bench = bench_of(grip, stock.tape, club)
        inside = bench.shaft_mm + 2.0 * tape_thickness_mm(stock.tape, upper + (lower - upper) * bench.share)
        profiles = np.sqrt(bench.rubber_mm2 + inside**2)
        rises = np.max(profiles - np.minimum.accumulate(profiles, axis=1), axis=1)
        fits = (rises <= RISE_MM) & (np.max(inside / bench.core_mm, axis=1) <= BORE_STRETCH)
        off = (profiles[:, bench.at_upper] - wanted.upper_mm.value) ** 2
        off += (profiles[:, bench.at_lower] - wanted.lower_mm.value) ** 2
        narrow = fits & (profiles.max(axis=1) <= WIDEST_MM)
        may = narrow if narrow.any() else fits
        if may.any():
            found[grip.mark] = float(np.sqrt(off[may].min() / 2.0))
    return found


def _stock(rng: np.random.Generator) -> Stock:
    tape = Tape(double_sided_mm=0.127, build_up_mm=0.127, layer_mass_g=1.5, most_layers=LAYERS)
    return Stock(tape=tape, grips=tuple(_grip(rng, i) for i in range(GRIPS)))


def _grip(rng: np.random.Generator, number: int) -> StockGrip:
    """A grip of the trade's range; a few grow going down and need less tape below."""
    top, slope = rng.uniform(21.5, 26.0), rng.uniform(-0.001, 0.022)
    return StockGrip(
        mark=f"grip {number}",
        length_mm=267.0,
        mass_g=float(rng.uniform(35.0, 60.0)),
        installed_length_mm=float(267.0 * rng.uniform(0.99, 1.04)) if number % 3 == 0 else None,
        sections=tuple(
            GripSection(
                station_mm=z,
                outside_mm=float(top - slope * z + rng.uniform(-0.05, 0.05)),
                core_mm=float(rng.uniform(14.4, 15.3)),
            )
            for z in (20.0, 75.0, 130.0, 190.0, 250.0)
        ),
    )


def _club(rng: np.random.Generator, number: int) -> OwnClub:
    upper = float(rng.uniform(14.5, 15.6))
    return OwnClub(
        mark=f"club {number}",
        family="irons",
        butt_upper_mm=upper,
        butt_lower_mm=upper - float(rng.uniform(0.3, 0.8)),
        total_mass_g=420.0,
        balance_mm=690.0,
        grip_mass_g=50.0,
    )
