"""Own clubs: each club as it came in, the bag as one table and one picture, and lists of clubs to load."""

from dataclasses import replace

from evenground.assess.bag import stands_of
from evenground.fit.bag import Bag, describe_bag
from evenground.records.merge import Slot
from evenground.records.reading_kinds import kind_named
from evenground.report.bag_drawing import bag_drawing
from evenground.report.bag_view import bag_rows, bag_sentences
from evenground.report.evidence_figures import GroundTable
from evenground.studio.pages.cells import Column, Grid, Line, Spot, cell
from evenground.studio.pages.facts import figures
from evenground.studio.pages.leading import doing
from evenground.studio.pages.scene import Scene
from evenground.studio.pages.view import CheckPage, CheckView, Fact, KeepField, KeepForm, Paste
from evenground.studio.svg import Picture, picture
from evenground.studio.typed import Control, unit_of
from evenground.studio.values import choices_of
from evenground.visit import FAMILIES

__all__ = ["PAGE"]

FIELDS: tuple[tuple[str, str], ...] = (
    ("mark", "mark"),
    ("family", "family"),
    ("grip_upper_mm", "grip, upper"),
    ("grip_lower_mm", "grip, lower"),
    ("butt_upper_mm", "butt, upper"),
    ("butt_lower_mm", "butt, lower"),
    ("length_mm", "length"),
    ("length_method", "how it was measured"),
    ("lie_deg", "lie"),
    ("cap_height_mm", "cap height at address"),
    ("total_mass_g", "mass"),
    ("balance_mm", "balance from the butt"),
)
MORE: tuple[tuple[str, str], ...] = (
    ("grip_style", "how it is held"),
    ("glove", "glove"),
    ("glove_mm", "glove's leather"),
    ("upper_station_mm", "upper hand below the cap"),
    ("lower_station_mm", "lower hand below the cap"),
    ("grip", "grip on it"),
    ("grip_shape", "grip's section"),
    ("grip_length_mm", "grip's length"),
    ("grip_widest_mm", "grip, widest"),
    ("grip_mass_g", "grip's mass"),
    ("lean_deg", "shaft lean, + to target"),
    ("ball_inside_lead_heel_mm", "ball inside the lead heel"),
    ("ball_from_toe_line_mm", "ball from the toe line"),
    ("counterweight_g", "counterweight to try"),
    ("counterweight_at_mm", "that below the cap"),
)
METHODS = ("60 deg plane", "along the shaft")


def view(scene: Scene) -> CheckView:
    """The page of this check."""
    bag = describe_bag(scene.visit.own_clubs, stands_of(scene.visit, scene.studio))
    return CheckView(
        check="own clubs",
        title="Own clubs",
        under="diameters outside, 50.8 and 152.4 mm below the cap unless the hands sit elsewhere",
        doing=doing(scene, "own clubs"),
        grids=_grids(scene),
        pictures=_pictures(scene, bag),
        facts=(*_said(bag), *figures(scene, "grip")),
        table=_table(scene, bag),
        keep=_keep(),
        paste=Paste(
            columns="mark,family,length,length_method,lie_deg,butt_upper_mm,butt_lower_mm",
            example="7 iron,irons,37 in,60 deg plane,62.5,15.2,14.6",
        ),
    )


def _keep() -> KeepForm:
    return KeepForm(
        kind="own club",
        button="Add this club",
        in_one=True,
        fields=(
            KeepField(name="mark", label="mark on it", kind="large", once=True),
            KeepField(
                name="family",
                label="family",
                kind="choice",
                value="irons",
                choices=tuple((f, f) for f in FAMILIES),
            ),
        ),
    )


def _control(field: str) -> Control:
    if field == "length_method" or choices_of(kind_named("own club"), field):
        return "choice"
    return "size" if unit_of(field, "metric") else "words"


def _choices(field: str) -> tuple[str, ...]:
    return METHODS if field == "length_method" else choices_of(kind_named("own club"), field)


def _grids(scene: Scene) -> tuple[Grid, ...]:
    """What every club needs, open; what some do, folded."""
    slots = scene.log.of("own club")
    if not slots:
        return ()
    unfinished = {u.key: u.reason for u in scene.folded.unfinished if u.kind == "own club"}
    first = tuple(
        replace(_line(scene, s, FIELDS), note=unfinished.get(s.key, ""), take_back=_all_of(s)) for s in slots
    )
    more = tuple(
        replace(line, label=f"{line.label}, more") for line in (_line(scene, s, MORE) for s in slots)
    )
    return (
        _stack("clubs", "Clubs as they came in", FIELDS, first),
        replace(_stack("more-of-clubs", "More of each club", MORE, more), folded=True),
    )


def _all_of(slot: Slot) -> str:
    return " ".join(map(str, slot.readings))


def _stack(name: str, title: str, fields: tuple[tuple[str, str], ...], lines: tuple[Line, ...]) -> Grid:
    columns = tuple(Column(label=label) for _, label in fields)
    return Grid(name=name, title=title, columns=columns, lines=lines, stacked=True)


def _line(scene: Scene, slot: Slot, fields: tuple[tuple[str, str], ...]) -> Line:
    name = str(slot.values.get("mark", "club"))
    cells = tuple(
        cell(
            scene.log,
            scene.system,
            Spot(kind="own club", keys={"club": slot.key[0]}, field=field),
            f"{name}, {label}",
            control=_control(field),
            choices=_choices(field),
        )
        for field, label in fields
    )
    return Line(label=name, cells=cells)


def _table(scene: Scene, bag: Bag) -> GroundTable | None:
    columns, rows = bag_rows(bag, scene.system)
    return GroundTable(columns=columns, rows=rows) if columns else None


def _said(bag: Bag) -> tuple[Fact, ...]:
    """The bag's sentences, those about one club under its mark."""
    marks = {club.mark for club in bag.clubs}
    facts = []
    for sentence in bag_sentences(bag):
        mark, _, rest = sentence.partition(": ")
        about = mark in marks
        facts.append(Fact(what=mark if about else "the bag", figure="", note=rest if about else sentence))
    return tuple(facts)


def _pictures(scene: Scene, bag: Bag) -> tuple[Picture, ...]:
    drawing = bag_drawing(bag, handed=scene.visit.player.handed)
    if drawing is None:
        return ()
    says = (
        "The clubs along the target line with their soles flat; dashed as this player holds them, hatched "
        "where the cap's height leaves it open."
    )
    across = (190.0, 20.0)
    return (picture(drawing, says=says, name="bag", wide_px=440.0, margin_px=across),)


PAGE = CheckPage(check="own clubs", view=view)
