"""The grids of the aim page: how it is read, what the hole allows, aims, eyes, full-swing clubs."""

from typing import Any, get_args

from evenground.records.merge import Slot
from evenground.studio.pages.cells import Cell, Column, Grid, Line, Spot, cell
from evenground.studio.pages.scene import Scene
from evenground.studio.pages.view import KeepField
from evenground.visit import AimWay

__all__ = ["aims_grid", "extra_grids", "reading_field", "set_up_grids", "way_of"]

WAYS: tuple[AimWay, ...] = get_args(AimWay)
READ: dict[str, str] = {"offset_mm": "offset", "dot_mm": "dot", "face_deg": "face"}
LOOKS = (1, 2, 3)
CLUB_ENDS = 2


def way_of(scene: Scene) -> AimWay:
    """How aims are read; a board where nobody said."""
    slot = scene.log.slot("aim set-up")
    said = None if slot is None else slot.values.get("way")
    return next((way for way in WAYS if way == said), WAYS[0])


def reading_field(scene: Scene) -> KeepField:
    """The field that one aim is read into."""
    way = way_of(scene)
    if way == "face angle":
        return KeepField(
            name="face_deg",
            label="face against square",
            kind="large",
            unit="°",
            sides=("open", "closed"),
            side="open",
            once=True,
        )
    labels = {
        "board": "offset on the board",
        "string": "offset on the string",
        "laser dot": "dot on the board",
    }
    return KeepField(
        name="dot_mm" if way == "laser dot" else "offset_mm",
        label=labels[way],
        kind="large",
        sides=("left", "right"),
        side="right",
        once=True,
    )


def set_up_grids(scene: Scene) -> tuple[Grid, Grid]:
    """How far the hole is and how aims are read; what the hole allows, folded: the studio's where empty."""
    dot = way_of(scene) == "laser dot"
    read = ("dot_at_m", "mirror to the dot's board") if dot else ("read_at_m", "board or string, if nearer")
    face = way_of(scene) == "face angle"
    far = (("distance_m", "distance to the hole"), *(() if face else (read,)))
    allows = (
        ("past_m", "would roll past by"),
        ("green_m", "green reads"),
        ("hole_mm", "hole, across"),
        ("face_share", "face's share of the start line"),
    )
    way = cell(
        scene.log,
        scene.system,
        Spot(kind="aim set-up", field="way"),
        "How the aims are read",
        control="choice",
        choices=WAYS,
    )
    first = Grid(
        name="aim-set-up",
        title="",
        columns=(*(Column(label=label) for _, label in far), Column(label="read off a")),
        lines=(Line(label="", cells=(*(_set_up(scene, *one) for one in far), way)),),
    )
    slot = scene.log.slot("aim set-up")
    said = slot is not None and any(slot.values.get(name) is not None for name, _ in allows)
    hole = Grid(
        name="aim-hole",
        title="What the hole allows, where it is not the studio's",
        columns=tuple(Column(label=label) for _, label in allows),
        lines=(Line(label="", cells=tuple(_set_up(scene, *one) for one in allows)),),
        folded=not said,
    )
    return first, hole


def _set_up(scene: Scene, field: str, label: str) -> Cell:
    return cell(scene.log, scene.system, Spot(kind="aim set-up", field=field), label.capitalize())


def aims_grid(scene: Scene) -> Grid | None:
    """Every aim with what was read of it; none before the first."""
    slots = scene.log.of("aim trial")
    if not slots:
        return None
    return Grid(
        name="aims",
        title="Aims so far",
        columns=(Column(label="read", unit="+ right or open, − left or closed"),),
        lines=tuple(_aim(scene, slot) for slot in slots),
    )


def _aim(scene: Scene, slot: Slot) -> Line:
    trial, condition = slot.values["trial"], slot.values["condition"]
    field = next((f for f in READ if slot.values.get(f) is not None), "offset_mm")
    spot = Spot(kind="aim trial", keys={"condition": condition, "trial": trial}, field=field)
    one = cell(scene.log, scene.system, spot, f"Aim {trial}, {condition}, {READ[field]}")
    return Line(label=f"{trial} · {condition}", cells=(one,), take_back=" ".join(map(str, slot.readings)))


def extra_grids(scene: Scene) -> tuple[Grid, ...]:
    """The eye line's two facts, and the aim of two full-swing clubs; folded until they are used."""
    eyes = Grid(
        name="eyes",
        title="Eyes while aiming",
        columns=(
            Column(label="beyond the ball's line", unit="inside is −"),
            Column(label="line through the eyes", unit="+ open"),
        ),
        lines=tuple(
            Line(
                label=f"look {n}",
                cells=tuple(
                    _cell(scene, "eye line", {"repeat": n}, field, f"Eyes, look {n}, {label}")
                    for field, label in (("offset_mm", "beyond the ball"), ("direction_deg", "direction"))
                ),
            )
            for n in LOOKS
        ),
        folded=not scene.log.of("eye line"),
    )
    return (eyes, *(_swing(scene, i, club) for i, club in enumerate(_swing_clubs(scene))))


def _swing_clubs(scene: Scene) -> list[str]:
    """Clubs that were aimed with, then the shortest and the longest that came in, putters not."""
    used = [str(s.values["club"]) for s in scene.log.of("full-swing aim")]
    came = [c for c in scene.visit.own_clubs if c.family != "putter"]
    came.sort(key=lambda c: (c.length_mm is None, c.length_mm or 0.0))
    known = [c.mark for c in came if c.length_mm is not None] or [c.mark for c in came]
    ends = [known[0], known[-1]] if known else []
    return list(dict.fromkeys([*used, *ends]))[: max(CLUB_ENDS, len(set(used)))]


def _swing(scene: Scene, index: int, club: str) -> Grid:
    fields = (
        ("target_m", "distance to the target"),
        ("offset_mm", "offset on the board"),
        ("face_deg", "or face, + open"),
    )
    lines = tuple(
        Line(
            label=f"aim {n}",
            cells=tuple(
                _cell(scene, "full-swing aim", {"club": club, "trial": n}, field, f"{club}, aim {n}, {label}")
                for field, label in fields
            ),
        )
        for n in LOOKS
    )
    used = any(s.values["club"] == club for s in scene.log.of("full-swing aim"))
    return Grid(
        name=f"swing-{index}",
        title=f"Full-swing aim, {club}",
        columns=tuple(Column(label=label) for _, label in fields),
        lines=lines,
        folded=not used,
    )


def _cell(scene: Scene, kind: str, keys: dict[str, Any], field: str, label: str) -> Cell:
    return cell(scene.log, scene.system, Spot(kind=kind, keys=keys, field=field), label)
