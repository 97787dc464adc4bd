"""Hands: hand and palm length of both hands, and the diameters that they want."""

from evenground.fit.protocol_checks import hands_asked
from evenground.floor import Side, lead_side
from evenground.studio.pages.cells import Column, Grid, Line, Spot, cell
from evenground.studio.pages.facts import figures
from evenground.studio.pages.grip_builds import wanted_facts
from evenground.studio.pages.hand_photos import hand_photos
from evenground.studio.pages.leading import doing
from evenground.studio.pages.scene import Scene
from evenground.studio.pages.view import CheckPage, CheckView, PhotoUpload
from evenground.visit import Limb

__all__ = ["PAGE"]

SIDES: tuple[Side, ...] = ("left", "right")
SCALES = (("card", "bank card"), ("a4", "A4 sheet"), ("letter", "Letter sheet"))
LIMBS: dict[Side, tuple[Limb, ...]] = {
    "left": ("left arm", "left hand"),
    "right": ("right arm", "right hand"),
}


def view(scene: Scene) -> CheckView:
    """The page of this check."""
    return CheckView(
        check="hands",
        title="Hands",
        under="flat, from the wrist crease",
        doing=doing(scene, "hands"),
        grids=(_grid(scene),),
        facts=(*figures(scene, "grip"), *wanted_facts(scene)),
        photo=_photo(scene),
        photos=hand_photos(scene.row),
    )


def _photo(scene: Scene) -> PhotoUpload:
    """What is asked of a photo of one hand."""
    return PhotoUpload(
        title="Measure from a photo",
        how="One hand flat on a plain ground of another colour, fingers a little apart, a bank card beside "
        "it or a sheet under it; the phone straight above, 0.6 to 1 m away. Place and time leave the photo. "
        "The wrist's crease is a guess where the forearm is in the picture: compare it with the tape.",
        choices=(
            ("side", "hand", tuple((s, s) for s in hands_asked(scene.visit))),
            ("scale", "beside or under it", SCALES),
            ("palm", "palm", (("down", "down"), ("up", "up"))),
        ),
    )


def _grid(scene: Scene) -> Grid:
    lead = lead_side(scene.visit.player.handed)
    lines = []
    for side in hands_asked(scene.visit):
        keys = {"side": side}
        cells = tuple(
            cell(
                scene.log,
                scene.system,
                Spot(kind="hand", keys=keys, field=field),
                f"{side} hand, {label}",
                control="size" if field.endswith("_mm") else "yes or no",
            )
            for field, label in (
                ("length_mm", "hand length"),
                ("palm_length_mm", "palm length"),
                ("glove", "glove on"),
                ("sore", "sore, comfort first"),
            )
        )
        lines.append(Line(label=f"{side}, {'lead' if side == lead else 'trail'}", cells=cells))
    return Grid(
        name="hands",
        title="",
        columns=(
            Column(label="hand length"),
            Column(label="palm length"),
            Column(label="glove on"),
            Column(label="sore", unit="comfort first"),
        ),
        lines=tuple(lines),
    )


PAGE = CheckPage(check="hands", view=view)
