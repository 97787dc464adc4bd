"""Entered body sizes: their errors, and warnings where a number looks like a slip, a swap or another unit.

Warns, never blocks: an unusual body is no mistake. Sizes are named after ISO 7250-1; wrist height is the
crease or the bone as the studio chose, which moves it by a centimetre.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from evenground.body.survey import LINES, SIZES, SURVEY, Reference
from evenground.estimate import Estimate, from_repeats
from evenground.sourced import Sourced
from evenground.visit import BodyCheck, BodySize

__all__ = [
    "BodyReport",
    "BodyWarning",
    "SizeReport",
    "check_body",
    "expected_mm",
    "plausible_mm",
]

TAPE_SD_MM = {
    "stature": Sourced(5.0, "mm", "ours: one reading against a wall"),
    "shoulder_height": Sourced(8.0, "mm", "ours: one reading, landmark felt through cloth"),
    "wrist_height": Sourced(6.0, "mm", "ours: one reading, arm hanging"),
    "hand_length": Sourced(1.5, "mm", "ours: one reading with a rule"),
    "palm_length": Sourced(1.5, "mm", "ours: one reading with a rule"),
    "hand_breadth": Sourced(1.5, "mm", "ours: one reading with a rule"),
    "foot_length": Sourced(2.0, "mm", "ours: one reading on a foot gauge"),
    "foot_breadth": Sourced(2.0, "mm", "ours: one reading on a foot gauge"),
}
OTHER_TAPE_SD_MM = Sourced(6.0, "mm", "ours: one reading with a tape")
RANGE_SDS = Sourced(4.0, "", "ours: beyond four SDs of the survey a slip is likelier than a body")
LINE_SEES = Sourced(3.0, "", f"three standard errors of estimate about the line on stature, {SURVEY}")

# Not in the survey's table here: ranges of ours, wide enough for every adult.
OUR_RANGES_MM = {
    "crotch_height": (500.0, 1100.0),
    "arm_length": (400.0, 1050.0),
}
MASS_RANGE_KG = (25.0, 200.0)
_DISAGREE_SDS = 3.0  # of the difference of two readings


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyWarning:
    """Something to look at again; `where` names the size."""

    code: str
    where: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeReport:
    """One size with its error; `expected_mm` is what the survey expects at this stature, where it says so."""

    name: str
    side: str | None
    size_mm: Estimate
    expected_mm: Estimate | None


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyReport:
    """All sizes entered, and every warning."""

    sizes: tuple[SizeReport, ...]
    mass_kg: float | None
    warnings: tuple[BodyWarning, ...]


def plausible_mm(name: str, reference: Reference | None = None) -> tuple[float, float] | None:
    """Range of one size within four SDs of the survey's mean; over both sexes when none is named.

    None when the size is not known here.

    Source: ANSUR II (Gordon et al. 2014), see `evenground.body.survey`.

    Examples
    --------
    >>> plausible_mm("stature", "men")
    (1481.8, 2030.6)
    """
    if name not in SIZES:
        return OUR_RANGES_MM.get(name)
    normals = [SIZES[name][reference]] if reference is not None else list(SIZES[name].values())
    k = RANGE_SDS.value
    return min(n.mean_mm - k * n.sd_mm for n in normals), max(n.mean_mm + k * n.sd_mm for n in normals)


def expected_mm(name: str, stature_mm: float, reference: Reference) -> Estimate | None:
    """What the survey's line on stature expects of a size, a gate and no measure; None without a line.

    Source: regressions on ANSUR II (Gordon et al. 2014), recomputed from the public file.

    Examples
    --------
    >>> expected_mm("wrist_height", 1800.0, "men")
    Estimate(value=870.3, se=21.5, dof=inf, n=1, unit='mm')
    """
    if name not in LINES:
        return None
    line = LINES[name][reference]
    return Estimate(value=line.at(stature_mm), se=line.see_mm, unit="mm")


def check_body(body: BodyCheck, *, reference: Reference | None = None) -> BodyReport:
    """Every size with its error, and warnings where it looks wrong.

    Parameters
    ----------
    body
        Sizes as entered, any repeats.
    reference
        The survey table to compare with; None compares with both and warns only where neither fits.

    Returns
    -------
    report
        Nothing is refused or changed. Players outside the survey's ages get the same ranges: a junior's
        warning says so.
    """
    stature = body.mean_mm("stature")
    reports, warnings = [], []
    for size in body.sizes:
        if not size.readings_mm:
            continue
        mean = _mean(size)
        expected = (
            None if stature is None or reference is None else expected_mm(size.name, stature, reference)
        )
        reports.append(SizeReport(name=size.name, side=size.side, size_mm=mean, expected_mm=expected))
        warnings += _range_warnings(size.name, mean.value, reference)
        warnings += _repeat_warnings(size)
        if stature is not None and not any(w.where == size.name for w in warnings):
            warnings += _line_warnings(size.name, mean.value, stature, reference)
    return BodyReport(
        sizes=tuple(reports),
        mass_kg=body.mass_kg,
        warnings=(*warnings, *_order_warnings(body), *_mass_warnings(body.mass_kg)),
    )


def _tape_sd_mm(name: str) -> float:
    return TAPE_SD_MM.get(name, OTHER_TAPE_SD_MM).value


def _mean(size: BodySize) -> Estimate:
    """Mean of the repeats with the tape's error: two or three repeats know their own spread badly."""
    return from_repeats(size.readings_mm, unit="mm", known_sd=_tape_sd_mm(size.name), what=size.name)


def _words(name: str) -> str:
    return name.replace("_", " ")


def _range_warnings(name: str, value_mm: float, reference: Reference | None) -> list[BodyWarning]:
    bounds = plausible_mm(name, reference)
    if bounds is None or bounds[0] <= value_mm <= bounds[1]:
        return []
    low, high = bounds
    for factor, unit in (
        (10.0, "centimetres"),
        (25.4, "inches"),
        (1000.0, "metres"),
        (0.1, "tenths of a mm"),
    ):
        if low <= value_mm * factor <= high:
            text = f"{_words(name)} {value_mm:g} mm looks like {unit}: measure again, or correct the unit."
            return [BodyWarning(code="other-unit", where=name, text=text)]
    text = (
        f"{_words(name)} {value_mm:.0f} mm is outside {low:.0f} to {high:.0f} mm, "
        "where nearly all adults lie: measure again; a junior may well be below."
    )
    return [BodyWarning(code="out-of-range", where=name, text=text)]


def _line_warnings(
    name: str, value_mm: float, stature_mm: float, reference: Reference | None
) -> list[BodyWarning]:
    if name not in LINES:
        return []
    tables: tuple[Reference, ...] = (reference,) if reference is not None else ("men", "women")
    lines = [LINES[name][table] for table in tables]
    off = [(value_mm - line.at(stature_mm)) / line.see_mm for line in lines]
    nearest = min(off, key=abs)
    if abs(nearest) <= LINE_SEES.value:
        return []
    word = "long" if nearest > 0.0 else "short"
    half = LINE_SEES.value
    low = min(line.at(stature_mm) - half * line.see_mm for line in lines)
    high = max(line.at(stature_mm) + half * line.see_mm for line in lines)
    text = (
        f"{_words(name)} {value_mm:.0f} mm is {abs(nearest):.1f} standard errors {word} for a stature of "
        f"{stature_mm:.0f} mm ({low:.0f} to {high:.0f} mm would not surprise): measure again."
    )
    return [BodyWarning(code="unlike-stature", where=name, text=text)]


def _repeat_warnings(size: BodySize) -> list[BodyWarning]:
    if len(size.readings_mm) < 2:
        return []
    apart = max(size.readings_mm) - min(size.readings_mm)
    limit = _DISAGREE_SDS * 2.0**0.5 * _tape_sd_mm(size.name)
    if apart <= limit:
        return []
    text = f"{_words(size.name)}: readings differ by {apart:.0f} mm: measure once more."
    return [BodyWarning(code="repeats-differ", where=size.name, text=text)]


# The part is never larger than the whole, in any body.
_PARTS: Mapping[str, str] = {
    "shoulder_height": "stature",
    "crotch_height": "stature",
    "wrist_height": "shoulder_height",
    "palm_length": "hand_length",
    "foot_breadth": "foot_length",
}


def _order_warnings(body: BodyCheck) -> list[BodyWarning]:
    warnings = []
    for part, whole in _PARTS.items():
        one, other = body.mean_mm(part), body.mean_mm(whole)
        if one is not None and other is not None and one >= other:
            text = (
                f"{_words(part)} {one:.0f} mm is not below {_words(whole)} {other:.0f} mm: were they swapped?"
            )
            warnings.append(BodyWarning(code="swapped", where=part, text=text))
    return warnings


def _mass_warnings(mass_kg: float | None) -> list[BodyWarning]:
    low, high = MASS_RANGE_KG
    if mass_kg is None or low <= mass_kg <= high:
        return []
    hint = " It may be in pounds." if low <= mass_kg * 0.45359237 <= high else ""
    text = f"mass {mass_kg:g} kg is outside {low:g} to {high:g} kg: weigh again.{hint}"
    return [BodyWarning(code="out-of-range", where="mass", text=text)]
