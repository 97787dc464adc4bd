"""The lines on which two visits are compared: where each figure stands, what matters, what must be alike."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from evenground.estimate import Estimate
from evenground.fit import change_constants as c
from evenground.fit.change import Figure
from evenground.visit import FAMILIES, Family, StudioSnapshot, Visit

__all__ = ["Line", "Told", "figure_at", "hip_line_at", "lines_of"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """One visit as it was found: what was measured, the studio then, and the findings in their plain form."""

    visit: Visit
    studio: StudioSnapshot
    findings: Mapping[str, Any]

    def finding(self, kind: str) -> Mapping[str, Any] | None:
        """The plain finding of one kind, if there is one."""
        return next((f for f in self.findings["findings"] if f["kind"] == kind), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line: the finding and the path of its figure, what matters, which conditions must be alike.

    `error` names the kind of reading whose error between observers enters when two visits are compared.
    """

    key: str
    title: str
    kind: str
    path: str
    matters: float
    alike: tuple[str, ...] = ()
    error: str | None = None


POSTURE = (
    ("trunk_deg", "trunk"),
    ("thigh_deg", "thigh"),
    ("knee_flex_lead_deg", "knee flex, lead"),
    ("knee_flex_trail_deg", "knee flex, trail"),
    ("arm_hang_deg", "arms"),
)
GROUND = (
    ("feet.left.load_percent", "load on the left foot", c.LOAD_PERCENT.value),
    ("feet.left.cop_percent_length", "balance from the heel, left", c.BALANCE_PERCENT.value),
    ("feet.right.cop_percent_length", "balance from the heel, right", c.BALANCE_PERCENT.value),
    ("load_line_deg", "load line", c.LINE_DEG.value),
)


def lines_of(before: Told, after: Told) -> Iterator[Line]:
    """Every line that either visit has something to say on, in the order of the card."""
    kinds = dict.fromkeys(
        f["kind"] for told in (before, after) for f in told.findings["findings"] if f["value"] is not None
    )
    for family in FAMILIES:
        if f"setup.{family}" in kinds:
            yield from _family_lines(family)
    for kind in kinds:
        yield from _kind_lines(kind)


def _family_lines(family: Family) -> Iterator[Line]:
    name, kind = family.capitalize(), f"setup.{family}"
    yield Line(
        key=f"{family}.own width",
        title=f"{name}: own stance width",
        kind=kind,
        path="was_inside_mm",
        matters=c.WIDTH_MM.value,
        alike=("shoes",),
        error="width",
    )
    yield Line(
        key=f"{family}.width",
        title=f"{name}: squarest width",
        kind=kind,
        path="width_heel_centres_mm",
        matters=c.WIDTH_MM.value,
        alike=("shoes", "landmark", "hands", "method"),
    )
    for path, words in (("toe_out_lead_deg", "lead"), ("toe_out_trail_deg", "trail")):
        yield Line(
            key=f"{family}.toe-out {words}",
            title=f"{name}: toe-out, {words}",
            kind=kind,
            path=path,
            matters=c.TOE_OUT_DEG.value,
            alike=("shoes", "mat"),
        )
    for path, words in (
        ("ball_inside_lead_heel_mm", "from the lead heel"),
        ("ball_from_toe_line_mm", "from the toe line"),
    ):
        yield Line(
            key=f"{family}.ball {words}",
            title=f"{name}: ball {words}",
            kind=kind,
            path=path,
            matters=c.BALL_MM.value,
            alike=("shoes",),
            error="ball",
        )


TURNS = {"turn": "Turn", "turn.pelvis": "Turn of the pelvis"}


def _kind_lines(kind: str) -> Iterator[Line]:
    head, _, rest = kind.partition(".")
    if head == "posture" and rest:
        for path, words in POSTURE:
            title = f"Posture, {rest}: {words}"
            yield _plain(kind, path, title, c.POSTURE_DEG.value, ("method",), error="posture")
    elif kind in TURNS:
        for side, words in (("lead", "toward the target"), ("trail", "away from the target")):
            title = f"{TURNS[kind]} {words}"
            yield _plain(kind, f"{side}.mean_deg", title, c.TURN_DEG.value, ("method",), error="turn")
    elif head == "ground" and rest:
        for path, words, matters in GROUND:
            title = f"Ground, {rest.replace('.', ', ')}: {words}"
            yield _plain(kind, path, title, matters, ("mat", "shoes", "method"))
    elif head == "aim" and rest:
        for path, words in (("bias_deg", "where the face looks"), ("spread_deg", "spread of one aim")):
            yield _plain(kind, path, f"Aim, {rest}: {words}", c.AIM_DEG.value, ("distance", "method"))


def _plain(
    kind: str, path: str, title: str, matters: float, alike: tuple[str, ...], *, error: str | None = None
) -> Line:
    return Line(
        key=f"{kind}.{path}", title=title, kind=kind, path=path, matters=matters, alike=alike, error=error
    )


def figure_at(told: Told, line: Line) -> Figure:
    """A line's figure in one visit, with what it was taken under."""
    finding = told.finding(line.kind)
    under = {name: _condition(told, line.kind, name) for name in ("handedness", *line.alike)}
    if finding is None or finding["value"] is None:
        return Figure(value=None, reason=None if finding is None else finding["reason"], under=under)
    at: Any = finding["value"]
    for name in line.path.split("."):
        at = at.get(name) if isinstance(at, Mapping) else None
    if not isinstance(at, Mapping) or not {"value", "se", "unit"} <= at.keys():
        return Figure(value=None, reason=_why_none(finding, line), under=under)
    return Figure(value=Estimate.from_json(at), under=under)  # type: ignore[arg-type]


def _why_none(finding: Mapping[str, Any], line: Line) -> str | None:
    """What the finding itself says about a figure it does not have."""
    value = finding["value"]
    if line.path == "width_heel_centres_mm":
        return f"the answer was {value['answer']}"
    side = value.get(line.path.split(".")[0])
    return side.get("reason") if isinstance(side, Mapping) else None


def hip_line_at(told: Told, family: Family, width_mm: float) -> Figure:
    """The hip line at one heel-centre width, from the visit's own curve; its bar's error comes on top."""
    finding = told.finding("stance")
    names = ("handedness", "landmark", "hands", "shoes", "method")
    under = {name: _condition(told, "stance", name) for name in names}
    if finding is None or finding["value"] is None:
        return Figure(value=None, reason=None if finding is None else finding["reason"], under=under)
    stance = finding["value"]
    curves = [k for k in stance["conditions"] if family in k["families"] and k["phase"] == stance["phase"]]
    points = curves[0]["curve"] if curves else stance["curve"]
    if not points or not points[0]["width_mm"] <= width_mm <= points[-1]["width_mm"]:
        return Figure(value=None, reason=f"no trials near {width_mm:.0f} mm", under=under)
    nearest = min(points, key=lambda p: abs(p["width_mm"] - width_mm))
    read, check = told.finding("hip line"), told.visit.hip_line
    found_deg = 0.0 if read is None or read["value"] is None else read["value"]["bar_error_deg"]
    value = Estimate(value=nearest["mean_deg"], se=nearest["sd_deg"], unit="deg")
    shared_deg = max(found_deg, 0.0 if check is None else check.bar_error_deg)
    return Figure(value=value.widened(shared_deg), under=under)


def _condition(told: Told, kind: str, name: str) -> str | None:
    """What a figure was taken under, in words; None where it was not written down."""
    visit, check = told.visit, told.visit.hip_line
    if name == "handedness":
        return visit.player.handed
    if name == "shoes":
        return None if visit.shoes is None or "barefoot" in kind else visit.shoes.name
    if name == "mat":
        return _mat(told)
    if name == "landmark":
        return None if check is None else check.landmark
    if name == "hands":
        return None if check is None else f"hands {check.hands}"
    if name == "distance":
        return None if visit.aim is None else f"{visit.aim.distance_m:g} m"
    finding = told.finding(kind)
    return None if finding is None else _versions(finding)


def _versions(finding: Mapping[str, Any]) -> str:
    return ", ".join(f"{name} {version}" for name, version in sorted(finding["methods"].items()))


def _mat(told: Told) -> str | None:
    """What is known of the mat: its name among the instruments, its layout, how thick it is."""
    names = sorted(i.name for i in told.studio.instruments if i.kind == "mat")
    layouts = sorted({p.layout for p in told.visit.ground if p.layout is not None})
    thick = told.studio.mat_thickness_mm
    parts = [*names, *layouts, *([] if thick is None else [f"{thick:g} mm thick"])]
    return ", ".join(parts) or None
