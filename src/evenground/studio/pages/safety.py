"""Safety: the screening's answer and nothing of its reasons, who the player is, the shoes."""

from evenground.studio.pages.cells import Column, Grid, Line, Spot, cell
from evenground.studio.pages.leading import doing
from evenground.studio.pages.scene import Scene
from evenground.studio.pages.view import CheckPage, CheckView

__all__ = ["PAGE"]

CAUTIONS = (
    "The player answers the screening in private. Only cleared or measuring only is stored, never why.",
    "Stop at pain, numbness, dizziness, breathlessness, or the wish to stop.",
    "Nothing here is medical advice; a player who is unsure asks a licensed practitioner first.",
)


def view(scene: Scene) -> CheckView:
    """The page of this check."""
    return CheckView(
        check="safety",
        title="Safety",
        under="before anything that loads or turns the body",
        doing=doing(scene, "safety"),
        cautions=CAUTIONS,
        grids=(_screening(scene), _player(scene), _shoes(scene)),
    )


def _screening(scene: Scene) -> Grid:
    spot = Spot(kind="safety", field="screening")
    choices = ("cleared", "measuring only")
    one = cell(scene.log, scene.system, spot, "Screening", control="choice", choices=choices)
    return Grid(
        name="screening",
        title="",
        columns=(Column(label="screening"),),
        lines=(Line(label="", cells=(one,)),),
    )


def _player(scene: Scene) -> Grid:
    def spot(field: str) -> Spot:
        return Spot(kind="player", field=field)

    log, system = scene.log, scene.system
    return Grid(
        name="player",
        title="Player",
        columns=(
            Column(label="name on the card"),
            Column(label="plays"),
            Column(label="born in"),
            Column(label="sizes compared with"),
        ),
        lines=(
            Line(
                label="",
                cells=(
                    cell(log, system, spot("name"), "Name on the card", control="words"),
                    cell(
                        log,
                        system,
                        spot("handed"),
                        "Golfing hand",
                        control="choice",
                        choices=("right", "left"),
                    ),
                    cell(log, system, spot("birth_year"), "Year of birth", control="count"),
                    cell(
                        log,
                        system,
                        spot("reference"),
                        "Survey that the sizes are compared with",
                        control="choice",
                        choices=("women", "men"),
                    ),
                ),
            ),
        ),
    )


def _shoes(scene: Scene) -> Grid:
    def spot(field: str) -> Spot:
        return Spot(kind="shoes", field=field)

    log, system = scene.log, scene.system
    return Grid(
        name="shoes",
        title="Shoes the stance is taught in",
        columns=(
            Column(label="shoes"),
            Column(label="outsole length"),
            Column(label="outsole breadth at the heel"),
        ),
        lines=(
            Line(
                label="",
                cells=(
                    cell(log, system, spot("name"), "Which shoes", control="words", hint="own golf shoes"),
                    cell(log, system, spot("length_mm"), "Outsole length"),
                    cell(log, system, spot("heel_breadth_mm"), "Outsole breadth at the heel"),
                ),
            ),
        ),
        note="The breadth at the heel turns a width between heel centres into one between inside edges.",
    )


PAGE = CheckPage(check="safety", view=view)
