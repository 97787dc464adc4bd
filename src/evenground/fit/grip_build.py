"""Which grip with how much tape comes nearest to what the hands want: an exact search over the stock.

Round rubber grips follow the volume law on a known butt (`grip_bench`); others count by what was measured on
a shaft (`grip_measured`), or say what to measure.
"""

import math
from dataclasses import dataclass

from evenground.errors import FitError
from evenground.fit.clubs import (
    Verdict,
    check_grip_length,
    check_grip_width,
    hand_moment_n_m,
    swing_weight_points,
)
from evenground.fit.grip import GripWanted
from evenground.fit.grip_bench import (
    Bench,
    bench_of,
    best_layers,
    blend_mm,
    built_se_mm,
    centre_mm,
    hand_law,
    profile_mm,
    profile_points,
    tape_mass_g,
    why_no_layers,
)
from evenground.fit.grip_constants import WANTED_SE_MM
from evenground.fit.grip_measured import by_measure, measured_across_mm, measured_round_mm, measured_verdicts
from evenground.fit.grip_types import (
    GripBuild,
    GripFit,
    GripMaking,
    HandLaw,
    How,
    Layers,
    ProfilePoint,
    UnderHands,
)
from evenground.stock import Stock, StockGrip, Tape
from evenground.visit import OwnClub

__all__ = ["EmptyStockError", "fit_grip"]

_BUTT_LIMITS_MM = (8.0, 25.0)  # beyond every shaft made: a slip or another unit


class EmptyStockError(FitError):
    """A stock list without a grip for this club family."""

    do = "Add a grip to the stock list, or check the families it is meant for."

    def __init__(self, family: str) -> None:
        super().__init__(family)
        self.what = f"The stock list holds no grip for the {family}."


@dataclass(frozen=True, slots=True, kw_only=True)
class _Job:
    """What is the same for every grip tried on one club; `hands` are the stations of those that hold it."""

    wanted: GripWanted
    club: OwnClub
    tape: Tape
    worn_grip_mass_g: float | None
    hands: dict[str, float]


def fit_grip(
    wanted: GripWanted, stock: Stock, club: OwnClub, *, worn_grip_mass_g: float | None = None
) -> GripFit:
    """Best build of every grip in the stock on this club, nearest to what the hands want first.

    Exact: every grip with every number of layers under each hand is considered. Order: smallest error under
    both hands, then mass; a build that the Rules do not allow comes after all that they may.

    Parameters
    ----------
    wanted
        Diameters under the hands.
    stock
        Grips and tape.
    club
        Its butt, as far from the shaft's end as the hands sit from the cap; without both no layers can be
        counted.
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
    places = {"upper": club.upper_station_mm, "lower": club.lower_station_mm}
    job = _Job(
        wanted=wanted,
        club=club,
        tape=stock.tape,
        worn_grip_mass_g=worn_grip_mass_g,
        hands={hand: z for hand, z in places.items() if getattr(wanted, f"{hand}_mm") is not None},
    )
    builds = [_build(grip, job) for grip in grips]
    built = sorted((b for b in builds if b.built_mm is not None), key=_rank)
    unknown = [b for b in builds if b.built_mm is None]
    reached, notes = _reach(built, unknown, wanted, club)
    return GripFit(
        wanted=wanted,
        builds=(*built, *unknown),
        reached=reached,
        notes=(*wanted.notes, *notes),
        making=_making(built[0], next(g for g in grips if g.mark == built[0].grip), job) if built else None,
    )


def _rank(build: GripBuild) -> tuple[bool, float, float]:
    return build.conforming is False, build.error_mm or 0.0, build.added_mass_g or 0.0


def _build(grip: StockGrip, job: _Job) -> GripBuild:
    """The best build of one grip, or what to measure first."""
    if by_measure(grip):
        return _as_measured(grip, job)
    reason = _cannot_work_out(grip, job.club)
    if reason is not None:
        return _only_measure(grip, job, reason)
    bench = bench_of(grip, job.tape, job.club)
    layers = best_layers(bench, job.wanted)
    if layers is None:
        return _without_size(grip, job, "cannot be built", why_no_layers(bench))
    return _by_law(bench, layers, job)


def _cannot_work_out(grip: StockGrip, club: OwnClub) -> str | None:
    """Why the volume law says nothing about this grip on this butt."""
    if club.butt_upper_mm is None or club.butt_lower_mm is None:
        return "the butt is not known: measure the bare shaft where each hand sits"
    butts = (club.butt_upper_mm, club.butt_lower_mm)
    if not all(_BUTT_LIMITS_MM[0] <= butt <= _BUTT_LIMITS_MM[1] for butt in butts):
        return f"no shaft has a butt of {butts[0]:g} and {butts[1]:g} mm: measure the bare shaft again"
    if not club.upper_station_mm < club.lower_station_mm:
        return "the lower hand sits above the upper one: measure where the hands sit"
    first, last = (grip.sections[i].station_mm * grip.stretch for i in (0, -1))
    if not first <= club.upper_station_mm < club.lower_station_mm <= last:
        hands = f"{club.upper_station_mm:g} and {club.lower_station_mm:g} mm"
        return f"its profile is known from {first:g} to {last:g} mm and the hands sit at {hands}"
    return None


def _error_mm(sizes: UnderHands, wanted: GripWanted) -> float:
    pairs = ((sizes.upper, wanted.upper_mm), (sizes.lower, wanted.lower_mm))
    errors = [size - want.value for size, want in pairs if size is not None and want is not None]
    return math.sqrt(sum(e * e for e in errors) / len(errors))


def _by_law(bench: Bench, layers: Layers, job: _Job) -> GripBuild:
    profile = profile_mm(bench, layers)
    at = {"upper": bench.at_upper, "lower": bench.at_lower}
    count = {"upper": layers.upper, "lower": layers.lower}
    built = {h: float(profile[i]) if h in job.hands else None for h, i in at.items()}
    se = {h: None if mm is None else built_se_mm(bench, at[h], count[h], mm) for h, mm in built.items()}
    widest_se = max(s for s in se.values() if s is not None)
    verdicts = (
        check_grip_width(float(profile.max()), se_mm=widest_se),
        check_grip_length(bench.grip.length_mm),
    )
    return _build_of(
        _Pieces(
            grip=bench.grip,
            layers=layers,
            sizes=UnderHands(**built),
            ses=UnderHands(**se),
            taper_mm=float(profile[bench.at_upper] - profile[bench.at_lower]),
            mass_g=bench.grip.mass_g + tape_mass_g(bench, layers),
            centre_mm=centre_mm(bench) - bench.grip.cap_mm,
            verdicts=verdicts,
        ),
        job,
    )


def _as_measured(grip: StockGrip, job: _Job) -> GripBuild:
    """A grip by what was measured on a shaft, or the order to measure it there."""
    if not grip.measured:
        why = "not round" if grip.shape != "round" else "foam does not keep its volume"
        why = "two grips" if grip.gap_mm is not None else why
        return _only_measure(grip, job, f"{why}: measure its width and depth on the shaft")
    found = {h: measured_round_mm(grip, z) for h, z in job.hands.items()}
    for reason in found.values():
        if isinstance(reason, str):
            return _only_measure(grip, job, reason)
    sizes = {h: None if isinstance(f, str) else f[0] for h, f in found.items()}
    ses = {h: None if isinstance(f, str) else f[1] for h, f in found.items()}
    none: dict[str, float | None] = {"upper": None, "lower": None}
    both = UnderHands(**(none | sizes))
    return _build_of(
        _Pieces(
            grip=grip,
            layers=None,
            sizes=both,
            ses=UnderHands(**(none | ses)),
            taper_mm=None if both.upper is None or both.lower is None else both.upper - both.lower,
            mass_g=grip.mass_g + job.tape.layer_mass_g,
            centre_mm=_middle_mm(grip),
            verdicts=(*measured_verdicts(grip, job.club.family), check_grip_length(grip.length_mm)),
        ),
        job,
    )


def _middle_mm(grip: StockGrip) -> float:
    """Where the mass of a grip of even weight sits, from the shaft's end; a gap holds none."""
    length = grip.installed_length_mm or grip.length_mm
    if grip.gap_mm is None:
        return length / 2.0 - grip.cap_mm
    parts = ((0.0, grip.gap_mm[0]), (grip.gap_mm[1], length))
    return sum((b * b - a * a) / 2.0 for a, b in parts) / sum(b - a for a, b in parts) - grip.cap_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pieces:
    """What one build comes to, before the club around it is weighed."""

    grip: StockGrip
    layers: Layers | None
    sizes: UnderHands
    ses: UnderHands
    taper_mm: float | None
    mass_g: float
    centre_mm: float
    verdicts: tuple[Verdict, ...]


def _build_of(pieces: _Pieces, job: _Job) -> GripBuild:
    club = job.club
    total_g, balance = _weighed(pieces, job)
    putter = club.family == "putter"
    weighed = total_g is not None and balance is not None
    hands_mm = sum(job.hands.values()) / len(job.hands) - pieces.grip.cap_mm
    unweighed = (
        () if weighed else ("No swing weight: needs the club's mass, balance and its present grip's mass.",)
    )
    answers = {v.answer for v in pieces.verdicts}
    uncertain = None if "cannot certify" in answers else True
    said = tuple(f"{v.rule}: {v.answer} ({v.text})." for v in pieces.verdicts if v.answer != "conforms")
    return GripBuild(
        grip=pieces.grip.mark,
        how="as measured" if pieces.layers is None else "built",
        layers=pieces.layers,
        built_mm=pieces.sizes,
        built_se_mm=pieces.ses,
        error_mm=_error_mm(pieces.sizes, job.wanted),
        taper_mm=pieces.taper_mm,
        added_mass_g=pieces.mass_g,
        finished_mass_g=total_g,
        balance_mm=balance,
        swing_weight_points=swing_weight_points(total_g or 0.0, balance or 0.0)
        if weighed and not putter
        else None,
        hand_moment_n_m=hand_moment_n_m(total_g or 0.0, balance or 0.0, hands_mm)
        if weighed and putter
        else None,
        conforming=False if "does not conform" in answers else uncertain,
        notes=(*said, *unweighed),
    )


def _weighed(pieces: _Pieces, job: _Job) -> tuple[float | None, float | None]:
    """Mass of the finished club and its balance point from the butt; None when it was not weighed."""
    club, worn = job.club, job.worn_grip_mass_g
    if club.total_mass_g is None or club.balance_mm is None or worn is None:
        return None, None
    # The grip that comes off is taken to have its mass at the same place as the one that goes on.
    total_g = club.total_mass_g - worn + pieces.mass_g
    moment = club.total_mass_g * club.balance_mm + (pieces.mass_g - worn) * pieces.centre_mm
    return total_g, moment / total_g


def _only_measure(grip: StockGrip, job: _Job, reason: str) -> GripBuild:
    """A grip whose size is not known before it is measured."""
    return _without_size(grip, job, "measure", reason)


def _without_size(grip: StockGrip, job: _Job, how: How, reason: str) -> GripBuild:
    """A grip of which nothing can be worked out: no layers, no size."""
    not_round = grip.shape != "round" and job.club.family != "putter"
    rule = ("grip shape: does not conform (only a putter's grip may be other than round).",)
    return GripBuild(
        grip=grip.mark,
        how=how,
        layers=None,
        built_mm=None,
        built_se_mm=None,
        error_mm=None,
        taper_mm=None,
        added_mass_g=None,
        finished_mass_g=None,
        balance_mm=None,
        swing_weight_points=None,
        hand_moment_n_m=None,
        conforming=False if not_round else None,
        notes=(f"{how}: {reason}.", *(rule if not_round else ())),
    )


def _making(best: GripBuild, grip: StockGrip, job: _Job) -> GripMaking:
    """How the best build is made."""
    laws: dict[str, HandLaw | None] = {"upper": None, "lower": None}
    across: dict[str, tuple[float, float] | None] = {"upper": None, "lower": None}
    blend: tuple[float | None, float | None] = (None, None)
    if best.layers is None or best.built_mm is None:
        profile = tuple(
            ProfilePoint(station_mm=s.station_mm, outside_mm=s.width_mm, layers=None) for s in grip.measured
        )
        found = {hand: measured_across_mm(grip, z) for hand, z in job.hands.items()}
        across |= {hand: size for hand, size in found.items() if not isinstance(size, str)}
    else:
        bench = bench_of(grip, job.tape, job.club)
        at = {"upper": bench.at_upper, "lower": bench.at_lower}
        for hand in job.hands:
            count, size = getattr(best.layers, hand), getattr(best.built_mm, hand)
            laws[hand] = hand_law(bench, at[hand], count, size)
        profile = profile_points(bench, best.layers)
        if best.layers.upper != best.layers.lower:
            blend = blend_mm(job.club.upper_station_mm, job.club.lower_station_mm)
    return GripMaking(
        profile=profile,
        upper=laws["upper"],
        lower=laws["lower"],
        installed_length_mm=grip.installed_length_mm or grip.length_mm,
        cap_mm=grip.cap_mm,
        tape_width_mm=job.tape.width_mm,
        tape_overlap_mm=job.tape.overlap_mm,
        blend_from_mm=blend[0],
        blend_to_mm=blend[1],
        square_to_face="flat front" if grip.shape != "round" else "rib" if grip.rib else None,
        upper_across_mm=across["upper"],
        lower_across_mm=across["lower"],
        gap_mm=grip.gap_mm,
    )


def _reach(
    built: list[GripBuild], unknown: list[GripBuild], wanted: GripWanted, club: OwnClub
) -> tuple[bool | None, tuple[str, ...]]:
    """Whether the nearest build is near enough, and if not what is missing under which hand."""
    if not built:
        if club.butt_upper_mm is None or club.butt_lower_mm is None:
            return None, ("Unknown butt: no layers can be counted until the bare shaft is measured.",)
        if all(b.how == "cannot be built" for b in unknown):
            return None, ("No grip in the stock can be built on this butt: each says why.",)
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
