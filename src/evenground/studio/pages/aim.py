"""Aim: where the face points at a known distance, stepping away between aims."""

from evenground.fit.full_swing import FullSwing
from evenground.report.aim_drawing import aim_drawing
from evenground.report.read import aim_conditions
from evenground.report.trial_parts import aim_parts, swing_words
from evenground.studio.pages.aim_grids import aims_grid, extra_grids, reading_field, set_up_grids, way_of
from evenground.studio.pages.bar_photos import bar_form, bar_photos
from evenground.studio.pages.facts import figures
from evenground.studio.pages.leading import doing
from evenground.studio.pages.practice_facts import practice_facts
from evenground.studio.pages.scene import Scene
from evenground.studio.pages.trial_pictures import trial_pictures
from evenground.studio.pages.view import Also, CheckPage, CheckView, Fact, KeepField, KeepForm, Paste
from evenground.studio.svg import Picture, picture
from evenground.visit import AimWay

__all__ = ["PAGE"]

READ_OFF: dict[AimWay, str] = {
    "board": "read off a board, as seen from behind the ball",
    "string": "read off a string, as seen from behind the ball",
    "laser dot": "read off a laser's dot, as seen from behind the ball",
    "face angle": "read as the face's own angle",
}
CONDITIONS = ("as arrived", "fitted")


def view(scene: Scene) -> CheckView:
    """The page of this check."""
    return CheckView(
        check="aim",
        title="Aim",
        under=f"aimed, not struck; {READ_OFF[way_of(scene)]}",
        doing=doing(scene, "aim"),
        grids=(*set_up_grids(scene), *extra_grids(scene)),
        trials=aims_grid(scene),
        pictures=_pictures(scene),
        facts=(*figures(scene, "aim"), *_swings(scene), *practice_facts(scene)),
        keep=_keep(scene),
        bar=bar_form(
            "face",
            "Read the face from a photo",
            "The rod with its two tags lies along the face, heel tag at the heel. ",
            tuple(f for f in _keep(scene).fields if f.name == "condition"),
        ),
        photos=bar_photos(scene, "aim trial", lambda v: f"Aim {v['trial']}, {v['condition']}"),
        paste=Paste(columns="trial,offset_mm,condition", example="1,-12,as arrived"),
        also=(Also(name="Practice between visits, and its sheet", to="visit:practice"),),
        instrument_slot="photo",
        grids_first=scene.log.slot("aim set-up") is None,
        may_be_blind=True,
    )


def _condition(scene: Scene) -> str:
    slots = scene.log.of("aim trial")
    return str(slots[-1].values["condition"]) if slots else CONDITIONS[0]


def _keep(scene: Scene) -> KeepForm:
    known = [*dict.fromkeys([*CONDITIONS, *(str(s.values["condition"]) for s in scene.log.of("aim trial"))])]
    return KeepForm(
        kind="aim trial",
        button="Keep this aim",
        fields=(
            reading_field(scene),
            KeepField(
                name="condition",
                label="condition",
                kind="choice",
                value=_condition(scene),
                choices=tuple((c, c) for c in known),
            ),
        ),
    )


def _pictures(scene: Scene) -> tuple[Picture, ...]:
    if scene.findings is None or scene.visit.aim is None:
        return ()
    cones = tuple(
        picture(
            aim_drawing(
                aim.bias_deg,
                aim.spread_deg,
                aim.window_deg,
                scene.visit.aim.distance_m,
                scene.visit.player.handed,
            ),
            says=f"{condition}: ball, hole, and where the face looked.",
            name=f"aim-{n}",
            margin_px=(8.0, 12.0),
            title=condition,
        )
        for n, (condition, aim) in enumerate(aim_conditions(scene.findings))
    )
    return (*cones, *trial_pictures(aim_parts(scene.visit, scene.findings), "hole"))


def _swings(scene: Scene) -> tuple[Fact, ...]:
    """What the two full-swing clubs amount to, one sentence a line."""
    found = None if scene.findings is None else scene.findings.value("full-swing aim")
    if not isinstance(found, FullSwing):
        return ()
    return tuple(Fact(what="full swing", figure=sentence) for sentence in swing_words(found))


PAGE = CheckPage(check="aim", view=view)
