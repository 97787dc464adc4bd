"""A body from the front, drawn to its sizes, with the sizes beside it; what was not measured is dotted."""

from collections.abc import Mapping
from dataclasses import dataclass

from evenground.body.report import BodyReport
from evenground.body.sizes import words
from evenground.estimate import Estimate
from evenground.report.drawing import (
    Anchor,
    Drawing,
    Mark,
    Point,
    Style,
    around,
    disc,
    kept_apart,
    label,
    line,
)
from evenground.report.words import estimate_text
from evenground.units import LengthSystem

__all__ = ["body_drawing"]

COLUMN_MM = 350.0
"""How far from the middle the two columns of sizes begin."""
LINE_MM = 58.0
"""Height of one line of text."""
HEAD_SHARE = 0.056  # radius of the drawn head, of the stature: no measure of anybody
HANDS_OUT_MM = 85.0

SHAPE = (
    "stature",
    "shoulder_height",
    "crotch_height",
    "tibial_height",
    "ankle_height",
    "wrist_height",
    "trochanter_height",
    "biacromial_breadth",
    "hip_breadth",
    "hand_length",
    "foot_breadth",
)
"""Sizes that the figure is drawn with; all of them are needed."""

HEIGHTS = (
    "stature",
    "neck_height",
    "shoulder_height",
    "iliac_crest_height",
    "trochanter_height",
    "crotch_height",
    "wrist_height",
    "kneecap_height",
    "tibial_height",
    "ankle_height",
)
"""The column on the left, from the top; all other sizes stand on the right."""
ALWAYS_SHOWN = ("shoulder_height", "trochanter_height", "wrist_height", "hip_breadth", "foot_length")
"""Of the predicted sizes those that are shown although nobody measured them."""


@dataclass(frozen=True, slots=True)
class _Size:
    """A size to draw with: its value, and whether it was measured."""

    name: str
    size: Estimate
    measured: bool


def body_drawing(report: BodyReport, system: LengthSystem = "metric") -> Drawing | None:
    """The figure with its sizes; None while too little is known to draw one.

    A figure needs a named survey table, so that what was not measured can be predicted and dotted.
    """
    sizes = _sizes(report)
    if any(name not in sizes for name in SHAPE):
        return None
    figure = _figure(sizes)
    return around([*figure, *_columns(sizes, system)], pad_mm=6.0)


def _sizes(report: BodyReport) -> dict[str, _Size]:
    """Each size once: measured ones, the mean of both sides, before predicted ones."""
    found = {p.name: _Size(p.name, p.size_mm, measured=False) for p in report.predicted}
    sides: dict[str, list[Estimate]] = {}
    for taken in report.sizes:
        sides.setdefault(taken.name, []).append(taken.size_mm)
    for name, each in sides.items():
        mean = sum(e.value for e in each) / len(each)
        size = Estimate(value=mean, se=max(e.se for e in each), n=sum(e.n for e in each), unit="mm")
        found[name] = _Size(name, size, measured=True)
    return found


def _style(sizes: Mapping[str, _Size], *names: str) -> Style:
    return "bold" if all(sizes[n].measured for n in names) else "dots"


def _figure(sizes: Mapping[str, _Size]) -> list[Mark]:
    mm = {name: s.size.value for name, s in sizes.items()}
    head = HEAD_SHARE * mm["stature"]
    shoulder, hip = mm["biacromial_breadth"] / 2.0, mm["hip_breadth"] / 2.0
    high, waist = mm["shoulder_height"], mm["trochanter_height"]
    marks = [
        line((-COLUMN_MM, -8.0), (COLUMN_MM, -8.0), style="hair"),
        disc((0.0, mm["stature"] - head), head, style="hollow"),
        line((0.0, mm["stature"] - 2.0 * head), (0.0, high), style=_style(sizes, "stature")),
        line(
            (-shoulder, high), (shoulder, high), style=_style(sizes, "biacromial_breadth", "shoulder_height")
        ),
        line((-hip, waist), (hip, waist), style="hair" if sizes["hip_breadth"].measured else "dots"),
    ]
    for side in (-1.0, 1.0):
        marks += _side(sizes, mm, side)
    return marks


def _side(sizes: Mapping[str, _Size], mm: Mapping[str, float], side: float) -> list[Mark]:
    """Flank, arm, leg and foot of one side."""
    shoulder, hip = side * mm["biacromial_breadth"] / 2.0, side * mm["hip_breadth"] / 2.0
    out = side * max(abs(hip), abs(shoulder)) + side * HANDS_OUT_MM
    knee, ankle = 0.66 * hip, 0.62 * hip
    inner_knee, inner_ankle = 0.20 * hip, 0.28 * hip
    foot, under = mm["foot_breadth"] / 2.0, (ankle + inner_ankle) / 2.0
    high, knees, low = mm["shoulder_height"], mm["tibial_height"], mm["ankle_height"]
    waist = (
        0.88 * min(abs(shoulder), abs(hip)) * side,
        mm["trochanter_height"] + 0.42 * (high - mm["trochanter_height"]),
    )
    flank = _style(sizes, "shoulder_height", "trochanter_height")
    leg, inner = _style(sizes, "trochanter_height", "tibial_height"), _style(sizes, "crotch_height")
    shin, wrist = _style(sizes, "tibial_height", "ankle_height"), (out, mm["wrist_height"])
    return [
        line((0.85 * shoulder, high), waist, (hip, mm["trochanter_height"]), style=flank),
        line((shoulder, high), wrist, style=_style(sizes, "wrist_height")),
        line(wrist, (out, wrist[1] - mm["hand_length"]), style=_style(sizes, "hand_length")),
        line((hip, mm["trochanter_height"]), (knee, knees), style=leg),
        line((knee, knees), (ankle, low), style=shin),
        line((0.0, mm["crotch_height"]), (inner_knee, knees), style=inner),
        line((inner_knee, knees), (inner_ankle, low), style=shin),
        line((under - foot, 0.0), (under + foot, 0.0), style=_style(sizes, "foot_breadth")),
        line((ankle, low), (under + side * foot, 0.0), style=_style(sizes, "ankle_height")),
        line((inner_ankle, low), (under - side * foot, 0.0), style=_style(sizes, "ankle_height")),
    ]


def _place(name: str, mm: Mapping[str, float]) -> Point:
    """Where on the figure a size of the right column is."""
    shoulder, hip = mm["biacromial_breadth"] / 2.0, mm["hip_breadth"] / 2.0
    high, waist, wrist = mm["shoulder_height"], mm["trochanter_height"], mm["wrist_height"]
    out = max(hip, shoulder) + HANDS_OUT_MM
    chest = high - 0.30 * (high - waist)
    places: dict[str, Point] = {
        "span": (shoulder, high),
        "biacromial_breadth": (shoulder, high),
        "bideltoid_breadth": (shoulder, high - 60.0),
        "waist_circumference": (0.9 * hip, waist + 0.35 * (high - waist)),
        "bicristal_breadth": (0.9 * hip, waist + 0.15 * (high - waist)),
        "asis_breadth": (0.7 * hip, waist + 0.08 * (high - waist)),
        "pelvic_depth": (0.7 * hip, waist + 0.08 * (high - waist)),
        "hip_breadth": (hip, waist),
        "leg_length": (0.66 * hip, mm["tibial_height"]),
        "foot_length": (0.45 * hip, 0.0),
        "foot_breadth": (0.45 * hip + mm["foot_breadth"] / 2.0, 0.0),
        "ball_of_foot_length": (0.45 * hip, 0.0),
        "heel_breadth": (0.45 * hip, 0.0),
        **dict.fromkeys(("chest_breadth", "chest_depth", "chest_circumference"), (0.95 * shoulder, chest)),
        **dict.fromkeys(
            ("hand_length", "palm_length", "hand_breadth", "hand_circumference"), (out, wrist - 90.0)
        ),
        **dict.fromkeys(("wrist_circumference", "forward_reach"), (out, wrist)),
    }
    return places.get(name, ((shoulder + out) / 2.0, (high + wrist) / 2.0))


def _columns(sizes: Mapping[str, _Size], system: LengthSystem) -> list[Mark]:
    mm = {name: s.size.value for name, s in sizes.items()}
    shown = [s for s in sizes.values() if s.size.unit == "mm" and (s.measured or s.name in ALWAYS_SHOWN)]
    left = [(s, (_edge(s.name, mm), s.size.value)) for s in shown if s.name in HEIGHTS]
    right = [(s, _place(s.name, mm)) for s in shown if s.name not in HEIGHTS]
    return [*_column(left, -1.0, system), *_column(right, 1.0, system)]


def _edge(name: str, mm: Mapping[str, float]) -> float:
    """How far left of the middle a height's line begins."""
    hip, shoulder = mm["hip_breadth"] / 2.0, mm["biacromial_breadth"] / 2.0
    across = {"stature": 0.0, "neck_height": 0.0, "crotch_height": 0.0, "shoulder_height": -shoulder}
    across["wrist_height"] = -max(hip, shoulder) - HANDS_OUT_MM
    return across.get(name, -hip * (1.0 if "crest" in name or "troch" in name else 0.6))


def _column(rows: list[tuple[_Size, Point]], side: float, system: LengthSystem) -> list[Mark]:
    """Labels below each other, each with a hairline to its place; predicted ones are soft and say so."""
    texts = [_text(size, system) for size, _ in rows]
    high = LINE_MM * max((len(lines) for lines in texts), default=0)
    tops = kept_apart([place[1] for _, place in rows], high)
    marks: list[Mark] = []
    for (size, place), lines, top in zip(rows, texts, tops, strict=True):
        end = (side * COLUMN_MM, top)
        marks.append(line(place, (side * (COLUMN_MM - 30.0), top), end, style="hair"))
        anchor: Anchor = "right" if side > 0.0 else "left"
        style: Style = "ink" if size.measured else "soft"
        for row, text in enumerate(lines):
            down = LINE_MM * (row - (len(lines) - 1) / 2.0)
            marks.append(label((end[0], top - down), text, anchor, style=style))
    return marks


def _text(size: _Size, system: LengthSystem) -> tuple[str, ...]:
    value = estimate_text(size.size, system, decimals=0)
    return (words(size.name), value) if size.measured else (words(size.name), value, "predicted")
