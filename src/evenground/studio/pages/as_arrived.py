"""As arrived: the player's own stance for each family, before any coaching."""

from evenground.report.feet_drawing import feet_drawing
from evenground.report.read import setup_of
from evenground.report.words import estimate_text
from evenground.studio.own_mat import waiting_count
from evenground.studio.pages.bar_photos import bar_form, bar_photos
from evenground.studio.pages.cells import Column, Grid, Line, Spot, cell
from evenground.studio.pages.leading import doing
from evenground.studio.pages.scene import Scene
from evenground.studio.pages.view import CheckPage, CheckView, Fact, KeepField, MatSlot
from evenground.studio.svg import Picture, picture
from evenground.visit import FAMILIES, Family

__all__ = ["PAGE", "stance_pictures"]


def view(scene: Scene) -> CheckView:
    """The page of this check."""
    return CheckView(
        check="as arrived",
        title="As arrived",
        under="own stance, own clubs, before any coaching",
        doing=doing(scene, "as arrived"),
        grids=(_grid(scene),),
        pictures=stance_pictures(scene),
        facts=_facts(scene),
        bar=bar_form(
            "toe-out",
            "Read toe-out from a photo",
            "A strip with two tags under each foot: heel tag behind the heel, the other before the toes. ",
            (KeepField(name="family", label="club", kind="choice", choices=tuple((f, f) for f in FAMILIES)),),
        ),
        photos=bar_photos(scene, "as arrived", lambda v: f"Toe-out, {v['family']}"),
        instrument_slot="mat",
        mat=MatSlot(stance="as arrived", footwear="golf shoes", waiting=waiting_count(scene.id)),
    )


def _grid(scene: Scene) -> Grid:
    def line(family: Family) -> Line:
        cells = tuple(
            cell(
                scene.log,
                scene.system,
                Spot(kind="as arrived", keys={"family": family}, field=field),
                f"{family}, {label}",
            )
            for field, label in (
                ("width_mm", "width"),
                ("toe_out_lead_deg", "lead foot's toe-out"),
                ("toe_out_trail_deg", "trail foot's toe-out"),
            )
        )
        return Line(label=family, cells=cells)

    return Grid(
        name="as-arrived",
        title="Own stance",
        columns=(
            Column(label="width", unit="heel centres"),
            Column(label="lead toe-out", unit="outward +"),
            Column(label="trail toe-out", unit="outward +"),
        ),
        lines=tuple(line(f) for f in FAMILIES),
    )


def stance_pictures(scene: Scene) -> tuple[Picture, ...]:
    """Each family's feet from above as the card draws them now; none where no width is known."""
    found = []
    for family in FAMILIES:
        setup = None if scene.findings is None else setup_of(scene.findings, family)
        drawing = None if setup is None else feet_drawing(setup, scene.visit.shoes, scene.visit.player.handed)
        if drawing is not None:
            found.append(
                picture(
                    drawing,
                    says=f"{family}: the feet from above with ball and target line.",
                    name=f"feet-{family}",
                    wide_px=420.0,
                    margin_px=(70.0, 26.0),
                    title=family,
                )
            )
    return tuple(found)


def _facts(scene: Scene) -> tuple[Fact, ...]:
    facts = []
    for family in FAMILIES:
        setup = None if scene.findings is None else setup_of(scene.findings, family)
        if setup is not None and setup.was_inside_mm is not None:
            facts.append(
                Fact(
                    what=family,
                    figure=estimate_text(setup.was_inside_mm, scene.system),
                    note="inside the shoes",
                )
            )
    return tuple(facts)


PAGE = CheckPage(check="as arrived", view=view)
