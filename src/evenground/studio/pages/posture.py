"""Posture: angles from the side, three addresses; the figure as the card draws it."""

from evenground.fit.address import Address
from evenground.report.figure_drawing import figure_drawing
from evenground.report.posed_drawing import address_drawing
from evenground.report.read import posture_angles
from evenground.studio.pages.cells import Column, Grid, Line, Spot, cell
from evenground.studio.pages.facts import figures
from evenground.studio.pages.leading import doing
from evenground.studio.pages.scene import Scene
from evenground.studio.pages.side_photos import side_photos
from evenground.studio.pages.view import CheckPage, CheckView, PhotoUpload
from evenground.studio.svg import Picture, picture
from evenground.visit import FAMILIES, Family

__all__ = ["PAGE"]

REPEATS = (1, 2, 3)
ANGLES = (
    ("trunk_deg", "trunk", "from the vertical"),
    ("thigh_deg", "thigh", "from the vertical"),
    ("knee_flex_lead_deg", "lead knee", "flexed"),
    ("knee_flex_trail_deg", "trail knee", "flexed"),
    ("arm_hang_deg", "arms", "from the vertical"),
)
FIRST: Family = "irons"


def view(scene: Scene) -> CheckView:
    """The page of this check."""
    return CheckView(
        check="posture",
        title="Posture",
        under="from the side, three addresses, stepping away in between",
        doing=doing(scene, "posture"),
        grids=(_grid(scene, FIRST), *(_grid(scene, f) for f in FAMILIES if f != FIRST)),
        pictures=_pictures(scene),
        facts=figures(scene, "posture", "address"),
        photo=_photo(scene),
        photos=side_photos(scene),
    )


def _photo(scene: Scene) -> PhotoUpload:
    """What is asked of a photo from the side."""
    addresses = tuple((str(n), str(n)) for n in REPEATS)
    return PhotoUpload(
        title="Measure from a photo",
        how="From straight beside the player, 4 m or more away, as high as the hips. In the plane of the "
        "player: the printed plumb target, which is found by itself, or a plumb line and a club or stick of "
        "known length. The next page asks for the points. A photo shows one knee: take one from each side. "
        "Place and time leave the photo.",
        choices=(
            ("family", "club", tuple((f, f) for f in (FIRST, *(f for f in FAMILIES if f != FIRST)))),
            ("repeat", "address", addresses),
            ("side", "side seen", (("left", "left"), ("right", "right"))),
        ),
        to="send-side-photo",
        button="Keep this photo",
        saved="The photo is kept: its points come next.",
        size=("length", f"known length, {'mm' if scene.system == 'metric' else 'in'}"),
    )


def _grid(scene: Scene, family: Family) -> Grid:
    lines = tuple(
        Line(
            label=f"address {n}",
            cells=tuple(
                cell(
                    scene.log,
                    scene.system,
                    Spot(kind="posture", keys={"family": family, "repeat": n}, field=field),
                    f"{family}, address {n}, {label}",
                )
                for field, label, _ in ANGLES
            ),
        )
        for n in REPEATS
    )
    return Grid(
        name=f"posture-{family}",
        title=family.capitalize(),
        columns=tuple(Column(label=label, unit=unit) for _, label, unit in ANGLES),
        lines=lines,
        folded=family != FIRST and not any(p.family == family for p in scene.visit.posture),
    )


def _pictures(scene: Scene) -> tuple[Picture, ...]:
    angles = None if scene.findings is None else posture_angles(scene.findings)
    drawing = None if angles is None else figure_drawing(angles, scene.visit.player.handed)
    says = "The player from the side with the measured angles; dotted limbs were not measured."
    title = "As measured"
    measured = (
        ()
        if drawing is None
        else (
            picture(drawing, says=says, name="figure", wide_px=230.0, margin_px=(150.0, 12.0), title=title),
        )
    )
    return (*measured, *_asked(scene))


def _asked(scene: Scene) -> tuple[Picture, ...]:
    """The address that body and club ask for: the irons', or that of the first family that has one."""
    findings = () if scene.findings is None else scene.findings.findings
    by_family = {f.kind: f.value for f in findings if f.kind.startswith("address.") and f.value is not None}
    found = next((by_family[k] for k in (f"address.{FIRST}", *by_family) if k in by_family), None)
    if not isinstance(found, Address):
        return ()
    drawing = address_drawing(found, faces_left=scene.visit.player.handed == "left")
    says = f"The nearest comfortable address with the {found.club.family} that balances where the mat says."
    return (
        picture(
            drawing,
            says=says,
            name="asked",
            wide_px=330.0,
            margin_px=(100.0, 12.0),
            title=f"What body and club ask for, {found.club.family}",
        ),
    )


PAGE = CheckPage(check="posture", view=view)
