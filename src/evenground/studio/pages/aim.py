"""Aim: where the face points at a known distance, stepping away between aims."""

from evenground.report.aim_drawing import aim_drawing
from evenground.report.read import aim_conditions
from evenground.studio.pages.bar_photos import bar_form, bar_photos
from evenground.studio.pages.cells import Column, Grid, Line, Spot, cell
from evenground.studio.pages.facts import figures
from evenground.studio.pages.leading import doing
from evenground.studio.pages.scene import Scene
from evenground.studio.pages.view import CheckPage, CheckView, KeepField, KeepForm, Paste
from evenground.studio.svg import Picture, picture

__all__ = ["PAGE"]

CONDITIONS = ("as arrived", "fitted")


def view(scene: Scene) -> CheckView:
    """The page of this check."""
    return CheckView(
        check="aim",
        title="Aim",
        under="aimed, not struck; offset at the hole as seen from behind the ball",
        doing=doing(scene, "aim"),
        grids=(_set_up(scene),),
        trials=_trials(scene),
        pictures=_pictures(scene),
        facts=figures(scene, "aim"),
        keep=_keep(scene),
        bar=bar_form(
            "face",
            "Read the face from a photo",
            "The rod with its two tags lies along the face, heel tag at the heel. ",
            tuple(f for f in _keep(scene).fields if f.name == "condition"),
        ),
        photos=bar_photos(scene, "aim trial", lambda v: f"Aim {v['trial']}, {v['condition']}"),
        paste=Paste(columns="trial,offset_mm,condition", example="1,-12,as arrived"),
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
            KeepField(
                name="offset_mm",
                label="offset at the hole",
                kind="large",
                sides=("left", "right"),
                side="right",
                once=True,
            ),
            KeepField(
                name="condition",
                label="condition",
                kind="choice",
                value=_condition(scene),
                choices=tuple((c, c) for c in known),
            ),
        ),
    )


def _set_up(scene: Scene) -> Grid:
    one = cell(scene.log, scene.system, Spot(kind="aim set-up", field="distance_m"), "Distance to the hole")
    return Grid(
        name="aim-set-up",
        title="",
        columns=(Column(label="distance to the hole"),),
        lines=(Line(label="", cells=(one,)),),
    )


def _trials(scene: Scene) -> Grid | None:
    slots = scene.log.of("aim trial")
    if not slots:
        return None
    lines = tuple(
        Line(
            label=f"{slot.values['trial']} · {slot.values['condition']}",
            cells=(
                cell(
                    scene.log,
                    scene.system,
                    Spot(
                        kind="aim trial",
                        keys={"condition": slot.values["condition"], "trial": slot.values["trial"]},
                        field="offset_mm",
                    ),
                    f"Aim {slot.values['trial']}, {slot.values['condition']}",
                ),
            ),
            take_back=" ".join(map(str, slot.readings)),
        )
        for slot in slots
    )
    return Grid(
        name="aims",
        title="Aims so far",
        columns=(Column(label="offset", unit="+ right, − left"),),
        lines=lines,
    )


def _pictures(scene: Scene) -> tuple[Picture, ...]:
    if scene.findings is None or scene.visit.aim is None:
        return ()
    return tuple(
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


PAGE = CheckPage(check="aim", view=view)
