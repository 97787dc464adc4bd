"""What the pages take out of findings: one small question a function, None when it was not measured."""

from typing import Any

from evenground.estimate import difference
from evenground.findings import FamilySetup, Finding, Findings
from evenground.report.figure_drawing import PostureAngles
from evenground.visit import FAMILIES, Check, Family, Visit

__all__ = [
    "aim_conditions",
    "balance_words",
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


def balance_words(findings: Findings) -> str:
    """Where the drawn address's photo puts the balance, and where the mat does; empty without a photo."""
    heads = f"posture view.{posture_family(findings)}."
    seen = [f.value for f in findings.findings if f.kind.startswith(heads) and f.value is not None]
    view = next((v for v in seen if v.angles.centre_of_mass_percent is not None), None)
    if view is None:
        return ""
    photo, mat = view.angles.centre_of_mass_percent, view.mat
    said = f"Balance by the photo {photo.value:.0f} ± {photo.half_width():.0f} % of the foot from the heel"
    if mat is None:
        return f"{said}."
    referee = "" if mat.agree else ", beyond both errors: the mat counts"
    return f"{said}, by the mat {mat.mat_percent.value:.0f} ± {mat.mat_percent.half_width():.0f} %{referee}."


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


SPOKEN = {
    "grip.build": "grip build",
    "ground change": "ground compared",
    "grip.check": "grip check",
    "grip.wanted": "grip sizes",
    "stance": "stance widths",
    "stance.search": "stance search",
}

# A check counts as measured when one of these has a value; the two that findings do not name are looked up
# in the visit itself.
STANDS_FOR: dict[Check, tuple[str, ...]] = {
    "safety": ("safety",),
    "body": ("body",),
    "hands": ("grip.wanted",),
    "own clubs": ("grip.build",),
    "ground": ("ground",),
    "hip line": ("hip line", "stance"),
    "posture": ("posture",),
    "turn": ("turn",),
    "grip": ("grip.check",),
    "aim": ("aim",),
}


def unmeasured(visit: Visit, findings: Findings) -> tuple[tuple[str, str], ...]:
    """Everything that was not measured with its reason, each once; a check nobody spoke of is *not done*."""
    found: dict[str, str] = {}
    for sentence in findings.not_measured:
        kind, _, why = sentence.partition(": ")
        found.setdefault(_spoken(kind.strip()), why.strip() or "no reason given")
    for finding in findings.findings:
        if finding.status == "not measured":
            found.setdefault(_spoken(finding.kind), finding.reason or "no reason given")
    kinds = {f.kind for f in findings.findings} | {s.partition(":")[0] for s in findings.not_measured}
    for check, heads in STANDS_FOR.items():
        if not any(kind == head or kind.startswith(f"{head}.") for kind in kinds for head in heads):
            found.setdefault(check, visit.skipped.get(check, "not done"))
    return tuple(found.items())


def _spoken(kind: str) -> str:
    """A finding's kind as a person says it.

    Examples
    --------
    >>> _spoken("ground.fitted.golf shoes"), _spoken("grip.build.driver")
    ('ground (fitted, golf shoes)', 'grip build (driver)')
    """
    if kind in SPOKEN:
        return SPOKEN[kind]
    parts = kind.split(".")
    head = 2 if ".".join(parts[:2]) in SPOKEN else 1
    name = SPOKEN.get(".".join(parts[:head]), parts[0])
    return f"{name} ({', '.join(parts[head:])})" if parts[head:] else name
