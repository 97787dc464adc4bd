"""Hands: hand and palm length of both hands, and the diameters that they want."""

from evenground.fit.hour import Progress
from evenground.floor import Side, lead_side
from evenground.needs import not_asked
from evenground.studio.pages.cells import Column, Grid, Line, Spot, cell
from evenground.studio.pages.facts import figures
from evenground.studio.pages.hand_photos import hand_photos
from evenground.studio.pages.scene import Scene
from evenground.studio.pages.view import CheckPage, CheckView, Doing, PhotoUpload
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
        doing=_doing(scene),
        grids=(_grid(scene),),
        facts=figures(scene, "grip"),
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
            ("side", "hand", tuple((s, s) for s in _asked(scene))),
            ("scale", "beside or under it", SCALES),
            ("palm", "palm", (("down", "down"), ("up", "up"))),
        ),
    )


def progress(scene: Scene) -> Progress:
    """How far the check is."""
    measured, asked = len(scene.visit.hands), len(_asked(scene))
    if measured >= asked:
        return Progress(state="done", count=f"{measured} of {asked}", enough="Every hand is measured.")
    if measured or scene.log.of("hand"):
        return Progress(state="partly", count=f"{measured} of {asked}")
    return Progress(state="waiting")


def _asked(scene: Scene) -> list[Side]:
    """Hands that this player has and that may be measured."""
    limbs = {} if scene.visit.body is None else scene.visit.body.limbs
    asked = [s for s in SIDES if not any(limbs.get(limb) in ("absent", "not tested") for limb in LIMBS[s])]
    return asked or list(SIDES)


def _doing(scene: Scene) -> Doing:
    reason = not_asked(scene.visit, "hands")
    if reason is not None:
        return Doing(what="Nothing to measure.", why=reason, enough=True)
    missing = [s for s in _asked(scene) if all(h.side != s for h in scene.visit.hands)]
    if not missing:
        return Doing(what="Enough.", why="Every hand is measured.", enough=True)
    return Doing(
        what=f"Measure the {missing[0]} hand.",
        why="Hand length runs from the wrist crease to the tip of the middle finger, palm length to the "
        "crease at its root; note whether the glove was on.",
    )


def _grid(scene: Scene) -> Grid:
    lead = lead_side(scene.visit.player.handed)
    lines = []
    for side in _asked(scene):
        keys = {"side": side}
        cells = tuple(
            cell(
                scene.log,
                scene.system,
                Spot(kind="hand", keys=keys, field=field),
                f"{side} hand, {label}",
                control="yes or no" if field == "glove" else "size",
            )
            for field, label in (
                ("length_mm", "hand length"),
                ("palm_length_mm", "palm length"),
                ("glove", "glove on"),
            )
        )
        lines.append(Line(label=f"{side}, {'lead' if side == lead else 'trail'}", cells=cells))
    return Grid(
        name="hands",
        title="",
        columns=(Column(label="hand length"), Column(label="palm length"), Column(label="glove on")),
        lines=tuple(lines),
    )


PAGE = CheckPage(check="hands", view=view, progress=progress)
