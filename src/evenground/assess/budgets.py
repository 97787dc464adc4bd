"""The error budget of each figure on the card, from the findings and what was measured."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from evenground.errors import FitError
from evenground.estimate import Estimate
from evenground.findings import FamilySetup, Findings
from evenground.fit.budgets import Contribution, FindingBudget, explain_budget
from evenground.fit.defaults import TOE_OUT_SD_DEG
from evenground.fit.grip_constants import FINGER_SLOPE, HAND_SLOPE
from evenground.fit.stance_types import StanceFit
from evenground.floor import lead_side, trail_side
from evenground.measure.ground import Ground
from evenground.measure.hip_line import HipLines
from evenground.visit import FAMILIES, Family, StudioSnapshot, Visit

__all__ = ["UnknownLineError", "budgets_of", "budgets_on"]


class UnknownLineError(FitError):
    """A budget was asked of a line that has none."""

    def __init__(self, line: str, known: tuple[str, ...]) -> None:
        super().__init__(line, known)
        self.where = "budget"
        self.what = f"No figure with an error stands on a line {line[:60]!r}."
        self.do = f"Name one of {', '.join(known)}." if known else "Measure something first."


def budgets_of(visit: Visit, studio: StudioSnapshot, findings: Findings) -> tuple[FindingBudget, ...]:
    """Every figure on the card that has an error, with its budget, in the order of the card."""
    made: list[FindingBudget] = []
    scene = _Scene(visit, studio, findings)
    for family in FAMILIES:
        for make in (_hip_line, _own_width, _toe_out, _ball):
            made += make(family, scene)
    made += [*_posture(findings), *_turn(findings), *_grip(visit, findings), *_aim(findings)]
    return tuple(made)


def budgets_on(line: str, budgets: Sequence[FindingBudget]) -> tuple[FindingBudget, ...]:
    """The budgets that stand on one card line.

    Raises
    ------
    UnknownLineError
        When none does.
    """
    found = tuple(b for b in budgets if b.line == line)
    if not found:
        raise UnknownLineError(line, tuple(dict.fromkeys(b.line for b in budgets)))
    return found


@dataclass(frozen=True, slots=True)
class _Scene:
    visit: Visit
    studio: StudioSnapshot
    findings: Findings


def _hip_line(family: Family, scene: _Scene) -> Iterator[FindingBudget]:
    """The hip line at the proposed width: the curve's own error, the bar, another observer."""
    fit, setup = scene.findings.value("stance"), scene.findings.value(f"setup.{family}")
    if not isinstance(fit, StanceFit) or not isinstance(setup, FamilySetup) or scene.visit.hip_line is None:
        return
    answer, read = fit.families[family], scene.findings.value("hip line")
    width = answer.best_width_mm
    curve = next(
        (c.curve for c in fit.conditions if family in c.families and c.phase == fit.phase), fit.curve
    )
    point = min(curve, key=lambda p: abs(p.width_mm - width))
    noise = fit.noise_deg.value
    parts = [
        Contribution(
            name=f"borrowing the curve of {answer.borrowed_from}"
            if answer.carried_over
            else "the scatter of a reading",
            se=point.sd_deg,
            repeats=max(noise**2 / point.sd_deg**2, 0.2),
            means=f"trials at {point.width_mm:.0f} mm",
        ),
        Contribution(
            name="the bar",
            se=read.bar_error_deg if isinstance(read, HipLines) else scene.visit.hip_line.bar_error_deg,
            means="a bar without an error of its own",
        ),
        Contribution(
            name="who holds the bar",
            se=scene.studio.errors.hip_line_between_observers_deg or 0.0,
            means="one and the same observer",
        ),
    ]
    yield explain_budget(
        f"{family}.width", f"hip line at {point.width_mm:.0f} mm", point.mean_deg, parts, unit="deg"
    )


def _own_width(family: Family, scene: _Scene) -> Iterator[FindingBudget]:
    setup = scene.findings.value(f"setup.{family}")
    if not isinstance(setup, FamilySetup) or setup.was_inside_mm is None:
        return
    was = setup.was_inside_mm
    ground = scene.findings.value(f"ground.as arrived.golf shoes.{family}")
    own = ground.stance_width_mm.heel_centres if isinstance(ground, Ground) else None
    if own is not None:
        first = _placed(own, "setting the feet")
    else:
        own_se = scene.studio.errors.width_mm
        typed = was.se if own_se is None else min(own_se, was.se)
        first = Contribution(name="the tape between the heels", se=typed, means="the mat in place of a tape")
    rest = math.sqrt(max(0.0, was.se**2 - first.se**2))
    parts = [first, Contribution(name="the shoes' edges", se=rest, means="measuring the outsole")]
    yield explain_budget(f"{family}.width", "own width inside the shoes", was.value, parts, unit="mm")


def _toe_out(family: Family, scene: _Scene) -> Iterator[FindingBudget]:
    setup = scene.findings.value(f"setup.{family}")
    if not isinstance(setup, FamilySetup):
        return
    handed = scene.visit.player.handed
    sides = (
        ("lead", lead_side(handed), setup.toe_out_lead_deg),
        ("trail", trail_side(handed), setup.toe_out_trail_deg),
    )
    for words, _, angle in sides:
        if angle is None:
            continue
        typed = angle.n == 1 and angle.se == TOE_OUT_SD_DEG.value
        part = (
            Contribution(name="the protractor", se=angle.se, means="the mat in place of a protractor")
            if typed
            else _placed(angle, "setting the feet")
        )
        yield from _explained(f"{family}.toe-out", f"toe-out, {words}", angle, [part])


def _ball(family: Family, scene: _Scene) -> Iterator[FindingBudget]:
    setup = scene.findings.value(f"setup.{family}")
    if not isinstance(setup, FamilySetup):
        return
    for words, place in (
        ("ball from the lead heel", setup.ball_inside_lead_heel_mm),
        ("ball from the toe line", setup.ball_from_toe_line_mm),
    ):
        yield from _repeated(f"{family}.ball", words, place, "placing the ball")


def _posture(findings: Findings) -> Iterator[FindingBudget]:
    names = ("trunk_deg", "thigh_deg", "knee_flex_lead_deg", "knee_flex_trail_deg", "arm_hang_deg")
    for family in FAMILIES:
        value = findings.value(f"posture.{family}")
        for name in names:
            words = f"{family}, {name.removesuffix('_deg').replace('_', ' ')}"
            yield from _repeated(
                "posture", words, getattr(value, name, None), "taking up and reading the posture"
            )


def _turn(findings: Findings) -> Iterator[FindingBudget]:
    value = findings.value("turn")
    for side in ("lead", "trail"):
        angle = getattr(getattr(value, side, None), "mean_deg", None)
        yield from _repeated("turn", f"turn toward the {side} side", angle, "one turn to the next")


def _grip(visit: Visit, findings: Findings) -> Iterator[FindingBudget]:
    """Wanted diameters: both hand measures through the model's slopes, and the model itself."""
    wanted = findings.value("grip.wanted")
    handed = visit.player.handed
    for words, name, side in (
        ("upper hand", "upper_mm", lead_side(handed)),
        ("lower hand", "lower_mm", trail_side(handed)),
    ):
        diameter = getattr(wanted, name, None)
        hand = next((h for h in visit.hands if h.side == side), None)
        if not isinstance(diameter, Estimate) or hand is None:
            continue
        slopes = FINGER_SLOPE.value * math.sqrt(2.0), HAND_SLOPE.value
        measured = min(math.hypot(*(s * hand.se_mm for s in slopes)), diameter.se)
        model = math.sqrt(max(0.0, diameter.se**2 - measured**2))
        parts = [
            Contribution(name="the hand's measures", se=measured, means="a finer measure of the hand"),
            Contribution(
                name="the model from hand to grip", se=model, means="the studio's own confirmed grips"
            ),
        ]
        yield from _explained("grip", f"wanted, {words}", diameter, parts)


def _aim(findings: Findings) -> Iterator[FindingBudget]:
    for found in findings.findings:
        if found.kind.startswith("aim.") and found.value is not None:
            condition = found.kind.removeprefix("aim.")
            yield from _repeated(
                "aim",
                f"where the face looks, {condition}",
                found.value.bias_deg,
                "the scatter of aims",
                "aims",
            )


def _placed(value: Estimate, name: str) -> Contribution:
    return Contribution(name=name, se=value.se, dof=value.dof, repeats=value.n, means="placements")


def _repeated(line: str, what: str, value: Any, name: str, means: str = "repeats") -> Iterator[FindingBudget]:
    if isinstance(value, Estimate):
        part = Contribution(name=name, se=value.se, dof=value.dof, repeats=value.n, means=means)
        yield from _explained(line, what, value, [part])


def _explained(
    line: str, what: str, value: Estimate, parts: Sequence[Contribution]
) -> Iterator[FindingBudget]:
    """One budget, none where there is no error to explain."""
    if any(p.se > 0.0 for p in parts):
        yield explain_budget(line, what, value.value, parts, unit=value.unit)
