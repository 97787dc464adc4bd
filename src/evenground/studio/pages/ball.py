"""Ball: where it lies for each family, from the lead heel and the line through the toes."""

from evenground.fit.hour import Progress
from evenground.studio.pages.as_arrived import stance_pictures
from evenground.studio.pages.cells import Column, Grid, Line, Spot, cell
from evenground.studio.pages.facts import figures
from evenground.studio.pages.scene import Scene
from evenground.studio.pages.view import CheckPage, CheckView, Doing
from evenground.visit import FAMILIES

__all__ = ["PAGE"]

REPEATS = (1, 2)
PLACES = (("inside_lead_heel_mm", "from the lead heel"), ("from_toe_line_mm", "from the toe line"))


def view(scene: Scene) -> CheckView:
    """The page of this check."""
    return CheckView(
        check="ball",
        title="Ball",
        under="from the lead heel centre along the target line, and ahead from the toe line",
        doing=_doing(scene),
        grids=(_grid(scene),),
        pictures=stance_pictures(scene),
        facts=figures(scene, "ball"),
    )


def progress(scene: Scene) -> Progress:
    """How far the check is."""
    placed = sum(bool(b.inside_lead_heel_mm) for b in scene.visit.ball)
    if placed == 0:
        return Progress(state="waiting")
    if placed < len(FAMILIES):
        return Progress(state="partly", count=f"{placed} of {len(FAMILIES)}")
    return Progress(state="done", enough="The ball's place is known for every family.")


def _doing(scene: Scene) -> Doing:
    placed = {b.family for b in scene.visit.ball if b.inside_lead_heel_mm}
    missing = [f for f in FAMILIES if f not in placed]
    if not missing:
        return Doing(
            what="Enough.",
            why="From here on the ball stays where it is: moved by half its breadth it changes stance, "
            "posture and aim.",
            enough=True,
        )
    return Doing(
        what=f"Place the ball for the {missing[0]} and measure to its middle.",
        why="It is fixed and recorded first, since everything after depends on it.",
    )


def _grid(scene: Scene) -> Grid:
    lines = []
    for family in FAMILIES:
        cells = tuple(
            cell(
                scene.log,
                scene.system,
                Spot(kind="ball", keys={"family": family, "repeat": n}, field=field),
                f"{family}, {label}, reading {n}",
            )
            for field, label in PLACES
            for n in REPEATS
        )
        lines.append(Line(label=family, cells=cells))
    return Grid(
        name="ball",
        title="",
        columns=(
            Column(label="from the lead heel", unit="toward the trail foot"),
            Column(label="again"),
            Column(label="from the toe line", unit="ahead"),
            Column(label="again"),
        ),
        lines=tuple(lines),
    )


PAGE = CheckPage(check="ball", view=view, progress=progress)
