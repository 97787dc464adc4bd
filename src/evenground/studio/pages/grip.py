"""Grip: hip line with the hand on the club, own grip against proposed, in pairs."""

from evenground.studio.pages.cells import Column, Grid, Line, Spot, cell
from evenground.studio.pages.facts import figures
from evenground.studio.pages.grip_builds import build_facts, build_pictures
from evenground.studio.pages.leading import doing
from evenground.studio.pages.scene import Scene
from evenground.studio.pages.view import CheckPage, CheckView

__all__ = ["PAGE"]

PAIRS = (1, 2, 3, 4)
GRIPS = (("own", "own grip"), ("proposed", "proposed grip"))


def view(scene: Scene) -> CheckView:
    """The page of this check."""
    clubs = _clubs(scene)
    return CheckView(
        check="grip",
        title="Grip",
        under="hip line with the hand on the club, glove unchanged throughout",
        doing=doing(scene, "grip"),
        grids=(_glove(scene), *(_grid(scene, club) for club in clubs)),
        pictures=build_pictures(scene),
        facts=(*figures(scene, "grip"), *build_facts(scene)),
    )


def _clubs(scene: Scene) -> list[str]:
    """Clubs to try: those already tried, else those that came in."""
    tried = [] if scene.visit.grip is None else [t.club for t in scene.visit.grip.trials]
    return list(dict.fromkeys([*tried, *(c.mark for c in scene.visit.own_clubs)]))


def _glove(scene: Scene) -> Grid:
    spot = Spot(kind="grip set-up", field="glove")
    one = cell(scene.log, scene.system, spot, "Glove worn throughout", control="yes or no")
    return Grid(
        name="glove",
        title="",
        columns=(Column(label="glove worn throughout"),),
        lines=(Line(label="", cells=(one,)),),
    )


def _grid(scene: Scene, club: str) -> Grid:
    lines = tuple(
        Line(
            label=f"pair {pair}",
            cells=tuple(
                cell(
                    scene.log,
                    scene.system,
                    Spot(
                        kind="grip trial",
                        keys={"pair": pair, "club": club, "grip": grip},
                        field="hip_line_deg",
                    ),
                    f"{club}, pair {pair}, {label}",
                )
                for grip, label in GRIPS
            ),
        )
        for pair in PAIRS
    )
    return Grid(
        name=f"grip-{_clubs(scene).index(club)}",
        title=club,
        columns=tuple(Column(label=label, unit="hip line, + open") for _, label in GRIPS),
        lines=lines,
        folded=scene.visit.grip is not None and all(t.club != club for t in scene.visit.grip.trials),
    )


PAGE = CheckPage(check="grip", view=view)
