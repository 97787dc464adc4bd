"""Ground: placements on the mat, each with its recording; what the usable ones say together."""

from evenground.fit.hour import Progress, rest_due
from evenground.measure.ground import Ground
from evenground.report.evidence_figures import ground_table
from evenground.studio.own_mat import waiting_count
from evenground.studio.pages.as_arrived import stance_pictures
from evenground.studio.pages.cells import Column, Grid, Line, Spot, cell
from evenground.studio.pages.ground_facts import standing_facts
from evenground.studio.pages.ground_seen import placement_pictures
from evenground.studio.pages.scene import Scene
from evenground.studio.pages.view import CheckPage, CheckView, Doing, Fact, MatSlot, Upload
from evenground.visit import FAMILIES, Footwear, Placement, StanceTime

__all__ = ["PAGE"]

WANTED: tuple[tuple[StanceTime, Footwear], ...] = (
    ("as arrived", "golf shoes"),
    ("fitted", "barefoot"),
    ("fitted", "golf shoes"),
)
EACH = 3
CAUTIONS = (
    "Hover the club: one grounded beside the mat carries force that the mat does not see.",
    "The ball lies level with the mat, or the visit says how thick the mat is.",
)


def view(scene: Scene) -> CheckView:
    """The page of this check."""
    return CheckView(
        check="ground",
        title="Ground",
        under="about ten seconds a placement, stepping off in between",
        doing=_doing(scene),
        cautions=CAUTIONS,
        trials=_placements(scene),
        pictures=(*placement_pictures(scene), *stance_pictures(scene)),
        facts=(*_grades(scene), *standing_facts(scene)),
        table=None if scene.findings is None else ground_table(scene.findings, scene.system),
        upload=_upload(),
        instrument_slot="mat",
        mat=_mat(scene),
    )


def progress(scene: Scene) -> Progress:
    """How far the check is."""
    taken = scene.visit.ground
    if not taken:
        return Progress(state="waiting")
    count = str(len(taken))
    if _short(scene) is None:
        return Progress(state="done", count=count, enough="Every standing has its three placements.")
    return Progress(state="partly", count=count)


def _mat(scene: Scene) -> MatSlot:
    """The live mat, set to the standing that is short."""
    stance, footwear, _ = _short(scene) or ("fitted", "golf shoes", EACH)
    return MatSlot(stance=stance, footwear=footwear, waiting=waiting_count(scene.id))


def _short(scene: Scene) -> tuple[StanceTime, Footwear, int] | None:
    """The first standing that has fewer than three placements, and how many it has."""
    for stance, footwear in WANTED:
        n = sum(p.stance == stance and p.footwear == footwear for p in scene.visit.ground)
        if n < EACH:
            return stance, footwear, n
    return None


def _doing(scene: Scene) -> Doing:
    short = _short(scene)
    if short is None:
        return Doing(
            what="Enough.", why="Three placements of every standing say more than longer ones.", enough=True
        )
    stance, footwear, n = short
    own = "in the player's own stance" if stance == "as arrived" else "in the stance being fitted"
    return Doing(
        what=f"Placement {n + 1} of {EACH}: {footwear}, {own}.",
        why="Standing longer does not steady a mean position, stepping off and on again does.",
        rest=rest_due(len(scene.visit.ground)),
    )


def _placements(scene: Scene) -> Grid | None:
    slots = scene.log.of("placement")
    if not slots:
        return None
    lines = []
    for n, slot in enumerate(slots, 1):
        keys = {"recording": slot.key[0]}
        fields = (
            ("stance", ("as arrived", "fitted")),
            ("footwear", ("golf shoes", "barefoot")),
            ("family", FAMILIES),
        )
        cells = tuple(
            cell(
                scene.log,
                scene.system,
                Spot(kind="placement", keys=keys, field=field),
                f"Placement {n}, {field}",
                control="choice",
                choices=choices,
            )
            for field, choices in fields
        )
        lines.append(
            Line(label=f"{n} · {slot.key[0]}", cells=cells, take_back=" ".join(map(str, slot.readings)))
        )
    return Grid(
        name="placements",
        title="Placements so far",
        columns=(Column(label="stance"), Column(label="feet"), Column(label="family")),
        lines=tuple(lines),
    )


def _grades(scene: Scene) -> tuple[Fact, ...]:
    """Each placement: usable, or what to do about it."""
    findings = scene.findings
    if findings is None:
        return ()
    return tuple(_grade(n, p, scene) for n, p in enumerate(scene.visit.ground, 1))


def _grade(n: int, placement: Placement, scene: Scene) -> Fact:
    what = f"placement {n}, {placement.stance}, {placement.footwear}"
    found = None if scene.findings is None else scene.findings.of(f"placement {n}")
    if found is None:
        return Fact(what=what, figure="being read")
    if not isinstance(found.value, Ground):
        return Fact(what=what, figure="repeat", note=found.reason or "")
    grade = found.value.grade
    return Fact(
        what=what,
        figure="usable" if grade.usable else "repeat",
        note=" ".join((*(flag.text for flag in grade.flags), *found.value.noticed)),
    )


def _upload() -> Upload:
    return Upload(
        accept=".parquet,.csv,.txt,.tsv,.asc,.dat,.gz,.zip,.c3d,.toml",
        label="Recording",
        choices=(
            ("stance", "stance", (("as arrived", "as arrived"), ("fitted", "fitted"))),
            ("footwear", "feet", (("golf shoes", "golf shoes"), ("barefoot", "barefoot"))),
            ("family", "family", (("", "none in particular"), *((f, f) for f in FAMILIES))),
        ),
    )


PAGE = CheckPage(check="ground", view=view, progress=progress)
