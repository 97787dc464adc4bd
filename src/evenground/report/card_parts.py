"""The lower half of page one: posture with its cues, grips club by club, aim against the hole."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from evenground.estimate import Estimate
from evenground.findings import Findings
from evenground.fit.grip_check import verdict_words
from evenground.library import CueLibrary
from evenground.report.aim_drawing import aim_drawing
from evenground.report.cues import cues_for
from evenground.report.drawing import Drawing
from evenground.report.figure_drawing import figure_drawing
from evenground.report.read import aim_conditions, grip_builds, posture_angles, posture_family
from evenground.report.words import (
    chance_words,
    hundredths_range,
    joined,
    side_range,
    sixty_fourths_range,
)
from evenground.sourced import Sourced
from evenground.units import show_length
from evenground.visit import OwnClub, StudioSettings, Visit

__all__ = [
    "AimPart",
    "GripLine",
    "GripPart",
    "PosturePart",
    "aim_part",
    "grip_line",
    "grip_part",
    "posture_part",
]

OWN_GRIP_SE_MM = Sourced(0.2, "mm", "ours: a caliper across a soft grip, read once")
NO_CHANGE = "stays"


@dataclass(frozen=True, slots=True, kw_only=True)
class PosturePart:
    """The silhouette with the cues beside it. `answer` is a word, `note` what is missing."""

    title: str
    answer: str
    drawing: Drawing | None
    note: str
    cues: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class GripLine:
    """Clubs whose grips are treated alike: marks, answer word, what changes."""

    clubs: str
    answer: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class GripPart:
    """Grip by grip, and on what the proposal stands."""

    lines: tuple[GripLine, ...]
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AimPart:
    """Where the face looked; `drawing` is None when it was not measured and `lines` say why."""

    drawing: Drawing | None
    lines: tuple[str, ...]


def posture_part(visit: Visit, findings: Findings, library: CueLibrary | None = None) -> PosturePart:
    """Posture as measured, drawn; three cues chosen by what was found."""
    angles, family = posture_angles(findings), posture_family(findings)
    cues = cues_for(visit, findings, library)
    if angles is None or family is None:
        why = visit.skipped.get("posture", "not done")
        return PosturePart(
            title="Posture",
            answer="not measured",
            drawing=None,
            note=f"Angles not measured: {why}.",
            cues=cues,
        )
    limbs = {
        "trunk": angles.trunk_deg,
        "thigh": angles.thigh_deg,
        "knee": angles.knee_flex_deg,
        "arms": angles.arm_hang_deg,
    }
    missing = [limb for limb, angle in limbs.items() if angle is None]
    note = f"Dotted: {joined(missing)} not measured." if missing else ""
    return PosturePart(
        title=f"Posture, {family}",
        answer="as measured",
        drawing=figure_drawing(angles, visit.player.handed),
        note=note,
        cues=cues,
    )


def grip_part(visit: Visit, findings: Findings) -> GripPart:
    """One line for each group of clubs that are treated alike."""
    builds = dict(grip_builds(findings))
    own = {club.mark: club for club in visit.own_clubs}
    wanted = findings.value("grip.wanted")
    if wanted is None:
        gone = findings.of("grip.wanted")
        why = (gone.reason if gone is not None else None) or visit.skipped.get("hands", "hands not measured")
        return GripPart(lines=(), note=f"Grips not measured: {why}.")
    marks = list(dict.fromkeys([*own, *builds]))
    held = {mark: f.value.wanted for mark, f in builds.items() if f.value is not None}  # as each is held
    lines = _grouped((mark, grip_line(own.get(mark), held.get(mark, wanted))) for mark in marks)
    note = _grip_note(findings)
    if not lines:
        note = "No clubs were brought: what is wanted under each hand is overleaf."
    return GripPart(lines=lines, note=note)


def _grip_note(findings: Findings) -> str:
    """On what the proposal stands; a paired check is told as far as it went."""
    checks = [
        (f.kind.removeprefix("grip.check."), f.value)
        for f in findings.findings
        if f.kind.startswith("grip.check.") and f.value is not None
    ]
    if not checks:
        return "By hand size only."
    said = []
    for mark, value in checks:
        apart: Estimate = value.difference_deg
        most = math.ceil((abs(apart.value) + apart.half_width()) * 10.0) / 10.0
        said.append(f"{mark}: {verdict_words(value)}, they differ by {most:.1f}° at most")
    return f"By hand size; hip line checked with {joined(said)}."


def _grouped(said: Iterable[tuple[str, tuple[str, str]]]) -> tuple[GripLine, ...]:
    groups: dict[tuple[str, str], list[str]] = {}
    for mark, line in said:
        groups.setdefault(line, []).append(mark)
    return tuple(
        GripLine(clubs=joined(marks), answer=answer, text=text) for (answer, text), marks in groups.items()
    )


def grip_line(club: OwnClub | None, wanted: Any) -> tuple[str, str]:
    """Answer word and what changes under each hand, from the grip that is on the club now."""
    if club is None or club.grip_upper_mm is None or club.grip_lower_mm is None:
        return "not measured", "the grip on it now was not measured"
    parts = []
    for hand, now_mm, want in (
        ("upper", club.grip_upper_mm, wanted.upper_mm),
        ("lower", club.grip_lower_mm, wanted.lower_mm),
    ):
        if want is None:
            continue
        change = want.shifted(-now_mm).widened(OWN_GRIP_SE_MM.value)
        if abs(change.value) > change.half_width():
            parts.append(f"{_thicker(change)} under the {hand} hand")
    if not parts:
        return NO_CHANGE, "within the error of what is wanted"
    return "changes", joined(parts)


def _thicker(change: Estimate) -> str:
    size, half = abs(change.value), change.half_width()
    word = "thicker" if change.value > 0.0 else "thinner"
    return f"{sixty_fourths_range(max(size - half, 0.1), size + half)} {word}"


def aim_part(visit: Visit, studio: StudioSettings, findings: Findings) -> AimPart:
    """The condition that the player leaves with is drawn: the last one aimed under."""
    conditions = aim_conditions(findings)
    if not conditions or visit.aim is None:
        gone = next((f for f in findings.findings if f.kind.startswith("aim") and f.reason), None)
        why = visit.skipped.get("aim") or (gone.reason if gone is not None else None) or "not done"
        return AimPart(drawing=None, lines=(f"Aim not measured: {why}.",))
    condition, aim = conditions[-1]
    metric = studio.units == "metric"
    far = visit.aim.distance_m
    distance = f"{far:.2f} m" if metric else f"{show_length(far * 1000.0, studio.units)}"
    chance = chance_words(aim.inside_probability.value)
    return AimPart(
        drawing=aim_drawing(
            aim.bias_deg, aim.spread_deg, aim.window_deg, visit.aim.distance_m, visit.player.handed
        ),
        lines=(
            (
                f"At {distance} ({condition}) the face looks {side_range(aim.bias_deg, visit.player.handed)} "
                f"on average. {chance.capitalize()} aims start inside the hole; "
                f"it may be {hundredths_range(aim.inside_interval)}."
            ),
        ),
    )
