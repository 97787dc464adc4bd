"""Overleaf: the curves, every finding with its error, chances in sentences, conventions and versions."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from evenground.findings import Findings
from evenground.fit.stance_words import phase_words
from evenground.report.bag_part import BagPart, bag_part
from evenground.report.curve_drawing import ChosenRange, curve_drawing
from evenground.report.drawing import Drawing
from evenground.report.evidence_figures import FigureRow, GroundTable, figure_rows, ground_table
from evenground.report.ground_words import ground_sentences
from evenground.report.mat_parts import MatPart, mat_parts
from evenground.report.phase_slopes import clearest
from evenground.report.read import setup_of, stance_of
from evenground.report.trial_parts import TrialPart, trial_parts
from evenground.report.words import chance_words, estimate_text, joined, width_range
from evenground.units import LengthSystem, show_length
from evenground.visit import FAMILIES, StudioSettings, Visit

__all__ = ["CurvePart", "EvidenceView", "evidence_view"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CurvePart:
    """One curve with the sentences that go with it."""

    title: str
    drawing: Drawing
    sentences: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class EvidenceView:
    """Everything overleaf."""

    curves: tuple[CurvePart, ...]
    sentences: tuple[str, ...]
    ground: GroundTable | None
    mats: tuple[MatPart, ...]
    figures: tuple[FigureRow, ...]
    caveats: tuple[str, ...]
    conventions: tuple[str, ...]
    methods: str
    bag: BagPart | None = None
    trials: tuple[TrialPart, ...] = ()


def evidence_view(visit: Visit, studio: StudioSettings, findings: Findings) -> EvidenceView:
    """Put the evidence of a visit into words, tables and drawings."""
    return EvidenceView(
        curves=_curves(visit, studio, findings),
        sentences=tuple(_sentences(studio, findings)),
        ground=ground_table(findings, studio.units),
        mats=mat_parts(visit, findings, studio.units),
        figures=tuple(figure_rows(findings, studio.units)),
        caveats=tuple(_caveats(findings)),
        conventions=_conventions(visit, findings),
        methods=_methods(findings),
        bag=bag_part(visit, studio, findings),
        trials=trial_parts(visit, findings, studio.units),
    )


def _curves(visit: Visit, studio: StudioSettings, findings: Findings) -> tuple[CurvePart, ...]:
    stance = stance_of(findings)
    if stance is None or visit.hip_line is None:
        return ()
    parts = []
    for condition in stance.conditions:
        if not condition.trials:
            continue  # carried over: the curve stands under the family that it comes from
        shown = [
            t
            for t in visit.hip_line.trials
            if t.phase == condition.phase and (t.family is None or t.family in condition.families)
        ]
        names = joined(list(condition.families))
        drawing = curve_drawing(
            condition.curve,
            shown,
            margin_deg=stance.margin_deg,
            chosen=_chosen(findings, condition.families) if condition.phase == stance.phase else (),
            system=studio.units,
        )
        parts.append(
            CurvePart(
                title=f"Hip line against stance width: {names}, {phase_words(condition.phase)}",
                drawing=drawing,
                sentences=(_bands(condition, studio.units),),
            )
        )
    return tuple(parts)


def _chosen(findings: Findings, families: tuple[Any, ...]) -> tuple[ChosenRange, ...]:
    chosen = []
    for family in families:
        setup = setup_of(findings, family)
        if setup is not None and setup.width_heel_range_mm is not None:
            wide = setup.width_heel_range_mm
            chosen.append(ChosenRange(family=family, low_mm=wide.low, high_mm=wide.high))
    return tuple(chosen)


def _bands(condition: Any, system: LengthSystem) -> str:
    """Where the curve is likely square, in one sentence."""
    count = f"{condition.trials} trial{'' if condition.trials == 1 else 's'}"
    if not condition.square_bands_mm:
        return f"{count}; no width reaches seven chances in ten of being square."
    bands = [
        f"{show_length(low, system)} to {show_length(high, system)} ({chance_words(p)} on average)"
        for low, high, p in condition.square_bands_mm
    ]
    return f"{count}; likely square between {joined(bands)}, heel centre to heel centre."


def _sentences(studio: StudioSettings, findings: Findings) -> Iterator[str]:
    """The chances, so that they cannot be misread; then what limits them."""
    stance = stance_of(findings)
    margin = studio.margin_deg if stance is None else stance.margin_deg
    for family in FAMILIES:
        setup = setup_of(findings, family)
        if setup is None:
            continue
        yield _chance(family, setup, margin, studio.units)
        for note in setup.notes:
            yield f"{family.capitalize()}: {note}"
    if stance is not None:
        drift = estimate_text(stance.drift_deg_per_trial, decimals=2)
        yield f"Drift over the series: {drift}, taken out of the curve."
        noise = estimate_text(stance.noise_deg)
        yield f"One reading of the hip line repeats with a standard deviation of {noise}."
        yield (
            f"The series ended because: {_lower_first(stance.stop.reason)}"
            if stance.stop.done
            else (f"The series is not finished: {_lower_first(stance.stop.reason)}")
        )
        yield from (flag.text for flag in stance.flags)
        yield from _changes(stance)
    for family in FAMILIES:
        confirmed = findings.value(f"stance.confirm.{family}")
        if confirmed is not None:
            yield (
                f"{family.capitalize()}, {confirmed.verdict}: fresh placements, mixed with others, differ "
                f"from the curve by {estimate_text(confirmed.apart_deg)}."
            )
    yield from ground_sentences(findings, studio.units)


def _lower_first(sentence: str) -> str:
    return sentence[:1].lower() + sentence[1:]


def _changes(stance: Any) -> Iterator[str]:
    """What the hip line did after the routine, at the width where the answer is clearest."""
    clear = clearest(stance.change)
    if clear is not None:
        yield (
            f"After the hip routine (not shown to come from it) the hip line at {clear.width_mm:.0f} mm, "
            f"where the change is clearest, differs by {estimate_text(clear.change_deg)}."
        )


def _caveats(findings: Findings) -> Iterator[str]:
    """What limits a finding that was measured all the same."""
    for finding in findings.findings:
        if finding.value is not None and finding.reason and not finding.kind.startswith("placement"):
            yield f"{finding.kind.replace('.', ', ').capitalize()}: {finding.reason}"


def _chance(family: str, setup: Any, margin_deg: float, system: LengthSystem) -> str:
    name = family.capitalize()
    if setup.width_heel_range_mm is not None and setup.probability is not None:
        at = width_range(setup.width_heel_range_mm, system)
        words = chance_words(setup.probability)
        best = (
            ""
            if setup.width_heel_centres_mm is None
            else (f"; the squarest width is {estimate_text(setup.width_heel_centres_mm, system, decimals=0)}")
        )
        return (
            f"{name}, {setup.answer}: {words} that the hips average within {margin_deg:g} deg of square at "
            f"the squarest width; stand at {at} heel centre to heel centre{best}."
        )
    return f"{name}, {setup.answer}: no width is proposed."


def _conventions(visit: Visit, findings: Findings) -> tuple[str, ...]:
    lines = [
        (
            "Widths overleaf of page one run heel centre to heel centre; on page one and on the strip they "
            "run inside edge to inside edge in these shoes."
        ),
        "Heel centre: the centre of pressure of the rear part of the foot on the mat.",
        "Angles of body lines and of the face: + open, toward the target for the body. Toe-out: + outwards.",
        "A figure with ± gives its 95 % range; page one rounds such ranges outwards, stance widths inwards.",
    ]
    if visit.hip_line is not None:
        lines.append(
            f"Hip line: landmark {visit.hip_line.landmark}; {visit.hip_line.footwear}; hands "
            f"{visit.hip_line.hands}."
        )
    stance = stance_of(findings)
    if stance is not None:
        lines.append(f"The card uses the curve {phase_words(stance.phase)}.")
    return tuple(lines)


def _methods(findings: Findings) -> str:
    versions = {name: n for finding in findings.findings for name, n in finding.methods.items()}
    shown = ", ".join(f"{name} {n}" for name, n in sorted(versions.items()))
    return f"Evenground {findings.version}; methods: {shown or 'none'}. Visit {findings.visit}."
