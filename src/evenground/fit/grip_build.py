r"""Which grip with how much tape comes nearest to what the hands want: an exact search over the stock.

Tape goes on in two zones. Under the upper hand lie `upper` layers and under the lower hand `lower`; between
them the layers end one after another, so that the thickness blends::

      layers  3 3 3 3 3 3 \
                            2 2 \
                                 1 1 1 1 1 1 1 1
      cap ------[upper]----blend----[lower]---- mouth

Every layer counts, the double-sided one first. A build whose profile would grow going down the shaft is never
proposed.
"""

import math
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from evenground.errors import FitError
from evenground.fit.clubs import (
    check_grip_length,
    check_grip_width,
    hand_moment_n_m,
    swing_weight_points,
)
from evenground.fit.grip import GripWanted
from evenground.fit.grip_constants import (
    BORE_SE_MM,
    BUTT_SE_MM,
    MOULD_SE_MM,
    PROFILE_STEP_MM,
    PROFILE_TOLERANCE_MM,
    TAPE_SE_SHARE,
    WANTED_SE_MM,
)
from evenground.fit.grip_types import GripBuild, GripFit, Layers, UnderHands
from evenground.stock import Stock, StockGrip, Tape
from evenground.visit import OwnClub

__all__ = ["EmptyStockError", "fit_grip", "zone_shares"]

FloatArray: TypeAlias = npt.NDArray[np.float64]

MEASURE = "measure"

_BUTT_LIMITS_MM = (8.0, 25.0)  # beyond every shaft made: a slip or another unit


class EmptyStockError(FitError):
    """A stock list without a grip for this club family."""

    do = "Add a grip to the stock list, or check the families it is meant for."

    def __init__(self, family: str) -> None:
        super().__init__(family)
        self.what = f"The stock list holds no grip for the {family}."


@dataclass(frozen=True, slots=True, kw_only=True)
class _Bench:
    """One grip on one butt, sampled down the shaft: everything but the tape.

    Arrays (S,) run from the first to the last section of the grip and contain both hands' stations.
    """

    grip: StockGrip
    tape: Tape
    z_mm: FloatArray
    rubber_mm2: FloatArray
    shaft_mm: FloatArray
    share: FloatArray
    at_upper: int
    at_lower: int


def zone_shares(z_mm: FloatArray, upper_mm: float, lower_mm: float) -> FloatArray:
    """How far the tape has changed over from the upper zone (0) to the lower zone (1) at each station.

    The layers end one by one along the middle half of the way between the hands.

    Parameters
    ----------
    z_mm
        (S,) stations below the cap.
    upper_mm, lower_mm
        Where the hands sit, ``upper_mm < lower_mm``.
    """
    quarter = (lower_mm - upper_mm) / 4.0
    return np.asarray(np.clip((z_mm - upper_mm - quarter) / (2.0 * quarter), 0.0, 1.0))


def fit_grip(
    wanted: GripWanted, stock: Stock, club: OwnClub, *, worn_grip_mass_g: float | None = None
) -> GripFit:
    """Best build of every grip in the stock on this club, nearest to what the hands want first.

    Exact: every grip with every number of layers under each hand is worked out. Order: smallest error under
    both hands, then mass; a build that the Rules do not allow comes after all that they may.

    Parameters
    ----------
    wanted
        Diameters under the hands.
    stock
        Grips and tape.
    club
        Its butt at the two places where the hands sit; without both no layers can be counted.
    worn_grip_mass_g
        Mass of the grip and tape on the club now, 0 for a bare club; needed for the swing weight.

    Raises
    ------
    EmptyStockError
        If no grip in the stock is meant for the club's family.

    Notes
    -----
    Diameters are expected ones: measure after fitting.
    """
    grips = [g for g in stock.grips if club.family in g.families]
    if not grips:
        raise EmptyStockError(club.family)
    built, unknown = [], []
    for grip in grips:
        reason = _cannot_work_out(grip, club)
        bench = None if reason else _bench(grip, stock.tape, club)
        best = _best(bench, wanted) if bench is not None else None
        if bench is None:
            unknown.append(_only_measure(grip, club, reason or ""))
        elif best is None:
            unknown.append(_only_measure(grip, club, "its own profile has a bulge or waist on this butt"))
        else:
            built.append(_finished(bench, best, wanted, club, worn_grip_mass_g))
    built.sort(key=lambda b: (b.conforming is False, b.error_mm, b.added_mass_g))
    reached, notes = _reach(built, wanted, club)
    return GripFit(wanted=wanted, builds=(*built, *unknown), reached=reached, notes=(*wanted.notes, *notes))


def _cannot_work_out(grip: StockGrip, club: OwnClub) -> str | None:
    """Why the volume law says nothing about this grip on this butt."""
    if grip.shape != "round":
        return "not round: measure its width and depth on the shaft"
    if grip.material == "foam":
        return "foam does not keep its volume: measure it on the shaft"
    if club.butt_upper_mm is None or club.butt_lower_mm is None:
        return "the butt is not known: measure the bare shaft where each hand sits"
    butts = (club.butt_upper_mm, club.butt_lower_mm)
    if not all(_BUTT_LIMITS_MM[0] <= butt <= _BUTT_LIMITS_MM[1] for butt in butts):
        return f"no shaft has a butt of {butts[0]:g} and {butts[1]:g} mm: measure the bare shaft again"
    if not club.upper_station_mm < club.lower_station_mm:
        return "the lower hand sits above the upper one: measure where the hands sit"
    first, last = grip.sections[0].station_mm, grip.sections[-1].station_mm
    if not (first <= club.upper_station_mm and club.lower_station_mm <= last):
        return (
            f"its profile is known from {first:g} to {last:g} mm and the hands sit at "
            f"{club.upper_station_mm:g} and {club.lower_station_mm:g} mm: measure it there"
        )
    return None


def _bench(grip: StockGrip, tape: Tape, club: OwnClub) -> _Bench:
    knots = [s.station_mm for s in grip.sections]
    hands = [club.upper_station_mm, club.lower_station_mm]
    quarter = (hands[1] - hands[0]) / 4.0
    bends = [*knots, *hands, hands[0] + quarter, hands[1] - quarter]  # where the profile may turn
    z = np.unique(np.concatenate([np.arange(knots[0], knots[-1], PROFILE_STEP_MM.value), bends]))
    outside = np.interp(z, knots, [s.outside_mm for s in grip.sections])
    core = np.interp(z, knots, [s.core_mm for s in grip.sections])
    upper, lower = club.butt_upper_mm or 0.0, club.butt_lower_mm or 0.0
    slope = (lower - upper) / (hands[1] - hands[0])
    return _Bench(
        grip=grip,
        tape=tape,
        z_mm=z,
        rubber_mm2=(outside**2 - core**2) / grip.stretch,
        shaft_mm=upper + slope * (z - hands[0]),
        share=zone_shares(z, hands[0], hands[1]),
        at_upper=int(np.searchsorted(z, hands[0])),
        at_lower=int(np.searchsorted(z, hands[1])),
    )


def _thickness_mm(tape: Tape, layers: FloatArray) -> FloatArray:
    """Tape on the shaft; the first layer is double-sided, a part layer is one that ends nearby."""
    return tape.double_sided_mm + (layers - 1.0) * tape.build_up_mm


def _profile_mm(bench: _Bench, upper: int, lower: int) -> FloatArray:
    """(S,) outside diameter down the shaft; the volume law of `installed_mm` at every station."""
    tape = _thickness_mm(bench.tape, upper + (lower - upper) * bench.share)
    return np.asarray(np.sqrt(bench.rubber_mm2 + (bench.shaft_mm + 2.0 * tape) ** 2))


def _rise_mm(profile: FloatArray) -> float:
    """`profile_rise_mm` of a whole array at once."""
    return float(np.max(profile - np.minimum.accumulate(profile)))


def _error_mm(profile: FloatArray, bench: _Bench, wanted: GripWanted) -> float:
    pairs = ((bench.at_upper, wanted.upper_mm), (bench.at_lower, wanted.lower_mm))
    errors = [float(profile[at]) - want.value for at, want in pairs if want is not None]
    return math.sqrt(sum(e * e for e in errors) / len(errors))


def _tape_mass_g(bench: _Bench, layers: Layers) -> float:
    """Mass of the tape: one layer's along the grip, times the layers there are on average."""
    share = float(np.trapezoid(bench.share, bench.z_mm) / (bench.z_mm[-1] - bench.z_mm[0]))
    return bench.tape.layer_mass_g * (layers.upper + (layers.lower - layers.upper) * share)


def _best(bench: _Bench, wanted: GripWanted) -> Layers | None:
    """Layers with the smallest error, then the least tape; None when every profile has a bulge."""
    counts = range(1, bench.tape.most_layers + 1)
    one_zone = wanted.upper_mm is None or wanted.lower_mm is None
    best: tuple[bool, float, float] | None = None
    chosen: Layers | None = None
    for upper in counts:
        for lower in (upper,) if one_zone else counts:
            profile = _profile_mm(bench, upper, lower)
            if _rise_mm(profile) > PROFILE_TOLERANCE_MM.value:
                continue
            layers = Layers(upper=upper, lower=lower)
            wide = check_grip_width(float(profile.max())).answer != "conforms"
            rank = (wide, _error_mm(profile, bench, wanted), _tape_mass_g(bench, layers))
            if best is None or rank < best:
                best, chosen = rank, layers
    return chosen


def _built_se_mm(bench: _Bench, at: int, layers: int, built_mm: float) -> float:
    """Standard error of one built diameter, through the volume law.

    Source: JCGM 100:2008 (GUM), 5.1.2, on the derivatives of the law.
    """
    inside = float(bench.shaft_mm[at] + 2.0 * _thickness_mm(bench.tape, np.array(float(layers))))
    tapes = math.hypot(bench.tape.double_sided_mm, (layers - 1) * bench.tape.build_up_mm)
    station = float(bench.z_mm[at])
    sections = bench.grip.sections
    outside = float(np.interp(station, [s.station_mm for s in sections], [s.outside_mm for s in sections]))
    core = float(np.interp(station, [s.station_mm for s in sections], [s.core_mm for s in sections]))
    stretch = bench.grip.stretch
    parts = (
        inside * BUTT_SE_MM.value,
        inside * 2.0 * TAPE_SE_SHARE.value * tapes,
        outside / stretch * MOULD_SE_MM.value,
        core / stretch * BORE_SE_MM.value,
    )
    return math.hypot(*parts) / built_mm


def _finished(
    bench: _Bench, layers: Layers, wanted: GripWanted, club: OwnClub, worn_grip_mass_g: float | None
) -> GripBuild:
    profile = _profile_mm(bench, layers.upper, layers.lower)
    at = {"upper": bench.at_upper, "lower": bench.at_lower}
    held = {"upper": wanted.upper_mm is not None, "lower": wanted.lower_mm is not None}
    built = {hand: float(profile[i]) if held[hand] else None for hand, i in at.items()}
    count = {"upper": layers.upper, "lower": layers.lower}
    se = {
        hand: None if size is None else _built_se_mm(bench, at[hand], count[hand], size)
        for hand, size in built.items()
    }
    mass_g = bench.grip.mass_g + _tape_mass_g(bench, layers)
    balance, total_g, weigh_note = _balance(bench, mass_g, club, worn_grip_mass_g)
    conforming, rule_notes = _conforming(bench, profile, max(s for s in se.values() if s is not None))
    hands_mm = (club.upper_station_mm + club.lower_station_mm) / 2.0
    weighed = balance is not None and total_g is not None
    putter = club.family == "putter"
    return GripBuild(
        grip=bench.grip.mark,
        layers=layers,
        built_mm=UnderHands(**built),
        built_se_mm=UnderHands(**se),
        error_mm=_error_mm(profile, bench, wanted),
        taper_mm=float(profile[bench.at_upper] - profile[bench.at_lower]),
        added_mass_g=mass_g,
        balance_mm=balance,
        swing_weight_points=swing_weight_points(total_g or 0.0, balance or 0.0)
        if weighed and not putter
        else None,
        hand_moment_n_m=hand_moment_n_m(total_g or 0.0, balance or 0.0, hands_mm)
        if weighed and putter
        else None,
        conforming=conforming,
        notes=(*rule_notes, *weigh_note, *_shape_notes(bench, layers, club)),
    )


def _balance(
    bench: _Bench, mass_g: float, club: OwnClub, worn_grip_mass_g: float | None
) -> tuple[float | None, float | None, tuple[str, ...]]:
    """Balance point from the butt and mass of the finished club; None with a note when it was not weighed."""
    if club.total_mass_g is None or club.balance_mm is None or worn_grip_mass_g is None:
        return None, None, ("No swing weight: needs the club's mass, balance and its present grip's mass.",)
    rubber = bench.rubber_mm2
    centre_mm = float(np.trapezoid(rubber * bench.z_mm, bench.z_mm) / np.trapezoid(rubber, bench.z_mm))
    # The grip that comes off is taken to have its mass at the same place as the one that goes on.
    total_g = club.total_mass_g - worn_grip_mass_g + mass_g
    moment = club.total_mass_g * club.balance_mm + (mass_g - worn_grip_mass_g) * centre_mm
    return moment / total_g, total_g, ()


def _conforming(bench: _Bench, profile: FloatArray, se_mm: float) -> tuple[bool | None, tuple[str, ...]]:
    verdicts = (check_grip_width(float(profile.max()), se_mm=se_mm), check_grip_length(bench.grip.length_mm))
    notes = tuple(f"{v.rule}: {v.answer} ({v.text})." for v in verdicts if v.answer != "conforms")
    answers = {v.answer for v in verdicts}
    if "does not conform" in answers:
        return False, notes
    return (None if "cannot certify" in answers else True), notes


def _shape_notes(bench: _Bench, layers: Layers, club: OwnClub) -> tuple[str, ...]:
    notes = []
    if layers.upper != layers.lower:
        quarter = (club.lower_station_mm - club.upper_station_mm) / 4.0
        start, end = club.upper_station_mm + quarter, club.lower_station_mm - quarter
        notes.append(f"End the layers one by one between {start:.0f} and {end:.0f} mm below the cap.")
    if bench.grip.installed_length_mm is not None:
        notes.append(f"Pull it to {bench.grip.installed_length_mm:g} mm.")
    return tuple(notes)


def _only_measure(grip: StockGrip, club: OwnClub, reason: str) -> GripBuild:
    """A grip that the law says nothing about: no layers, only what to measure."""
    not_round = grip.shape != "round" and club.family != "putter"
    rule = ("grip shape: does not conform (only a putter's grip may be other than round).",)
    return GripBuild(
        grip=grip.mark,
        layers=None,
        built_mm=None,
        built_se_mm=None,
        error_mm=None,
        taper_mm=None,
        added_mass_g=None,
        balance_mm=None,
        swing_weight_points=None,
        hand_moment_n_m=None,
        conforming=False if not_round else None,
        notes=(f"{MEASURE}: {reason}.", *(rule if not_round else ())),
    )


def _reach(built: list[GripBuild], wanted: GripWanted, club: OwnClub) -> tuple[bool | None, tuple[str, ...]]:
    """Whether the nearest build is near enough, and if not what is missing under which hand."""
    if not built:
        if club.butt_upper_mm is None or club.butt_lower_mm is None:
            return None, ("Unknown butt: no layers can be counted until the bare shaft is measured.",)
        return None, ("No grip in the stock can be worked out: measure each on the shaft.",)
    best = built[0]
    missing = []
    for hand, want in (("upper", wanted.upper_mm), ("lower", wanted.lower_mm)):
        size = getattr(best.built_mm, hand)
        off = 0.0 if want is None or size is None else size - want.value
        if abs(off) > WANTED_SE_MM.value:
            word = "thick" if off > 0.0 else "thin"
            missing.append(f"{abs(off):.1f} mm too {word} under the {hand} hand")
    if not missing:
        return True, ()
    said = f"The stock cannot reach the wanted size: the nearest, {best.grip}, is {' and '.join(missing)}."
    return False, (said,)
