"""What moves this player: the trials of a visit, response by response, with the conditions on them."""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any

from evenground.errors import EvengroundError
from evenground.fit.aim_angle import aimed_deg
from evenground.fit.effects import Effects, fit_effects
from evenground.fit.effects_design import Trial
from evenground.visit import StudioSnapshot, Visit

__all__ = ["VisitEffects", "effects_of"]

NO_CONDITION = frozenset(
    {
        "trial",
        "pair",
        "hip_line_deg",
        "heel_line_deg",
        "confirms",
        "turn_deg",
        "stopped_by_pain",
        "offset_mm",
        "dot_mm",
        "face_deg",
        "knee_flex_lead_deg",
        "knee_flex_trail_deg",
        "placement",
    }
)
"""Fields of a trial that are what was read, or its number; all others are conditions."""


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitEffects:
    """Effects by response, and why a response that was read has none."""

    found: Mapping[str, Effects]
    not_told: Mapping[str, str]


def effects_of(visit: Visit, studio: StudioSnapshot) -> VisitEffects:
    """The effects on hip line, turn and aim of whatever was varied in a visit.

    A response that was read too seldom is there with the reason.
    """
    found: dict[str, Effects] = {}
    not_told: dict[str, str] = {}
    for response, (trials, known_sd) in _responses(visit, studio).items():
        if not trials:
            continue
        try:
            found[response] = fit_effects(trials, response=response, unit="deg", known_sd=known_sd)
        except EvengroundError as exc:
            not_told[response] = str(exc)
    return VisitEffects(found=found, not_told=not_told)


def _responses(visit: Visit, studio: StudioSnapshot) -> dict[str, tuple[list[Trial], float | None]]:
    errors = studio.errors
    return {
        "hip line": (_hip_line(visit), errors.hip_line_deg),
        "hip line, hand on the club": (_grip(visit), errors.hip_line_deg),
        "turn": (_turn(visit), errors.turn_deg),
        "aim": (_aim(visit), None),
    }


def _hip_line(visit: Visit) -> list[Trial]:
    check = visit.hip_line
    if check is None:
        return []
    common = {"footwear": check.footwear, "hands": check.hands}
    return [
        Trial(
            value=t.hip_line_deg,
            conditions={**_conditions(t), **{k: getattr(t, k) or v for k, v in common.items()}},
            group=_named(getattr(t, "placement", None)),
            order=float(t.trial),
        )
        for t in check.trials
        if t.phase != "after" or visit.screening == "cleared"
    ]


def _grip(visit: Visit) -> list[Trial]:
    if visit.grip is None:
        return []
    usual = visit.grip.glove
    return [
        Trial(
            value=t.hip_line_deg,
            conditions={
                **_conditions(t),
                "glove": "on" if (usual if t.glove is None else t.glove) else "off",
            },
            group=f"{t.club} {t.hand} {t.pair}",
        )
        for t in visit.grip.trials
    ]


def _turn(visit: Visit) -> list[Trial]:
    if visit.screening != "cleared":
        return []
    return [
        Trial(value=t.turn_deg, conditions=_conditions(t), order=float(i))
        for i, t in enumerate(visit.turn, 1)
        if not t.stopped_by_pain
    ]


def _aim(visit: Visit) -> list[Trial]:
    aim = visit.aim
    if aim is None:
        return []
    return [
        Trial(
            value=aimed_deg(t, aim, visit.player.handed),
            conditions=_conditions(t),
            order=float(t.trial),
        )
        for t in aim.trials
    ]


def _conditions(trial: Any) -> dict[str, float | str | None]:
    """Every field of a trial that is no reading: numbers as they are, the rest as words."""
    return {f.name: _state(getattr(trial, f.name)) for f in fields(trial) if f.name not in NO_CONDITION}


def _state(value: Any) -> float | str | None:
    if value is None or isinstance(value, str):
        return value
    if isinstance(value, bool):
        return "yes" if value else "no"
    return float(value) if isinstance(value, int | float) else str(value)


def _named(value: Any) -> str | None:
    return None if value is None else str(value)
