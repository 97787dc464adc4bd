"""Ball: where it lies for each family, from the lead heel and the line through the toes."""

from evenground.studio.pages.as_arrived import stance_pictures
from evenground.studio.pages.bar_photos import bar_form, bar_photos
from evenground.studio.pages.cells import Column, Grid, Line, Spot, cell
from evenground.studio.pages.facts import figures
from evenground.studio.pages.leading import doing
from evenground.studio.pages.scene import Scene
from evenground.studio.pages.view import CheckPage, CheckView, KeepField
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
        doing=doing(scene, "ball"),
        grids=(_grid(scene),),
        pictures=stance_pictures(scene),
        facts=figures(scene, "ball"),
        bar=bar_form(
            "ball",
            "Read the ball's place from a photo",
            "The strip's line at the toe tips, its edge on the lead side by the lead heel's centre; "
            "the ball's tag in the place of the ball, middle on middle. ",
            (KeepField(name="family", label="club", kind="choice", choices=tuple((f, f) for f in FAMILIES)),),
        ),
        photos=bar_photos(scene, "ball", lambda v: f"{v['family'].capitalize()}, reading {v['repeat']}"),
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


PAGE = CheckPage(check="ball", view=view)
