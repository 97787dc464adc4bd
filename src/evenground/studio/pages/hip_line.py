"""Hip line: set the feet to the width that tells most, read the bar, keep; until it is enough."""

from evenground.fit.stance_answer import width_windows
from evenground.fit.stance_constants import DEFAULT_STATURE
from evenground.fit.stance_plan import PlannedTrial
from evenground.fit.stance_types import StanceFit
from evenground.fit.stance_words import phase_words
from evenground.report.curve_drawing import ChosenRange, Screen, curve_drawing
from evenground.report.read import setup_of, stance_of
from evenground.report.trial_parts import phase_parts
from evenground.report.words import chance_words, width_range
from evenground.studio.pages.bar_photos import bar_form, bar_photos
from evenground.studio.pages.cells import Cell, Column, Grid, Line, Spot, cell
from evenground.studio.pages.hip_conditions import (
    condition_fields,
    least_turn,
    own_widths,
    phase_choices,
    varied_facts,
    varied_words,
)
from evenground.studio.pages.leading import doing, step_of
from evenground.studio.pages.phases import routine_phase
from evenground.studio.pages.scene import Scene
from evenground.studio.pages.trial_pictures import trial_pictures
from evenground.studio.pages.view import Also, CheckPage, CheckView, Fact, KeepField, KeepForm, Paste
from evenground.studio.svg import Picture, picture
from evenground.studio.typed import show_stored
from evenground.visit import FAMILIES, HipLineTrial, Phase

__all__ = ["PAGE"]

LANDMARKS = ("back of the pelvis", "front of the pelvis", "belt line")
CAUTIONS = (
    "Set feet and bar anew for every trial: a bar left in place measures the bar.",
    "Stop at pain, numbness, dizziness, or the wish to stop.",
)
COLUMNS = (("width_mm", "width"), ("hip_line_deg", "hip line"), ("heel_line_deg", "heel line"))
TALL_MM = 78.0
FAMILY_CHOICES = (("", "one curve for all clubs"), *((f, f) for f in FAMILIES))


def view(scene: Scene) -> CheckView:
    """The page of this check."""
    plan = step_of(scene, "hip line").plan
    keep = _keep(scene, plan)
    return CheckView(
        check="hip line",
        title="Hip line",
        under=_under(scene, plan),
        doing=doing(scene, "hip line"),
        cautions=CAUTIONS,
        grids=(_set_up(scene), own_widths(scene), least_turn(scene)),
        trials=_trials(scene),
        pictures=(*_pictures(scene, plan), *_phases(scene)),
        picture_first=True,
        grids_first=scene.log.slot("hip-line set-up") is None,
        may_be_blind=True,
        facts=_facts(scene),
        keep=keep,
        bar=bar_form("hip-line", "Read the bar from a photo", "", _without_angle(keep)),
        photos=bar_photos(scene, "hip-line trial", lambda v: f"Trial {v['trial']}"),
        paste=Paste(columns="trial,width_mm,hip_line_deg,family", example="1,412,-1.5,irons"),
        also=(Also(name="The hip routine, timed", to="visit:routine"),),
    )


def _taken(scene: Scene) -> tuple[HipLineTrial, ...]:
    return () if scene.visit.hip_line is None else scene.visit.hip_line.trials


def _fit(scene: Scene) -> StanceFit | None:
    """The search as it stands; the fresh placements that confirm are not in it."""
    found = None if scene.findings is None else scene.findings.value("stance.search")
    return found if isinstance(found, StanceFit) else None


def _phase(scene: Scene) -> Phase:
    taken = _taken(scene)
    return routine_phase(scene) or (taken[-1].phase if taken else "before")


def _under(scene: Scene, plan: PlannedTrial | None) -> str:
    check = scene.visit.hip_line
    said = [phase_words(_phase(scene))]
    if plan is not None and plan.family is not None:
        said.append(plan.family)
    if check is not None:
        said += [check.footwear, f"bar at the {check.landmark}"]
    ball = next((b for b in scene.visit.ball if b.inside_lead_heel_mm), None)
    if ball is not None:
        place = show_stored("inside_lead_heel_mm", ball.inside_lead_heel_mm[0], scene.system)
        said.append(f"ball {place} inside the lead heel")
    return " · ".join(said)


def _without_angle(keep: KeepForm) -> tuple[KeepField, ...]:
    """What is said of a trial whose angle a photo tells."""
    return tuple(f for f in keep.fields if f.name != "hip_line_deg")


def _keep(scene: Scene, plan: PlannedTrial | None) -> KeepForm:
    """The trial in hand; its width is the one proposed unless another was set."""
    taken = _taken(scene)
    family = (plan.family if plan is not None else None) or (taken[-1].family if taken else None) or ""
    phase = _phase(scene) if plan is None else routine_phase(scene) or plan.phase
    width = "" if plan is None else show_stored("width_mm", plan.width_mm, scene.system)
    return KeepForm(
        kind="hip-line trial",
        fields=(
            KeepField(
                name="width_mm", label="set the feet to", kind="large", value=width, unit="heel centres"
            ),
            KeepField(
                name="hip_line_deg",
                label="hip line",
                kind="large",
                unit="°",
                sides=("open", "closed"),
                side="open",
                once=True,
            ),
            KeepField(
                name="family",
                label="club",
                kind="choice",
                value=family,
                choices=FAMILY_CHOICES,
            ),
            KeepField(
                name="phase",
                label="routine",
                kind="choice",
                value=phase,
                choices=phase_choices(scene),
            ),
            KeepField(
                name="confirms",
                label="kind",
                kind="choice",
                value="yes" if plan is not None and plan.confirms else "no",
                choices=(("no", "searching"), ("yes", "confirming")),
            ),
            *condition_fields(scene),
        ),
    )


def _set_up(scene: Scene) -> Grid:
    def one(field: str, label: str, choices: tuple[str, ...] = ()) -> Cell:
        spot = Spot(kind="hip-line set-up", field=field)
        control = "choice" if choices else "size"
        return cell(scene.log, scene.system, spot, label, control=control, choices=choices)  # type: ignore[arg-type]

    return Grid(
        name="set-up",
        title="How the bar is read",
        columns=(
            Column(label="bar at"),
            Column(label="feet"),
            Column(label="hands"),
            Column(label="bar's own error"),
        ),
        lines=(
            Line(
                label="",
                cells=(
                    one("landmark", "What the bar touches", LANDMARKS),
                    one("footwear", "What is on the feet", ("golf shoes", "barefoot")),
                    one("hands", "Where the hands are", ("hanging", "on the club")),
                    one("bar_error_deg", "The bar's own error"),
                ),
            ),
        ),
    )


def _trials(scene: Scene) -> Grid | None:
    """Every trial taken, each figure open to correction."""
    slots = scene.log.of("hip-line trial")
    if not slots:
        return None
    unfinished = {u.key: u.reason for u in scene.folded.unfinished if u.kind == "hip-line trial"}
    lines = []
    for slot in sorted(slots, key=lambda s: int(s.key[0])):
        keys = {"trial": slot.key[0]}
        cells = tuple(
            cell(
                scene.log,
                scene.system,
                Spot(kind="hip-line trial", keys=keys, field=f),
                f"Trial {slot.key[0]}, {label}",
            )
            for f, label in COLUMNS
        )
        said = varied_words(slot.values, scene.system)
        lines.append(
            Line(
                label=str(slot.key[0]),
                cells=cells,
                note=unfinished.get(slot.key, ", ".join(said)),
                take_back=" ".join(map(str, slot.readings)),
            )
        )
    return Grid(
        name="trials",
        title="Trials so far",
        columns=(
            Column(label="width", unit="heel centres"),
            Column(label="hip line", unit="+ open, − closed"),
            Column(label="heel line", unit="where measured"),
        ),
        lines=tuple(lines),
    )


def _pictures(scene: Scene, plan: PlannedTrial | None) -> tuple[Picture, ...]:
    body, fit = scene.visit.body, _fit(scene)
    stature = None if body is None else body.mean_mm("stature")
    windows = width_windows(
        stature or DEFAULT_STATURE.value, {a.family: a.width_mm for a in scene.visit.as_arrived}
    )
    span = min(w.low_mm for w in windows.values()), max(w.high_mm for w in windows.values())
    phase = _phase(scene)
    screen = Screen(next_mm=None if plan is None else plan.width_mm, span_mm=span, tall_mm=TALL_MM)
    conditions = () if fit is None else tuple(c for c in fit.conditions if c.phase == phase)
    if not conditions:
        drawing = curve_drawing(
            (),
            _taken(scene),
            margin_deg=scene.studio.settings.margin_deg,
            chosen=(),
            system=scene.system,
            screen=screen,
        )
        return (picture(drawing, says="Trials so far; a curve needs three.", name="curve"),)
    shown = conditions[0]
    trials = [
        t for t in _taken(scene) if t.phase == phase and (t.family is None or t.family in shown.families)
    ]
    drawing = curve_drawing(
        shown.curve,
        trials,
        margin_deg=scene.studio.settings.margin_deg,
        chosen=_chosen(scene),
        system=scene.system,
        screen=screen,
    )
    return (picture(drawing, says=_said(scene), name="curve"),)


def _phases(scene: Scene) -> tuple[Picture, ...]:
    """Paired slopes after the routine, and after a rest."""
    if scene.findings is None:
        return ()
    return trial_pictures(phase_parts(scene.visit, scene.findings, scene.system), "phases")


def _chosen(scene: Scene) -> tuple[ChosenRange, ...]:
    found = []
    for family in FAMILIES:
        setup = None if scene.findings is None else setup_of(scene.findings, family)
        if setup is not None and setup.width_heel_range_mm is not None:
            wide = setup.width_heel_range_mm
            found.append(ChosenRange(family=family, low_mm=wide.low, high_mm=wide.high))
    return tuple(found)


def _said(scene: Scene) -> str:
    return "Hip line against stance width. " + " ".join(f"{f.what}: {f.figure}." for f in _facts(scene))


def _facts(scene: Scene) -> tuple[Fact, ...]:
    """Each family's answer in words, and what the readings say about themselves."""
    findings = scene.findings
    fit = None if findings is None else stance_of(findings)
    if findings is None or fit is None:
        return ()
    facts = []
    for family in FAMILIES:
        answer, setup = fit.families[family], setup_of(findings, family)
        wide = None if setup is None else setup.width_heel_range_mm
        where = "" if wide is None else f", {width_range(wide, scene.system)}"
        over = f"carried over from {answer.borrowed_from}" if answer.borrowed_from else ""
        facts.append(
            Fact(
                what=family,
                figure=f"{answer.answer}{where}",
                note=", ".join(
                    p for p in (f"{chance_words(answer.probability)} at the best width", over) if p
                ),
            )
        )
    facts.append(
        Fact(
            what="one reading's error here",
            figure=show_stored("noise_deg", fit.noise_deg.value, scene.system),
        )
    )
    facts += varied_facts(fit, scene.system)
    facts += [Fact(what=flag.where, figure=flag.text) for flag in fit.flags]
    return tuple(facts)


PAGE = CheckPage(check="hip line", view=view)
