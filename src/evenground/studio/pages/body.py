"""Body: sizes, each twice, mass, and limbs that are absent, prosthetic or not to be tested."""

from typing import get_args

from evenground.body.ranges import BodyReport
from evenground.report.words import estimate_text
from evenground.studio.hour import Progress
from evenground.studio.pages.cells import Column, Grid, Line, Spot, cell
from evenground.studio.pages.scene import Scene
from evenground.studio.pages.view import CheckPage, CheckView, Doing, Fact
from evenground.visit import Limb, LimbState

__all__ = ["PAGE"]

KEY_SIZES = ("stature", "wrist_height", "hip_breadth")
OTHER_SIZES = (
    "shoulder_height",
    "biacromial_breadth",
    "crotch_height",
    "arm_length",
    "foot_length",
    "foot_breadth",
)
REPEATS = (1, 2)


def view(scene: Scene) -> CheckView:
    """The page of this check."""
    return CheckView(
        check="body",
        title="Body",
        under="ISO 7250-1 sizes, key sizes twice",
        doing=_doing(scene),
        grids=(
            _sizes(scene, "sizes", "Key sizes", KEY_SIZES),
            _mass(scene),
            _limbs(scene),
            _sizes(scene, "more-sizes", "More sizes", OTHER_SIZES, folded=True),
        ),
        facts=_facts(scene),
    )


def progress(scene: Scene) -> Progress:
    """How far the check is."""
    body = scene.visit.body
    if body is None or not (body.sizes or body.mass_kg):
        return Progress(state="waiting")
    taken = [s.name for s in body.sizes]
    missing = [name for name in KEY_SIZES if name not in taken]
    if missing or body.mass_kg is None:
        return Progress(state="partly", count=f"{len(KEY_SIZES) - len(missing)} of {len(KEY_SIZES)}")
    return Progress(state="done", count=str(len(taken)), enough="The key sizes are taken.")


def _doing(scene: Scene) -> Doing:
    body = scene.visit.body
    sizes = {} if body is None else {s.name: len(s.readings_mm) for s in body.sizes}
    for name in KEY_SIZES:
        if sizes.get(name, 0) < len(REPEATS):
            word = "Measure" if name not in sizes else "Measure once more:"
            return Doing(
                what=f"{word} {name.replace('_', ' ')}.",
                why="Two readings that differ show a slip that one would hide.",
            )
    if body is None or body.mass_kg is None:
        return Doing(what="Take the mass.", why="A mat that gives raw counts is scaled by it.")
    return Doing(what="Enough.", why="The key sizes are taken twice.", enough=True)


def _sizes(scene: Scene, name: str, title: str, sizes: tuple[str, ...], *, folded: bool = False) -> Grid:
    lines = tuple(
        Line(
            label=size.replace("_", " "),
            cells=tuple(
                cell(
                    scene.log,
                    scene.system,
                    Spot(kind="body size", keys={"name": size, "repeat": n}, field="size_mm"),
                    f"{size.replace('_', ' ')}, reading {n}",
                )
                for n in REPEATS
            ),
        )
        for size in sizes
    )
    columns = tuple(Column(label="first" if n == 1 else "second") for n in REPEATS)
    return Grid(name=name, title=title, columns=columns, lines=lines, folded=folded)


def _mass(scene: Scene) -> Grid:
    log, system = scene.log, scene.system
    return Grid(
        name="mass",
        title="",
        columns=(Column(label="mass"), Column(label="measured and plays seated")),
        lines=(
            Line(
                label="",
                cells=(
                    cell(log, system, Spot(kind="body mass", field="mass_kg"), "Mass"),
                    cell(
                        log,
                        system,
                        Spot(kind="seated", field="seated"),
                        "Measured and plays seated",
                        control="yes or no",
                    ),
                ),
            ),
        ),
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


def _facts(scene: Scene) -> tuple[Fact, ...]:
    report = None if scene.findings is None else scene.findings.value("body")
    if not isinstance(report, BodyReport):
        return ()
    facts = [
        Fact(what=s.name.replace("_", " "), figure=estimate_text(s.size_mm, scene.system))
        for s in report.sizes
    ]
    facts += [Fact(what=w.where.replace("_", " "), figure="look again", note=w.text) for w in report.warnings]
    return tuple(facts)


PAGE = CheckPage(check="body", view=view, progress=progress)
