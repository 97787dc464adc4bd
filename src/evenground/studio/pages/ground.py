"""Ground: placements on the mat, each with its recording; what the usable ones say together."""

from evenground.fit.protocol_repeats import STANDINGS
from evenground.measure.ground import Ground
from evenground.report.evidence_figures import ground_table
from evenground.studio.own_mat import waiting_count
from evenground.studio.pages.as_arrived import stance_pictures
from evenground.studio.pages.cells import Column, Grid, Line, Spot, cell
from evenground.studio.pages.ground_facts import standing_facts
from evenground.studio.pages.ground_seen import placement_pictures
from evenground.studio.pages.leading import doing, step_of
from evenground.studio.pages.scene import Scene
from evenground.studio.pages.view import Also, CheckPage, CheckView, Fact, MatSlot, Upload
from evenground.visit import FAMILIES, Placement

__all__ = ["PAGE"]

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
        doing=doing(scene, "ground"),
        cautions=CAUTIONS,
        trials=_placements(scene),
        pictures=(*placement_pictures(scene), *stance_pictures(scene)),
        facts=(*_grades(scene), *standing_facts(scene)),
        table=None if scene.findings is None else ground_table(scene.findings, scene.system),
        upload=_upload(),
        instrument_slot="mat",
        mat=_mat(scene),
        also=(Also(name="Held load: predicted, then tested", to="visit:held-load"),),
    )


def _mat(scene: Scene) -> MatSlot:
    """The live mat, set to the standing that is short."""
    wanted = step_of(scene, "ground").setting
    stance, footwear = next(
        (s for s in STANDINGS if s == (wanted.get("stance"), wanted.get("footwear"))), STANDINGS[-1]
    )
    return MatSlot(stance=stance, footwear=footwear, waiting=waiting_count(scene.id))


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


PAGE = CheckPage(check="ground", view=view)
