"""Turn: how far the trunk turns to each side; only for a player whom the screening cleared."""

from typing import Literal

from evenground.needs import not_asked
from evenground.studio.pages.cells import Column, Grid, Line, Spot, cell
from evenground.studio.pages.facts import figures
from evenground.studio.pages.leading import doing
from evenground.studio.pages.scene import Scene
from evenground.studio.pages.view import CheckPage, CheckView

__all__ = ["PAGE"]

REPEATS = (1, 2, 3)
SIDES: tuple[Literal["lead", "trail"], ...] = ("lead", "trail")
CAUTIONS = (
    "Stop before any pain. A turn that pain stopped is kept, is no range, and is not repeated.",
    "Stop at numbness, dizziness, breathlessness, or the wish to stop, and advise asking a practitioner.",
)


def view(scene: Scene) -> CheckView:
    """The page of this check."""
    gated = not_asked(scene.visit, "turn")
    return CheckView(
        check="turn",
        title="Turn",
        under="three turns to each side",
        doing=doing(scene, "turn"),
        cautions=CAUTIONS,
        grids=() if gated and not scene.visit.turn else tuple(_grid(scene, side) for side in SIDES),
        facts=figures(scene, "turn"),
    )


def _grid(scene: Scene, side: Literal["lead", "trail"]) -> Grid:
    toward = "toward the target" if side == "lead" else "away from the target"
    lines = tuple(
        Line(
            label=f"turn {n}",
            cells=tuple(
                cell(
                    scene.log,
                    scene.system,
                    Spot(kind="turn", keys={"toward": side, "repeat": n}, field=field),
                    f"Turn {n} {toward}, {label}",
                    control="yes or no" if field == "stopped_by_pain" else "size",
                )
                for field, label in (("turn_deg", "angle"), ("stopped_by_pain", "stopped by pain"))
            ),
        )
        for n in REPEATS
    )
    return Grid(
        name=f"turn-{side}",
        title=toward.capitalize(),
        columns=(Column(label="angle"), Column(label="stopped by pain")),
        lines=lines,
    )


PAGE = CheckPage(check="turn", view=view)
