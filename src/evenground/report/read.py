"""What the pages take out of findings: one small question a function, None when it was not measured."""

from typing import Any

from evenground.estimate import difference
from evenground.findings import FamilySetup, Finding, Findings
from evenground.report.figure_drawing import PostureAngles
from evenground.visit import FAMILIES, Family

__all__ = [
    "aim_conditions",
    "grip_builds",
    "ground_conditions",
    "posture_angles",
    "posture_family",
    "setup_of",
    "stance_of",
    "toe_out_uneven",
    "unmeasured",
]

POSTURE_ORDER: tuple[Family, ...] = ("irons", "putter", "woods")


def setup_of(findings: Findings, family: Family) -> FamilySetup | None:
    """The proposed stance of one family."""
    value = findings.value(f"setup.{family}")
    return value if isinstance(value, FamilySetup) else None


def stance_of(findings: Findings) -> Any | None:
    """The `StanceFit` of the visit."""
    return findings.value("stance")


def ground_conditions(findings: Findings) -> list[tuple[str, Any]]:
    """Every standing that was measured on the mat, as (condition in words, result)."""
    return _under(findings, "ground.")


def grip_builds(findings: Findings) -> list[tuple[str, Finding]]:
    """Every club whose grip was looked at, as (mark, finding)."""
    head = "grip.build."
    return [(f.kind.removeprefix(head), f) for f in findings.findings if f.kind.startswith(head)]


def aim_conditions(findings: Findings) -> list[tuple[str, Any]]:
    """Every condition that was aimed under, as (condition, result)."""
    return _under(findings, "aim.")


def _under(findings: Findings, head: str) -> list[tuple[str, Any]]:
    return [
        (f.kind.removeprefix(head).replace(".", ", "), f.value)
        for f in findings.findings
        if f.kind.startswith(head) and f.value is not None
    ]


def posture_family(findings: Findings) -> Family | None:
    """The family whose address is drawn: irons where there is one."""
    return next((f for f in POSTURE_ORDER if findings.value(f"posture.{f}") is not None), None)


def posture_angles(findings: Findings) -> PostureAngles | None:
    """Angles of the address that is drawn, with the knee nearer the eye: the trail leg."""
    family = posture_family(findings)
    if family is None:
        return None
    value = findings.value(f"posture.{family}")
    lead, trail = getattr(value, "knee_flex_lead_deg", None), getattr(value, "knee_flex_trail_deg", None)
    return PostureAngles(
        trunk_deg=getattr(value, "trunk_deg", None),
        thigh_deg=getattr(value, "thigh_deg", None),
        knee_flex_deg=trail if trail is not None else lead,  # the near leg, seen from behind the ball
        arm_hang_deg=getattr(value, "arm_hang_deg", None),
    )


def toe_out_uneven(findings: Findings) -> bool:
    """Whether the two feet turn out differently, beyond the error of the difference."""
    for family in FAMILIES:
        setup = setup_of(findings, family)
        if setup is None or setup.toe_out_lead_deg is None or setup.toe_out_trail_deg is None:
            continue
        apart = difference(setup.toe_out_lead_deg, setup.toe_out_trail_deg)
        if abs(apart.value) > apart.half_width():
            return True
    return False


def unmeasured(findings: Findings) -> tuple[tuple[str, str], ...]:
    """Everything that was not measured with its reason, each once, in the order of the visit."""
    found: dict[str, str] = {}
    for line in findings.not_measured:
        what, _, why = line.partition(": ")
        found.setdefault(what.strip(), why.strip() or "no reason given")
    for finding in findings.findings:
        what = finding.kind.replace(".", ", ")
        covered = any(what == known or what.startswith(f"{known},") for known in found)
        if finding.status == "not measured" and not covered:
            found[what] = finding.reason or "no reason given"
    return tuple(found.items())
