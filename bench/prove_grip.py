"""Known truth: how often a build comes out where its sheet said, and the tape is what was learned of it.

Every grip, shaft, roll of tape and calliper differs from what the lists say by its stated standard error,
drawn anew for each build. The truth is worked out here, one station at a time, by the volume law alone; what
the lists say goes through the search that the app uses.
"""

import math
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

import numpy as np

from bench.bench_grip import by_force
from bench.rows import share_row
from evenground.estimate import Estimate
from evenground.fit.grip import entered_diameters
from evenground.fit.grip_bench import tape_se_mm
from evenground.fit.grip_build import fit_grip
from evenground.fit.grip_types import HandLaw
from evenground.fit.tape import AsBuilt, law_mm, learn_tape
from evenground.stock import GripSection, Stock, StockGrip, Tape
from evenground.visit import OwnClub

PLACES_MM = (20.0, 90.0, 160.0, 245.0)
# What the method page states, written down here again so that a changed constant shows.
MOULD_SE, BORE_SE, BUTT_SE, TAPE_SHARE, LENGTH_SE, STATION_SE = 0.15, 0.10, 0.05, 0.10, 1.0, 1.0
CALLIPER_SE = 0.2
TAPE: dict[str, Any] = {"double_sided_mm": 0.127, "build_up_mm": 0.127, "layer_mass_g": 1.5, "most_layers": 8}


@dataclass(frozen=True, slots=True, kw_only=True)
class Truth:
    """How far one build's true things are from what the lists say."""

    mould_mm: float
    bore_mm: float
    butt_mm: tuple[float, float]
    double_mm: float
    build_up_mm: float
    pulled_mm: float
    placed_mm: tuple[float, float]


def prove(count: int, seed: int) -> list[dict[str, Any]]:
    """Rows for `count` builds, each on a shelf, a club and hands of its own."""
    rng = np.random.default_rng(seed)
    held = {"upper": 0, "lower": 0}
    bulges, worst = 0, 0.0
    for _ in range(count):
        stock, club = shelf(rng), some_club(rng)
        wanted = entered_diameters(float(rng.uniform(21.5, 26.0)), float(rng.uniform(20.0, 24.5)))
        fitted = fit_grip(wanted, stock, club)
        best = fitted.builds[0]
        if best.layers is None or best.built_mm is None or best.built_se_mm is None:
            msg = "every shelf of this proof has a grip that can be built"
            raise AssertionError(msg)
        grip = next(g for g in stock.grips if g.mark == best.grip)
        truth = some_truth(rng, stock.tape)
        for i, hand in enumerate(("upper", "lower")):
            size, se = getattr(best.built_mm, hand), getattr(best.built_se_mm, hand)
            true = true_size_mm(grip, stock.tape, club, getattr(best.layers, hand), i, truth)
            held[hand] += abs(true - size) <= 1.96 * se
        rise = profile_rise(fitted)
        worst = max(worst, rise)
        bulges += rise > 0.2 + 1e-3  # a profile is kept to a thousandth
    room = 4.0 * math.sqrt(0.05 * 0.95 / count) if count < 2000 else 0.0
    tape = prove_tape(count, rng)
    search = prove_search(count // 4, rng)
    return [
        *(
            share_row(f"95 % interval of a built diameter, {h} hand", held[h] / count, room=room)
            for h in held
        ),
        {
            "claim": "proposed profiles with a bulge or waist",
            "seen": f"{bulges} of {count}, at most {worst:.2f} mm of rise",
            "limit": "none above 0.2 mm",
            "held": bulges == 0,
        },
        share_row("95 % interval of a learned double-sided layer", tape["double-sided"] / count, room=room),
        share_row("95 % interval of a learned layer of build-up", tape["build-up"] / count, room=room),
        share_row("95 % range of the next size, tape as learned", tape["next built"] / count, room=room),
        {
            "claim": "tape blamed on something else though nothing else was different",
            "seen": f"{tape['called no tape']} of {count}",
            "limit": f"{0.001 * count + 4.0 * math.sqrt(0.001 * count):.0f}",
            "held": tape["called no tape"] <= 0.001 * count + 4.0 * math.sqrt(0.001 * count),
        },
        {
            "claim": "small stocks whose best build is not that of brute force",
            "seen": f"{search['unlike']} of {count // 4} ({search['none']} with none that may be built)",
            "limit": "none",
            "held": search["unlike"] == 0,
        },
        {
            "claim": "small stocks whose best build got worse by one more grip",
            "seen": f"{search['worse']} of {count // 4}",
            "limit": "none",
            "held": search["worse"] == 0,
        },
    ]


def prove_search(count: int, rng: np.random.Generator) -> dict[str, int]:
    """How often the search misses what trying every pair of layers finds, or loses by one more grip.

    Butts run far beyond what fits, and some grips grow going down: some stocks have nothing to build.
    """
    seen = {"unlike": 0, "none": 0, "worse": 0}
    for _ in range(count):
        tape = replace(Tape(**TAPE), most_layers=int(rng.integers(1, 5)))
        grips = tuple(odd_grip(rng, grip) for grip in shelf(rng).grips)
        thicker = float(rng.uniform(0.0, 5.0))
        club = some_club(rng)
        club = replace(
            club,
            butt_upper_mm=(club.butt_upper_mm or 0.0) + thicker,
            butt_lower_mm=(club.butt_lower_mm or 0.0) + thicker,
        )
        wanted = entered_diameters(float(rng.uniform(21.5, 26.0)), float(rng.uniform(20.0, 24.5)))
        best = [
            fit_grip(wanted, Stock(tape=tape, grips=grips[:n]), club).builds[0].error_mm
            for n in range(1, len(grips) + 1)
        ]
        forced = by_force(wanted, Stock(tape=tape, grips=grips), club)
        seen["none"] += not forced
        found = math.inf if best[-1] is None else best[-1]
        seen["unlike"] += not math.isclose(found, min(forced.values(), default=math.inf), abs_tol=1e-9)
        finite = [math.inf if e is None else e for e in best]
        seen["worse"] += any(b > a for a, b in pairwise(finite))
    return seen


def odd_grip(rng: np.random.Generator, grip: StockGrip) -> StockGrip:
    """A grip that grows going down in one of three."""
    grows = float(rng.uniform(0.0, 0.02)) if rng.random() < 1.0 / 3.0 else 0.0
    sections = tuple(
        replace(s, outside_mm=s.outside_mm + 2.0 * grows * (s.station_mm - PLACES_MM[0]))
        for s in grip.sections
    )
    return replace(grip, sections=sections)


def prove_tape(count: int, rng: np.random.Generator) -> dict[str, int]:
    """How often what one to six finished grips tell holds the tape, and the next grip built with it."""
    held = {"double-sided": 0, "build-up": 0, "next built": 0, "called no tape": 0}
    for _ in range(count):
        stock, roll = shelf(rng), some_truth(rng, Tape(**TAPE))
        stock = replace(stock, tape=Tape(**TAPE))
        back: list[AsBuilt] = []
        for piece in range(int(rng.integers(1, 7))):
            back += one_piece(rng, stock, roll, str(piece))
        learned = learn_tape(stock.tape, back)
        truth = {
            "double-sided": TAPE["double_sided_mm"] + roll.double_mm,
            "build-up": TAPE["build_up_mm"] + roll.build_up_mm,
        }
        held["double-sided"] += learned.double_sided_mm.interval().holds(truth["double-sided"])
        held["build-up"] += learned.build_up_mm.interval().holds(truth["build-up"])
        held["called no tape"] += not learned.fits
        (after, *_) = one_piece(rng, replace(stock, tape=learned.tape), roll, "next", told=stock.tape)
        expected = law_mm(after.law, learned.tape.double_sided_mm, learned.tape.build_up_mm)
        doubles, ups = tape_se_mm(learned.tape)
        inside = math.sqrt(expected**2 - after.law.rubber_mm2)
        tapes = 2.0 * inside / expected * math.hypot(doubles, (after.law.layers - 1) * ups)
        se = math.hypot(after.law.other_se_mm, tapes, after.measured_mm.se)
        held["next built"] += abs(after.measured_mm.value - expected) <= 1.96 * se
    return held


def one_piece(
    rng: np.random.Generator, stock: Stock, roll: Truth, piece: str, told: Tape | None = None
) -> list[AsBuilt]:
    """A club built with one roll and measured on return: rubber, shaft and calliper as they happen to be."""
    club = some_club(rng)
    wanted = entered_diameters(float(rng.uniform(22.5, 27.0)), float(rng.uniform(21.0, 25.5)))
    fitted = fit_grip(wanted, stock, club)
    best, making = fitted.builds[0], fitted.making
    assert best.layers is not None
    assert making is not None
    grip = next(g for g in stock.grips if g.mark == best.grip)
    truth = replace(
        some_truth(rng, stock.tape), double_mm=roll.double_mm, build_up_mm=roll.build_up_mm
    )  # another grip and shaft, the same roll
    found = []
    for i, hand in enumerate(("upper", "lower")):
        law: HandLaw = getattr(making, hand)
        size = true_size_mm(grip, told or stock.tape, club, law.layers, i, truth)
        read = Estimate(value=size + rng.normal(0.0, CALLIPER_SE), se=CALLIPER_SE, unit="mm")
        found.append(AsBuilt(piece=piece, law=law, measured_mm=read))
    return found


def shelf(rng: np.random.Generator) -> Stock:
    """Four invented grips and a roll of each tape; the last grip tapers enough to be built on any butt."""
    tape = Tape(
        double_sided_mm=float(rng.uniform(0.08, 0.2)),
        build_up_mm=float(rng.uniform(0.08, 0.2)),
        layer_mass_g=1.5,
        most_layers=8,
    )
    grips = []
    for number in range(4):
        top, slope, core = rng.uniform(22.0, 25.0), rng.uniform(0.008, 0.022), rng.uniform(14.2, 15.4)
        grips.append(
            StockGrip(
                mark=f"grip {number}",
                length_mm=267.0,
                mass_g=50.0,
                installed_length_mm=float(267.0 * rng.uniform(0.99, 1.05)) if rng.random() < 0.5 else None,
                cap_mm=float(rng.choice([0.0, 4.0])),
                sections=tuple(
                    GripSection(
                        station_mm=z,
                        outside_mm=float(top - slope * (z - PLACES_MM[0])),
                        core_mm=float(core - 0.004 * (z - PLACES_MM[0])),
                    )
                    for z in PLACES_MM
                ),
            )
        )
    return Stock(tape=tape, grips=tuple(grips))


def some_club(rng: np.random.Generator) -> OwnClub:
    """A shaft of the trade's range with the hands somewhere on it."""
    upper = float(rng.uniform(14.2, 15.7))
    return OwnClub(
        mark="club",
        family="irons",
        butt_upper_mm=upper,
        butt_lower_mm=upper - float(rng.uniform(0.2, 0.9)),
        upper_station_mm=float(rng.uniform(35.0, 70.0)),
        lower_station_mm=float(rng.uniform(130.0, 190.0)),
    )


def some_truth(rng: np.random.Generator, tape: Tape) -> Truth:
    """One draw of everything that the lists do not know exactly."""
    return Truth(
        mould_mm=rng.normal(0.0, MOULD_SE),
        bore_mm=rng.normal(0.0, BORE_SE),
        butt_mm=(rng.normal(0.0, BUTT_SE), rng.normal(0.0, BUTT_SE)),
        double_mm=rng.normal(0.0, TAPE_SHARE * tape.double_sided_mm),
        build_up_mm=rng.normal(0.0, TAPE_SHARE * tape.build_up_mm),
        pulled_mm=rng.normal(0.0, LENGTH_SE),
        placed_mm=(rng.normal(0.0, STATION_SE), rng.normal(0.0, STATION_SE)),
    )


def true_size_mm(grip: StockGrip, tape: Tape, club: OwnClub, layers: int, hand: int, truth: Truth) -> float:
    """What the calliper would find without an error of its own, by the volume law at one place."""
    stations = (club.upper_station_mm, club.lower_station_mm)
    butts = (club.butt_upper_mm or 0.0, club.butt_lower_mm or 0.0)
    free, pulled = grip.length_mm, grip.installed_length_mm
    stretch = 1.0 if pulled is None else (pulled + truth.pulled_mm) / free
    z = stations[hand] + truth.placed_mm[hand]
    outside = _on_line(z / stretch, [s.outside_mm for s in grip.sections]) + truth.mould_mm
    bore = _on_line(z / stretch, [s.core_mm for s in grip.sections]) + truth.bore_mm
    per_mm = (butts[1] - butts[0]) / (stations[1] - stations[0])
    shaft = butts[hand] + truth.butt_mm[hand] - per_mm * grip.cap_mm
    thick = tape.double_sided_mm + truth.double_mm + (layers - 1) * (tape.build_up_mm + truth.build_up_mm)
    return math.sqrt((outside**2 - bore**2) / stretch + (shaft + 2.0 * thick) ** 2)


def _on_line(z_mm: float, sizes_mm: list[float]) -> float:
    """A size between the first and the last place; these grips taper evenly."""
    part = (z_mm - PLACES_MM[0]) / (PLACES_MM[-1] - PLACES_MM[0])
    return sizes_mm[0] + part * (sizes_mm[-1] - sizes_mm[0])


def profile_rise(fitted: Any) -> float:
    """The most that the proposed profile grows going down, point by point."""
    sizes: list[float] = [p.outside_mm for p in fitted.making.profile]
    return max(size - min(sizes[: i + 1]) for i, size in enumerate(sizes))
