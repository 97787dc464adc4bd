"""Body: sizes, each twice, mass, shoe size, and limbs that are absent, prosthetic or not to be tested."""

from typing import get_args

from evenground.assess.person import body_report
from evenground.body.report import BodyReport
from evenground.body.sizes import SIDED, SIZE_NAMES, SIZES, words
from evenground.body.survey import Reference
from evenground.fit.protocol_checks import KEY_SIZES
from evenground.floor import Side
from evenground.report.body_drawing import body_drawing
from evenground.report.words import estimate_text
from evenground.studio.pages.cells import Cell, Column, Grid, Line, Spot, cell
from evenground.studio.pages.leading import doing
from evenground.studio.pages.scene import Scene
from evenground.studio.pages.view import CheckPage, CheckView, Fact
from evenground.studio.svg import Picture, picture
from evenground.visit import BodyCheck, Limb, LimbState

__all__ = ["PAGE"]

OTHER_SIZES = (
    "shoulder_height",
    "biacromial_breadth",
    "crotch_height",
    "arm_length",
    "foot_length",
    "foot_breadth",
)
REST = tuple(n for n in SIZE_NAMES if n not in (*KEY_SIZES, *OTHER_SIZES))
SIDES: tuple[Side, ...] = ("left", "right")
REPEATS = (1, 2)
ORDINALS = ("first", "second", "third", "fourth", "fifth")  # as many readings of a side as are ever asked for


def view(scene: Scene) -> CheckView:
    """The page of this check."""
    report = body_report(scene.visit, scene.visit.body or BodyCheck())
    return CheckView(
        check="body",
        title="Body",
        under="ISO 7250-1 sizes, key sizes twice",
        doing=doing(scene, "body"),
        grids=(
            _sizes(scene, report, "sizes", "Key sizes", KEY_SIZES),
            _mass(scene, report),
            _limbs(scene),
            _sizes(scene, report, "more-sizes", "More sizes", OTHER_SIZES, folded=True),
            _sides(scene, report),
            _sizes(scene, report, "all-sizes", "All other sizes", REST, folded=True),
        ),
        pictures=_pictures(scene, report),
        facts=_facts(scene, report),
    )


def _size_cell(scene: Scene, name: str, repeat: int, side: Side | None = None) -> Cell:
    keys = {"name": name, "repeat": repeat} | ({} if side is None else {"side": side})
    said = " ".join(w for w in (side, words(name)) if w)
    spot = Spot(kind="body size", keys=keys, field="size_mm")
    return cell(scene.log, scene.system, spot, f"{said}, reading {repeat}")


def _sizes(
    scene: Scene,
    report: BodyReport,
    name: str,
    title: str,
    sizes: tuple[str, ...],
    *,
    folded: bool = False,
) -> Grid:
    """Fields of some sizes, each with what does not fit beside it, or what is predicted of it."""
    lines = tuple(
        Line(
            label=words(size),
            cells=tuple(_size_cell(scene, size, n) for n in REPEATS),
            note=_note(scene, report, size),
            warns=bool(report.of(size)),
        )
        for size in sizes
    )
    columns = tuple(Column(label=ORDINALS[n - 1]) for n in REPEATS)
    wrong = any(report.of(size) for size in sizes)
    return Grid(name=name, title=title, columns=columns, lines=lines, folded=folded and not wrong, noted=True)


def _note(scene: Scene, report: BodyReport, name: str) -> str:
    """What is wrong with a size, else what it probably is while nobody has measured it."""
    warnings = [w.sentence for w in report.of(name)]
    if warnings:
        return " ".join(warnings)
    predicted = next((p for p in report.predicted if p.name == name), None)
    if predicted is None:
        return ""
    return f"predicted {estimate_text(predicted.size_mm, scene.system, decimals=0)}"


def _sides(scene: Scene, report: BodyReport) -> Grid:
    readings = range(1, _readings_a_side(scene, report) + 1)
    codes = ("sides-differ", "sides-unsure", "absent-limb")
    lines = tuple(
        Line(
            label=words(name),
            cells=tuple(_size_cell(scene, name, n, side) for side in SIDES for n in readings),
            note=" ".join(
                w.sentence for w in (*report.of(name), *report.asks) if w.where == name and w.code in codes
            ),
            warns=bool(report.of(name)),
        )
        for name in SIDED
    )
    columns = tuple(Column(label=f"{side}, {ORDINALS[n - 1]}") for side in SIDES for n in readings)
    return Grid(
        name="sides",
        title="Left and right apart",
        columns=columns,
        lines=lines,
        note="A size that is the same on both sides needs no side; these are for limbs that differ.",
        folded=not any(line.note for line in lines),
        noted=True,
    )


def _readings_a_side(scene: Scene, report: BodyReport) -> int:
    """Two, and one more than were taken where another is asked for."""
    body = scene.visit.body
    taken = [(s.name, len(s.readings_mm)) for s in (() if body is None else body.sizes) if s.side]
    asked = {ask.where for ask in report.asks}
    most = max((n + (name in asked) for name, n in taken), default=0)
    return min(max(most, len(REPEATS)), len(ORDINALS))


def _mass(scene: Scene, report: BodyReport) -> Grid:
    log, system = scene.log, scene.system
    shoe = Spot(kind="shoe size", field="shoe_size")
    seated, table = Spot(kind="seated", field="seated"), Spot(kind="player", field="reference")
    return Grid(
        name="mass",
        title="",
        columns=(
            Column(label="mass"),
            Column(label="shoe size", unit="with its system"),
            Column(label="measured and plays seated"),
            Column(label="compared with", unit="adults of the survey"),
        ),
        lines=(
            Line(
                label="",
                cells=(
                    cell(log, system, Spot(kind="body mass", field="mass_kg"), "Mass"),
                    cell(log, system, shoe, "Shoe size", control="words", hint="EU 42"),
                    cell(log, system, seated, "Measured and plays seated", control="yes or no"),
                    cell(log, system, table, "Compared with", control="choice", choices=get_args(Reference)),
                ),
                note=_note(scene, report, "mass"),
                warns=bool(report.of("mass")),
            ),
        ),
        noted=True,
    )


def _limbs(scene: Scene) -> Grid:
    limbs: tuple[str, ...] = get_args(Limb)
    lines = tuple(
        Line(
            label=limb,
            cells=(
                cell(
                    scene.log,
                    scene.system,
                    Spot(kind="limb", keys={"limb": limb}, field="state"),
                    limb,
                    control="choice",
                    choices=get_args(LimbState),
                ),
            ),
        )
        for limb in limbs
    )
    said = any(s.values.get("state") for s in scene.log.of("limb"))
    return Grid(
        name="limbs",
        title="Absent, prosthetic or not to be tested",
        columns=(Column(label=""),),
        lines=lines,
        note="Checks that need what a player does not use drop out, and the card says so.",
        folded=not said,
    )


def _facts(scene: Scene, report: BodyReport) -> tuple[Fact, ...]:
    """Sizes with what the survey expects given the others, what does not belong, what is not compared."""
    facts = [
        Fact(what="look again", figure=w.where.replace("_", " "), note=w.text)
        for w in report.warnings
        if w.where not in SIZES and w.where != "mass"
    ]
    facts += [
        Fact(
            what=" ".join(w for w in (s.side, words(s.name)) if w),
            figure=estimate_text(s.size_mm, scene.system, decimals=0),
            note=""
            if s.expected_mm is None
            else f"given the other sizes {estimate_text(s.expected_mm, scene.system, decimals=0)}",
        )
        for s in report.sizes
    ]
    facts += [
        Fact(
            what=words(p.name),
            figure=estimate_text(p.size_mm, scene.system, decimals=0),
            note="predicted, not measured",
        )
        for p in report.predicted
        if p.name not in SIZE_NAMES
    ]
    return tuple(facts + [Fact(what="not compared", figure="", note=note) for note in report.notes])


def _pictures(scene: Scene, report: BodyReport) -> tuple[Picture, ...]:
    drawing = body_drawing(report, scene.system)
    if drawing is None:
        return ()
    said = "; ".join(
        f"{words(s.name)} {estimate_text(s.size_mm, scene.system, decimals=0)}" for s in report.sizes
    )
    says = f"The body from the front with its sizes, predicted ones dotted: {said}."
    return (picture(drawing, says=says, name="body", wide_px=250.0, margin_px=(200.0, 12.0)),)


PAGE = CheckPage(check="body", view=view)
