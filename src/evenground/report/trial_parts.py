"""Before and after, turn, grips in pairs and aim as pictures with sentences, for paper and pages alike."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from evenground.estimate import Estimate
from evenground.findings import Findings
from evenground.fit.aim import AimFit
from evenground.fit.aim_compare import AimChange, compare_aims
from evenground.fit.full_swing import ClubAim, FullSwing
from evenground.fit.grip_check import GripVerdict, verdict_words
from evenground.fit.turn import TurnResponse
from evenground.measure.turn import TurnRanges
from evenground.report.aim_hole import aim_hole_drawing
from evenground.report.drawing import Drawing
from evenground.report.grip_slopes import grip_slopes
from evenground.report.phase_slopes import effect_words, phase_sentences, phase_slopes
from evenground.report.read import aim_conditions, stance_of
from evenground.report.turn_drawing import turn_drawing
from evenground.report.turn_words import slope_words
from evenground.report.words import estimate_text, hundredths_range, side_range
from evenground.units import LengthSystem
from evenground.visit import Phase, Visit

__all__ = ["TrialPart", "aim_parts", "grip_parts", "phase_parts", "swing_words", "trial_parts", "turn_parts"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialPart:
    """One picture: its title, what it shows in words, and the sentences under it."""

    title: str
    drawing: Drawing
    says: str
    sentences: tuple[str, ...]


def trial_parts(visit: Visit, findings: Findings, system: LengthSystem = "metric") -> tuple[TrialPart, ...]:
    """All of a visit's, in the order of the hour."""
    return (
        *phase_parts(visit, findings, system),
        *turn_parts(visit, findings),
        *grip_parts(findings),
        *aim_parts(visit, findings),
    )


def phase_parts(visit: Visit, findings: Findings, system: LengthSystem) -> tuple[TrialPart, ...]:
    """Paired slopes of the hip line after the routine, and after a rest as its control beside it."""
    fit, check = stance_of(findings), visit.hip_line
    if fit is None or check is None:
        return ()
    phases: tuple[Phase, ...] = ("after", "rested")
    found: list[TrialPart] = []
    for phase in phases:
        drawing = phase_slopes(fit, check.trials, phase, system)
        if drawing is None:
            continue
        sentences = tuple(phase_sentences(fit, phase, system))
        effects = () if found else tuple(effect_words(e, system) for e in fit.effects)
        title = "Before and after a rest" if phase == "rested" else "Before and after the routine"
        says = f"Hip line {title.lower()}, width by width. {' '.join(sentences[1:])}"
        found.append(TrialPart(title=title, drawing=drawing, says=says, sentences=(*sentences, *effects)))
    return tuple(found)


def turn_parts(visit: Visit, findings: Findings) -> tuple[TrialPart, ...]:
    """The fan of trunk and pelvis; none before a turn was measured."""
    both = [findings.value(kind) for kind in ("turn", "turn.pelvis")]
    ranges = [found for found in both if isinstance(found, TurnRanges)]
    if not ranges:
        return ()
    response = findings.value("turn.stance")
    return (
        TrialPart(
            title="Turn to each side",
            drawing=turn_drawing(ranges, visit.player.handed),
            says="Seen from above: how far the turn goes to each side. "
            + " ".join(sentence for found in ranges for sentence in _turned(found)),
            sentences=tuple(_turn_sentences(ranges, response)),
        ),
    )


def _turned(found: TurnRanges) -> Iterator[str]:
    for side, words in ((found.lead, "toward the target"), (found.trail, "away from it")):
        if side.mean_deg is not None and side.best_deg is not None:
            yield (
                f"{found.part.capitalize()} {words}: {estimate_text(side.mean_deg)} on average, "
                f"best {side.best_deg.value:.0f}°."
            )
        else:
            yield f"{found.part.capitalize()} {words}: {side.reason}."


def _turn_sentences(ranges: list[TurnRanges], response: Any) -> Iterator[str]:
    yield "Thick: mean; hatched: its 95 % range; dotted: best, which chance makes larger than the mean."
    for found in ranges:
        apart = found.difference_deg
        if apart is not None:
            seen = abs(apart.value) > apart.half_width()
            words = "differ" if seen else "do not differ beyond their error"
            farther = f"{estimate_text(apart)} farther toward the target"
            yield f"The two sides of the {found.part} {words}: {farther}."
        yield from found.notes
    if isinstance(response, TurnResponse):
        yield from (slope_words(slope) for slope in response.slopes)


def grip_parts(findings: Findings) -> tuple[TrialPart, ...]:
    """Paired slopes of each club and each way of holding it."""
    head = "grip.check."
    return tuple(
        TrialPart(
            title=f"Two grips in pairs, {found.kind.removeprefix(head)}",
            drawing=grip_slopes(found.value),
            says=f"Hip line with either grip, pair by pair: {verdict_words(found.value)}.",
            sentences=tuple(_grip_sentences(found.value)),
        )
        for found in findings.findings
        if found.kind.startswith(head) and isinstance(found.value, GripVerdict)
    )


def _grip_sentences(verdict: GripVerdict) -> Iterator[str]:
    glove = "with" if verdict.glove else "without"
    yield f"{verdict_words(verdict).capitalize()}: {verdict.why}; {glove} the glove throughout."
    if verdict.more_pairs is not None:
        yield (
            f"So many more pairs would tell {verdict.matters_deg:g} deg, the smallest difference that "
            "matters, in four cases of five."
        )
    for knee in verdict.knees:
        seen = "differs" if knee.seen else "does not differ beyond its error"
        yield f"The bend of the {knee.side} knee {seen}: {estimate_text(knee.difference_deg)}."
    yield from verdict.notes


def aim_parts(visit: Visit, findings: Findings) -> tuple[TrialPart, ...]:
    """The hole with the aims of each condition across it, each compared with the one before."""
    check = visit.aim
    conditions = [(name, fit) for name, fit in aim_conditions(findings) if isinstance(fit, AimFit)]
    if check is None:
        return ()
    changes = {now[0]: compare_aims(was, now) for was, now in pairwise(conditions)}
    return tuple(
        TrialPart(
            title=f"Aim over the hole, {name}",
            drawing=aim_hole_drawing(fit, check, visit.player.handed),
            says=(
                f"The hole and the aims across it, {name}: on average "
                f"{side_range(fit.bias_deg, visit.player.handed)}."
            ),
            sentences=tuple(_aim_sentences(fit, changes.get(name))),
        )
        for name, fit in conditions
    )


def _aim_sentences(fit: AimFit, change: AimChange | None) -> Iterator[str]:
    yield (
        f"Lines: what the hole allows, {fit.window_deg:.2f}° to either side; hatched: the average, 95 % "
        "range; dotted: nineteen aims in twenty; marks below: each aim."
    )
    start = fit.start_probability
    yield (
        f"The face looks inside {hundredths_range(fit.inside_interval)} times; with a straight path, and "
        f"{100.0 * fit.face_share:.0f} % of the start line from the face, {100.0 * start.value:.0f} in a "
        "hundred balls start inside."
    )
    if fit.more_trials:
        yield f"{fit.more_trials} more aims would tell the bias to a quarter of what the hole allows."
    if change is not None:
        more = "" if change.more_trials is None else f"; {change.more_trials} more under each would tell"
        yield f"Against {change.was}: {change.word}, {estimate_text(change.bias_deg, decimals=2)}{more}."
    yield from fit.notes


def swing_words(found: FullSwing) -> Iterator[str]:
    """Where each full-swing club looks at its target, in metres."""
    for club in found.clubs:
        yield f"{club.club} at {club.target_m:g} m: {_metres(club)}"
    if found.apart_deg is not None:
        seen = abs(found.apart_deg.value) > found.apart_deg.half_width()
        words = "differ" if seen else "do not differ beyond their error"
        yield f"The face with the farthest and the nearest target {words}: {estimate_text(found.apart_deg)}."
    yield from (note for club in found.clubs for note in club.notes)
    yield from found.notes


def _metres(club: ClubAim) -> str:
    miss: Estimate | None = club.miss_m
    if miss is None:
        return f"one aim looks {abs(club.once_m):.1f} m {_side(club.once_m)}."
    if abs(miss.value) <= miss.half_width():
        return f"{abs(miss.value):.1f} ± {miss.half_width():.1f} m {_side(miss.value)}, within its error."
    return f"{abs(miss.value):.1f} ± {miss.half_width():.1f} m {_side(miss.value)} of the target."


def _side(right_m: float) -> str:
    return "right" if right_m > 0.0 else "left"
