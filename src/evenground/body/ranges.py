"""Entered body sizes: their errors, what is predicted, and warnings where one looks like a slip or a swap.

Warns, never blocks: an unusual body is no mistake. Sizes are named after ISO 7250-1; wrist height is the
crease or the bone as the studio chose, which moves it by a centimetre.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from evenground.body.hip_joints import HipJoints, hip_joints
from evenground.body.joint import predict
from evenground.body.limbs import gone_for, why_not_compared
from evenground.body.own_warnings import own_warnings
from evenground.body.report import BodyReport, BodyWarning, PredictedSize, SizeReport
from evenground.body.shoes import foot_length, shoe_size
from evenground.body.sides import mean_of, side_asks
from evenground.body.sizes import MASS, SIZES, tape_sd, words
from evenground.body.survey import (
    OLDEST,
    YOUNGEST,
    Reference,
    band_words,
    line_on_stature,
    normal_of,
    survey_table,
)
from evenground.body.unlike import POUND_KG, UNIT_SLIPS, Comparison, compare
from evenground.estimate import Estimate, from_repeats
from evenground.floor import Side
from evenground.sourced import Sourced
from evenground.visit import BodyCheck, HandSize

__all__ = ["BodyReport", "BodyWarning", "check_body", "expected_mm", "plausible_mm"]

RANGE_SDS = Sourced(4.0, "", "ours: beyond four SDs of the survey a slip is likelier than a body")
JUNIOR_SHARE = Sourced(0.55, "", "ours: no golfing junior is smaller than this share of an average woman")

# Not in the survey's table: ranges of ours, wide enough for every adult.
OUR_RANGES_MM = {
    "asis_breadth": (170.0, 340.0),
    "pelvic_depth": (90.0, 260.0),
    "leg_length": (600.0, 1150.0),
}
MASS_RANGE_KG = (25.0, 200.0)


def plausible_mm(
    name: str, reference: Reference | None = None, *, junior: bool = False
) -> tuple[float, float] | None:
    """Range of one size within four SDs of the survey's mean; over both sexes when none is named.

    A junior's range begins far lower. None when the size is not known here.

    Source: ANSUR II (Gordon et al. 2014), see `evenground.body.survey`.

    Examples
    --------
    >>> plausible_mm("stature", "men")
    (1482.0, 2030.4)
    """
    references: tuple[Reference, ...] = (reference,) if reference is not None else ("men", "women")
    normals = [n for r in references if (n := normal_of(name, r)) is not None]
    if not normals:
        return OUR_RANGES_MM.get(name)
    k = RANGE_SDS.value
    low = min(n.mean_mm - k * n.sd_mm for n in normals)
    if junior:
        low = min(low, JUNIOR_SHARE.value * min(n.mean_mm for n in normals))
    return low, max(n.mean_mm + k * n.sd_mm for n in normals)


def expected_mm(name: str, stature_mm: float, reference: Reference) -> Estimate | None:
    """What the survey's line on stature expects of a size, a gate and no measure; None without a line.

    Source: regressions on ANSUR II (Gordon et al. 2014), recomputed from the public file.

    Examples
    --------
    >>> expected_mm("wrist_height", 1800.0, "men")
    Estimate(value=870.3, se=21.5, dof=inf, n=1, unit='mm')
    """
    line = line_on_stature(name, reference)
    return None if line is None else Estimate(value=line.at(stature_mm), se=line.see_mm, unit="mm")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Held:
    """The sizes held against one table of the survey."""

    reference: Reference
    warnings: tuple[BodyWarning, ...]
    comparison: Comparison
    predicted: Mapping[str, Estimate]


def check_body(
    body: BodyCheck,
    *,
    reference: Reference | None = None,
    hands: Sequence[HandSize] = (),
    age_years: int | None = None,
) -> BodyReport:
    """Every size with its error, what is predicted of the rest, and warnings where something looks wrong.

    Parameters
    ----------
    body
        Sizes as entered, any repeats.
    reference
        The survey table to compare with; None compares with both and warns only where neither fits.
    hands
        Hands as measured; hand and palm length are compared with the other sizes.
    age_years
        Outside the survey's ages sizes are held against ranges only. None is taken as inside.

    Returns
    -------
    report
        Nothing is refused or changed.
    """
    known = _known(body, hands)
    compared = {n: e for n, e in known.items() if why_not_compared(body, n) is None}
    inside = age_years is None or YOUNGEST.value <= age_years <= OLDEST.value
    junior = age_years is not None and age_years < YOUNGEST.value
    references: tuple[Reference, ...] = (reference,) if reference is not None else ("women", "men")
    # Both tables when none is named: the one that fewer things are wrong with.
    ranged = [w for n, e in compared.items() for w in _range_warnings(n, e.value, reference, junior=junior)]
    tried = [_hold(body, compared, ranged, r, inside=inside) for r in references]
    held = min(tried, key=lambda h: len(h.warnings))
    own = reference is not None and inside
    return BodyReport(
        sizes=tuple(_size_reports(_taken(body, hands), held, own=own, reference=reference)),
        mass_kg=body.mass_kg,
        warnings=(*held.warnings, *_own(body, hands, held)),
        mass_expected_kg=held.comparison.fits[MASS][0] if own and MASS in held.comparison.fits else None,
        predicted=tuple(_predictions(body, known, held)) if own else (),
        reference=reference if own else None,
        notes=tuple(_notes(body, known, reference, age_years, inside=inside)),
        hip_joints=_hip_joints(known),
        asks=tuple(side_asks(body)),
    )


def _own(body: BodyCheck, hands: Sequence[HandSize], held: _Held) -> Sequence[BodyWarning]:
    """What the sizes say of themselves, without what was said already."""
    said = {(w.code, w.where) for w in held.warnings}
    return [w for w in own_warnings(body, hands) if (w.code, w.where) not in said]


def _known(body: BodyCheck, hands: Sequence[HandSize]) -> dict[str, Estimate]:
    """All readings of each size together, with the error of their mean; a limb that is gone has no size."""
    readings: dict[str, list[float]] = {}
    for size in body.sizes:
        if size.side is None or gone_for(body, size.name, size.side) is None:
            readings.setdefault(size.name, []).extend(size.readings_mm)
    known = {n: mean_of(n, mm) for n, mm in readings.items() if mm}
    for name, field in (("hand_length", "length_mm"), ("palm_length", "palm_length_mm")):
        sizes = [getattr(h, field) for h in hands if gone_for(body, name, h.side) is None]
        if sizes:
            known[name] = from_repeats(sizes, unit="mm", known_sd=max(h.se_mm for h in hands))
    if body.mass_kg is not None:
        known[MASS] = Estimate(value=body.mass_kg, se=tape_sd(MASS), unit="kg")
    return known


def _hold(
    body: BodyCheck,
    known: Mapping[str, Estimate],
    ranged: Sequence[BodyWarning],
    reference: Reference,
    *,
    inside: bool,
) -> _Held:
    nothing = Comparison(warnings=(), unlike=frozenset(), fits={})
    if not inside:
        return _Held(reference=reference, warnings=tuple(ranged), comparison=nothing, predicted={})
    table = survey_table(reference)
    comparison = compare(known, table, suspects=frozenset(w.where for w in ranged))
    swapped = {w.where for w in comparison.warnings if w.code == "swapped"}
    kept = {n: e for n, e in known.items() if n not in comparison.unlike and n in table.names}
    return _Held(
        reference=reference,
        warnings=(*(w for w in ranged if w.where not in swapped), *comparison.warnings),
        comparison=comparison,
        predicted=predict(kept | _shod(body, kept), table),
    )


def _hip_joints(known: Mapping[str, Estimate]) -> HipJoints | None:
    if "asis_breadth" not in known:
        return None
    return hip_joints(
        known["asis_breadth"],
        pelvic_depth_mm=known.get("pelvic_depth"),
        leg_length_mm=known.get("leg_length"),
    )


def _shod(body: BodyCheck, known: Mapping[str, Estimate]) -> dict[str, Estimate]:
    """The foot as its shoe says, where the foot itself was not measured."""
    if body.shoe_size is None or "foot_length" in known:
        return {}
    return {"foot_length": foot_length(shoe_size(body.shoe_size))}


def _size_reports(
    taken: Sequence[tuple[str, Side | None, Estimate]],
    held: _Held,
    *,
    own: bool,
    reference: Reference | None,
) -> Sequence[SizeReport]:
    reports = []
    for name, side, mean in taken:
        expected, off = held.comparison.fits.get(name, (held.predicted.get(name), None))
        reports.append(
            SizeReport(
                name=name,
                side=side,
                size_mm=mean,
                expected_mm=expected if own else None,
                off_sd=off if own else None,
                band=None if reference is None else band_words(name, mean.value, reference),
            )
        )
    return reports


def _taken(body: BodyCheck, hands: Sequence[HandSize]) -> list[tuple[str, Side | None, Estimate]]:
    """Every size with readings, the hands' after the body's."""
    found = [(s.name, s.side, mean_of(s.name, s.readings_mm)) for s in body.sizes if s.readings_mm]
    for hand in hands:
        for name, mm in (("hand_length", hand.length_mm), ("palm_length", hand.palm_length_mm)):
            found.append((name, hand.side, Estimate(value=mm, se=hand.se_mm, unit="mm")))
    return found


def _predictions(body: BodyCheck, known: Mapping[str, Estimate], held: _Held) -> Sequence[PredictedSize]:
    """What was not taken and this player has, in the order of the sizes; nothing without a single size."""
    if not known and body.shoe_size is None:
        return []
    predicted = dict(held.predicted)
    for name, said in _shod(body, known).items():
        others = predict(
            {n: e for n, e in known.items() if n not in held.comparison.unlike}, survey_table(held.reference)
        )
        predicted[name] = _weighed(others[name], said)
    wanted = [n for n in (*SIZES, "hand_length", "palm_length", MASS) if n in predicted and n not in known]
    return [PredictedSize(name=n, size_mm=predicted[n]) for n in wanted if why_not_compared(body, n) is None]


def _weighed(one: Estimate, other: Estimate) -> Estimate:
    """Two independent estimates of one thing, weighed by how well each is known."""
    share = other.se**2 / (one.se**2 + other.se**2)
    value = share * one.value + (1.0 - share) * other.value
    se = one.se * other.se / (one.se**2 + other.se**2) ** 0.5
    return Estimate(value=value, se=se, n=one.n + other.n, unit=one.unit)


def _notes(
    body: BodyCheck,
    known: Mapping[str, Estimate],
    reference: Reference | None,
    age_years: int | None,
    *,
    inside: bool,
) -> Sequence[str]:
    notes = []
    if not inside:
        notes.append(
            f"The survey holds ages {YOUNGEST.value:.0f} to {OLDEST.value:.0f}: at {age_years} sizes are "
            "held against ranges only, and none is predicted."
        )
    elif reference is None:
        notes.append("No survey table is named: sizes are held against both, and none is predicted.")
    reasons: dict[str, list[str]] = {}
    for name in known:
        why = why_not_compared(body, name)
        if why is not None:
            reasons.setdefault(why, []).append(words(name))
    notes += [f"Held against nothing, because {why}: {', '.join(names)}." for why, names in reasons.items()]
    return notes


def _range_warnings(
    name: str, value: float, reference: Reference | None, *, junior: bool
) -> list[BodyWarning]:
    if name == MASS:
        return _mass_warnings(value)
    bounds = plausible_mm(name, reference, junior=junior)
    if bounds is None or bounds[0] <= value <= bounds[1]:
        return []
    low, high = bounds
    for factor, unit in UNIT_SLIPS:
        if low <= value * factor <= high:
            text = f"{words(name)} {value:g} mm looks like {unit}: measure again, or correct the unit."
            return [BodyWarning(code="other-unit", where=name, text=text)]
    text = (
        f"{words(name)} {value:.0f} mm is outside {low:.0f} to {high:.0f} mm, "
        f"where nearly all {'players' if junior else 'adults'} lie: measure again"
        f"{'' if junior else '; a junior may well be below'}."
    )
    return [BodyWarning(code="out-of-range", where=name, text=text)]


def _mass_warnings(mass_kg: float) -> list[BodyWarning]:
    low, high = MASS_RANGE_KG
    if low <= mass_kg <= high:
        return []
    hint = " It may be in pounds." if low <= mass_kg * POUND_KG <= high else ""
    text = f"mass {mass_kg:g} kg is outside {low:g} to {high:g} kg: weigh again.{hint}"
    return [BodyWarning(code="out-of-range", where=MASS, text=text)]
