"""Every measured figure with its error: ground side by side, the rest in a list."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from evenground.estimate import Estimate
from evenground.findings import Finding, Findings
from evenground.report.read import ground_conditions
from evenground.report.words import MINUS, estimate_text
from evenground.units import LengthSystem

__all__ = ["FigureRow", "GroundTable", "figure_rows", "ground_table"]

MOST_COLUMNS = 4
BELOW = "below this mat's floor"

# Path into the result, and the words for it; left and right are the player's own.
GROUND = (
    ("feet.left.load_percent", "load on the left foot"),
    ("feet.right.load_percent", "load on the right foot"),
    ("feet.left.toe_out_deg", "toe-out, left"),
    ("feet.right.toe_out_deg", "toe-out, right"),
    ("feet.left.cop_percent_length", "CoP from the heel, left, of its length"),
    ("feet.right.cop_percent_length", "CoP from the heel, right, of its length"),
    ("feet.left.heel_load_percent", "on the heel, of the left foot's load"),
    ("feet.right.heel_load_percent", "on the heel, of the right foot's load"),
    ("stance_width_mm.heel_centres", "width, heel centre to heel centre"),
    ("stance_width_mm.inside", "width, inside edges"),
    ("stance_width_mm.outside", "width, outside edges"),
    ("fore_aft_offset_mm", "lead foot ahead by"),
    ("heel_line_deg", "heel line against the target line, + open"),
    ("load_line_deg", "load line against the heel line, + open"),
    ("sway.mean_velocity_mm_s", "mean velocity of the CoP"),
)

POSTURE = (
    ("trunk_deg", "trunk from the vertical"),
    ("thigh_deg", "thigh from the vertical"),
    ("knee_flex_lead_deg", "knee flex, lead"),
    ("knee_flex_trail_deg", "knee flex, trail"),
    ("arm_hang_deg", "arms from the vertical"),
)
VIEW = (
    ("angles.centre_of_mass_percent", "balance by the photo, from the heel"),
    ("mat.mat_percent", "balance by the mat"),
    ("angles.eye_line_deg", "eye line, + looking down"),
    ("angles.eye_beyond_ball_mm", "eyes, + beyond the ball"),
    ("angles.hands_height_mm", "hands above the floor"),
    ("angles.hands_from_thigh_mm", "hands ahead of the thigh"),
)
ADDRESS = (
    ("trunk_deg", "trunk that body and club ask for"),
    ("knee_flex_deg", "knee flex"),
    ("arm_hang_deg", "arms from hanging"),
    ("ball_from_toe_mm", "ball ahead of the toes"),
)
TURN = (
    ("lead.mean_deg", "turn toward the target, mean"),
    ("lead.best_deg", "turn toward the target, best"),
    ("trail.mean_deg", "turn away from the target, mean"),
    ("trail.best_deg", "turn away from the target, best"),
    ("difference_deg", "toward less away"),
)
AIM = (
    ("bias_deg", "face on average, + open"),
    ("spread_deg", "spread of one aim (standard deviation)"),
    ("inside_probability", "chance that the face looks inside the hole"),
    ("start_probability", "chance that a ball with a straight path starts inside"),
)
EYES = (
    ("offset_mm", "eyes beyond the ball's line, inside is less"),
    ("direction_deg", "line through the eyes, + open"),
)
GRIP = (("upper_mm", "wanted, upper hand"), ("lower_mm", "wanted, lower hand"))
CHECK = (
    ("own_deg", "hip line with the own grip"),
    ("proposed_deg", "hip line with the proposed grip"),
    ("difference_deg", "hip line, proposed less own grip"),
)
CONFIRM = (
    ("predicted_deg", "hip line as the curve predicts"),
    ("observed_deg", "hip line in fresh placements"),
    ("apart_deg", "observed less predicted"),
    ("as_arrived_deg", "hip line in the own stance"),
)
LOAD = (
    ("predicted_mm", "shift ahead if the body does not give way"),
    ("observed_mm", "shift ahead, observed"),
    ("apart_mm", "observed less predicted"),
)

NAMED = (
    ("posture.", "Posture", POSTURE),
    ("posture view.", "Posture from a photo", VIEW),
    ("address.", "Address", ADDRESS),
    ("turn.pelvis", "Turn, pelvis", TURN),
    ("turn", "Turn, trunk", TURN),
    ("grip.wanted", "Grip", GRIP),
    ("grip.check.", "Grip check", CHECK),
    ("stance.confirm.", "Confirmation", CONFIRM),
    ("aim.", "Aim", AIM),
    ("held load.", "Held load", LOAD),
    ("eye line", "Aim, eyes", EYES),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureRow:
    """One figure: heading, what it is, its value with the error, how many readings stand behind it."""

    group: str
    what: str
    figure: str
    readings: str


@dataclass(frozen=True, slots=True, kw_only=True)
class GroundTable:
    """The mat's figures, one column a way of standing; `rows` hold a name and one figure a column."""

    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def ground_table(findings: Findings, system: LengthSystem) -> GroundTable | None:
    """Load, toe-out, CoP, widths and lines of each way of standing; None when nobody stood on the mat."""
    conditions = ground_conditions(findings)[:MOST_COLUMNS]
    if not conditions:
        return None
    rows = []
    for path, words in GROUND:
        values = [_at(value, path) for _, value in conditions]
        if any(isinstance(v, Estimate) for v in values):
            rows.append((words, *(_figure(ground, path, system) for _, ground in conditions)))
    heads = [f"{name} ({_placements(value)})" for name, value in conditions]
    return GroundTable(columns=tuple(heads), rows=tuple(rows))


def figure_rows(findings: Findings, system: LengthSystem) -> Iterator[FigureRow]:
    """Figures of all other findings, in the order of the visit."""
    for finding in findings.findings:
        if finding.value is None:
            continue
        if finding.kind == "body":
            yield from _body(finding, system)
        if finding.kind == "full-swing aim":
            yield from _swings(finding)
        for head, title, paths in NAMED:
            if finding.kind.startswith(head):
                yield from _rows(finding, head, title, paths)
                break


def _rows(finding: Finding, head: str, title: str, paths: tuple[tuple[str, str], ...]) -> Iterator[FigureRow]:
    rest = finding.kind.removeprefix(head).replace(".", ", ")
    group = f"{title}, {rest}" if rest else title
    for path, words in paths:
        value = _at(finding.value, path)
        if isinstance(value, Estimate):
            decimals = 2 if path.endswith("probability") else 1
            shown = estimate_text(value, decimals=decimals)
            yield FigureRow(group=group, what=words, figure=shown, readings=str(value.n))


def _body(finding: Finding, system: LengthSystem) -> Iterator[FigureRow]:
    for size in getattr(finding.value, "sizes", ()):
        name = " ".join(part for part in (size.side, size.name.replace("_", " ")) if part)
        shown = estimate_text(size.size_mm, system, decimals=0)
        yield FigureRow(group="Body", what=name, figure=shown, readings=str(size.size_mm.n))


def _swings(finding: Finding) -> Iterator[FigureRow]:
    """Each full-swing club in metres at its target; one aim has no error and is told as one."""
    for club in getattr(finding.value, "clubs", ()):
        what = f"{club.club} at {club.target_m:g} m, right of the target"
        once = f"{club.once_m:.1f} m".replace("-", MINUS)
        shown = once if club.miss_m is None else estimate_text(club.miss_m)
        count = 1 if club.miss_m is None else club.miss_m.n
        yield FigureRow(group="Aim, full swing", what=what, figure=shown, readings=str(count))


def _figure(ground: Any, path: str, system: LengthSystem) -> str:
    """A figure as shown; one of the sway that is no more than the mat makes of it alone says so."""
    floor = getattr(ground, "sway_floor", None)
    if floor is not None and path.removeprefix("sway.") in floor.below:
        return BELOW
    return _shown(_at(ground, path), system)


def _at(value: Any, path: str) -> Any | None:
    """The value at the end of a dotted path, None where the path ends early."""
    for name in path.split("."):
        value = getattr(value, name, None)
    return value


def _shown(value: Any, system: LengthSystem) -> str:
    return estimate_text(value, system) if isinstance(value, Estimate) else "not measured"


def _placements(value: Any) -> str:
    width = _at(value, "stance_width_mm.heel_centres")
    n = width.n if isinstance(width, Estimate) else 0
    return f"{n} placement{'' if n == 1 else 's'}"
