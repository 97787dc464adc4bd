"""Hand-made visits and findings: full, sparse, left-handed, and too much of everything."""

import math
from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from typing import Any

from evenground.estimate import Estimate, Interval
from evenground.findings import FamilySetup, Finding, Findings, Range
from evenground.fit.aim import AimFit
from evenground.fit.grip import GripWanted
from evenground.fit.grip_build import fit_grip
from evenground.fit.stance_types import ConditionCurve, CurvePoint, FamilyAnswer, StanceFit, Stop, WidthWindow
from evenground.floor import Handed
from evenground.measure.posture import PostureAngles
from evenground.stock import GripSection, Stock, StockGrip, Tape
from evenground.visit import (
    AimCheck,
    AimTrial,
    BallPlace,
    Check,
    Family,
    HipLineCheck,
    HipLineTrial,
    OwnClub,
    Player,
    Shoes,
    Visit,
)

DAY = date(2026, 5, 9)


def mm(value: float, se: float) -> Estimate:
    return Estimate(value=value, se=se, unit="mm")


def deg(value: float, se: float) -> Estimate:
    return Estimate(value=value, se=se, unit="deg")


def finding(
    kind: str, value: Any | None, reason: str | None = None, methods: Mapping[str, int] | None = None
) -> Finding:
    return Finding(
        key="0" * 16,
        kind=kind,
        status="not measured" if value is None else "measured",
        value=value,
        reason=reason,
        evidence=(),
        methods=methods or {kind.split(".", maxsplit=1)[0]: 1},
    )


def setup(family: Family, low: float, high: float, ball: tuple[float, float], **changes: Any) -> FamilySetup:
    means = "each width in this range: nine in ten"
    offset = 66.0
    plain = FamilySetup(
        family=family,
        answer="square",
        probability=0.93,
        carried_over_from=None,
        width_heel_centres_mm=mm((low + high) / 2 + offset, 6.0),
        width_inside_mm=Range(low=low, high=high, unit="mm", means=means),
        width_shoe_lengths=Range(low=low / 290, high=high / 290, unit="shoe lengths", means=means),
        was_inside_mm=mm(low - 40.0, 2.5),
        toe_out_lead_deg=deg(18.0, 0.9),
        toe_out_trail_deg=deg(8.0, 0.9),
        ball_inside_lead_heel_mm=mm(ball[0], 3.0),
        ball_from_toe_line_mm=mm(ball[1], 4.0),
        width_heel_range_mm=Range(low=low + offset, high=high + offset, unit="mm", means=means),
    )
    return replace(plain, **changes)


def setups() -> list[Finding]:
    return [
        finding("setup.putter", setup("putter", 230, 255, (120, 260), toe_out_lead_deg=deg(6.0, 0.8))),
        finding("setup.irons", setup("irons", 355, 380, (150, 395), answer="likely", probability=0.82)),
        finding(
            "setup.woods", setup("woods", 400, 425, (55, 560), answer="likely", carried_over_from="irons")
        ),
    ]


TRIALS = (
    (1, 420.0, 1.4), (2, 300.0, 6.8), (3, 520.0, -4.4), (4, 440.0, -0.3), (5, 380.0, 3.1), (6, 430.0, 0.9),
    (7, 470.0, -1.6), (8, 410.0, 1.2),
)  # fmt: skip


def curve() -> tuple[CurvePoint, ...]:
    points = []
    for width in range(200, 621, 10):
        mean = -0.045 * (width - 435.0) - 1.2 * math.sin((width - 435.0) / 90.0)
        sd = 0.7 + 0.00009 * (width - 430.0) ** 2
        points.append(
            CurvePoint(width_mm=float(width), mean_deg=mean, sd_deg=sd, p_square=max(0.0, 1 - abs(mean) / 4))
        )
    return tuple(points)


def stance() -> StanceFit:
    answers = {
        family: FamilyAnswer(
            answer="square",
            width_mm=mm(433.0, 6.0),
            probability=0.93,
            carried_over=family == "woods",
            best_width_mm=433.0,
            any_square=0.99,
            window_mm=WidthWindow(low_mm=220.0, high_mm=600.0),
            borrowed_from="irons" if family == "woods" else None,
            own_trials=8,
        )
        for family in ("putter", "irons", "woods")
    }
    bands = ((415.0, 455.0, 0.91),)
    return StanceFit(
        families=answers,  # type: ignore[arg-type]
        square_bands_mm=bands,
        drift_deg_per_trial=deg(0.04, 0.09),
        next=None,
        stop=Stop(done=True, reason="settled"),
        curve=curve(),
        noise_deg=deg(1.6, 0.4),
        phase="before",
        margin_deg=2.0,
        stature_mm=1780.0,
        stature_assumed=False,
        conditions=(
            ConditionCurve(
                families=("putter", "irons", "woods"),
                phase="before",
                trials=len(TRIALS),
                square_bands_mm=bands,
                curve=curve(),
            ),
        ),
        change=(),
        flags=(),
    )


def posture() -> PostureAngles:
    return PostureAngles(
        family="irons",
        trunk_deg=deg(36.0, 0.9),
        thigh_deg=deg(14.0, 1.0),
        knee_flex_lead_deg=deg(21.0, 1.2),
        knee_flex_trail_deg=deg(22.0, 1.2),
        arm_hang_deg=deg(4.0, 1.0),
        notes=(),
    )


def wanted() -> GripWanted:
    return GripWanted(upper_mm=mm(22.9, 0.4), lower_mm=mm(21.1, 0.4), notes=())


def aim() -> AimFit:
    return AimFit(
        bias_deg=deg(-0.6, 0.12),
        spread_deg=deg(0.8, 0.2),
        spread_interval=Interval(low=0.55, high=1.46, level=0.95, unit="deg"),
        window_deg=1.29,
        inside_probability=Estimate(value=0.72, se=0.06, unit=""),
        inside_interval=Interval(low=0.6, high=0.83, level=0.95, unit=""),
        more_trials=4,
        face_share=0.83,
        face_window_deg=1.55,
        start_probability=Estimate(value=0.82, se=0.05, unit=""),
        aims_deg=(-1.4, -0.2, -0.6, 0.3, -1.1),
        notes=(),
    )


def stock() -> Stock:
    sections = tuple(
        GripSection(station_mm=z, outside_mm=o, core_mm=c)
        for z, o, c in ((20.0, 24.0, 14.73), (160.0, 21.6, 14.73), (260.0, 19.4, 14.73))
    )
    return Stock(
        tape=Tape(double_sided_mm=0.127, build_up_mm=0.127, layer_mass_g=1.5, most_layers=6),
        grips=(StockGrip(mark="ridge", length_mm=267.0, mass_g=50.0, sections=sections),),
    )


def builds(own: tuple[OwnClub, ...]) -> list[Finding]:
    return [finding(f"grip.build.{club.mark}", fit_grip(wanted(), stock(), club)) for club in own]


def clubs(count: int = 4) -> tuple[OwnClub, ...]:
    marks = [
        "Driver",
        "7-iron",
        "Wedge",
        "Putter",
        *(f"Extra club number {n} of a full bag" for n in range(5, 15)),
    ]
    families: list[Family] = ["woods", "irons", "irons", "putter", *(["irons"] * 10)]  # type: ignore[list-item]
    return tuple(
        OwnClub(
            mark=marks[n],
            family=families[n],
            butt_upper_mm=15.0,
            butt_lower_mm=13.9,
            grip_upper_mm=22.0 + 0.45 * n,
            grip_lower_mm=20.4 + 0.4 * n,
        )
        for n in range(count)
    )


def full_visit(handed: Handed = "right") -> Visit:
    families: tuple[Family, ...] = ("putter", "irons", "woods")
    return Visit(
        visit="2026-05-09-tamsin",
        day=DAY,
        player=Player(name="Tamsin Orrelford", handed=handed),
        screening="cleared",
        teacher="J. Vellacott",
        shoes=Shoes(name="own golf shoes", length_mm=290.0, heel_breadth_mm=66.0),
        own_clubs=clubs(),
        ball=tuple(
            BallPlace(family=f, inside_lead_heel_mm=(1.0,), from_toe_line_mm=(1.0,)) for f in families
        ),
        hip_line=HipLineCheck(
            landmark="front of the pelvis",
            trials=tuple(HipLineTrial(trial=n, width_mm=w, hip_line_deg=y) for n, w, y in TRIALS),
        ),
        aim=AimCheck(distance_m=1.83, trials=(AimTrial(trial=1, offset_mm=-20.0),)),
        skipped={"turn": "no time left"},
    )


def full_findings() -> Findings:
    return Findings(
        visit="2026-05-09-tamsin",
        version="0.1.0",
        findings=(
            finding("stance", stance(), methods={"stance": 1}),
            *setups(),
            finding("posture.irons", posture()),
            finding("grip.wanted", wanted()),
            *builds(clubs()),
            finding("aim.as arrived", aim()),
            finding("turn", None, "skipped, no time left"),
        ),
        not_measured=("turn: skipped, no time left", "body: not done", "ground: the mat was not there"),
    )


def sparse_findings() -> Findings:
    return Findings(visit="empty", version="0.1.0", findings=(), not_measured=())


def sparse_visit() -> Visit:
    return Visit(visit="empty", day=DAY, player=Player(name="Bo", handed="right"))


def crowded_visit() -> Visit:
    """Long names, a full bag, everything skipped with a long reason."""
    checks: tuple[Check, ...] = ("as arrived", "body", "ground", "posture", "turn", "grip", "ball", "aim")
    return replace(
        full_visit(),
        player=Player(
            name="Wilhelmina Theodora Featherstonehaugh-Aldenburgh van der Oosterkade", handed="right"
        ),
        teacher="Bartholomew Quillfeather-Northumbrian of the Lower Terrace",
        shoes=Shoes(name="own golf shoes, the old brown pair with the worn left heel and new laces"),
        own_clubs=clubs(14),
        skipped=dict.fromkeys(checks, "the player had to leave early for the train and could not come back"),
        screening="measuring only",
    )


def crowded_findings() -> Findings:
    """Every club its own line, every check not measured for a long reason."""
    plain = full_findings()
    own = [replace(c, grip_upper_mm=20.0 + 0.31 * n) for n, c in enumerate(clubs(14))]
    gone = tuple(
        f"{what}: the player had to leave early for the train and could not come back"
        for what in ("body", "ground", "turn", "grip.check", "posture.putter", "posture.woods", "safety")
    )
    kept = tuple(f for f in plain.findings if not f.kind.startswith("grip.build"))
    return replace(plain, findings=(*kept, *builds(tuple(own))), not_measured=gone)
