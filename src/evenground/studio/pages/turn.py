"""Turn: how far trunk and pelvis turn to each side; only for a player whom the screening cleared."""

from dataclasses import replace
from typing import Any, Literal

from evenground.measure.turn import turn_words
from evenground.needs import not_asked
from evenground.report.trial_parts import turn_parts
from evenground.studio.pages.bar_photos import bar_photos, turn_caption, turn_form
from evenground.studio.pages.cells import Column, Grid, Line, Spot, cell
from evenground.studio.pages.facts import figures
from evenground.studio.pages.leading import doing
from evenground.studio.pages.scene import Scene
from evenground.studio.pages.trial_pictures import trial_pictures
from evenground.studio.pages.view import CheckPage, CheckView, Paste
from evenground.studio.typed import Control
from evenground.visit import TurnPart, TurnReading

__all__ = ["PAGE"]

REPEATS = 3
MOST = 12
SIDES: tuple[Literal["lead", "trail"], ...] = ("lead", "trail")
PARTS: tuple[TurnPart, ...] = ("trunk", "pelvis")
ANGLES: tuple[tuple[str, str, Control], ...] = (
    ("turn_deg", "angle", "size"),
    ("stopped_by_pain", "stopped by pain", "yes or no"),
)
STANCE: tuple[tuple[str, str, Control], ...] = (
    ("width_mm", "stance width", "size"),
    ("trunk_deg", "trunk from the vertical", "size"),
    ("knee_flex_deg", "knee flex", "size"),
)
CAUTIONS = (
    "Stop before any pain. A turn that pain stopped is kept, is no range, and is not repeated.",
    "Stop at numbness, dizziness, breathlessness, or the wish to stop, and advise asking a practitioner.",
)


def view(scene: Scene) -> CheckView:
    """The page of this check."""
    gated = not_asked(scene.visit, "turn")
    parts = () if scene.findings is None else turn_parts(scene.visit, scene.findings)
    return CheckView(
        check="turn",
        title="Turn",
        under="three turns to each side, of the trunk or of the pelvis; the mean counts, and no norm",
        doing=doing(scene, "turn"),
        cautions=CAUTIONS,
        grids=() if gated and not scene.visit.turn else tuple(_grids(scene)),
        pictures=trial_pictures(parts, "turn"),
        facts=figures(scene, "turn"),
        bar=None if gated else turn_form(),
        photos=bar_photos(scene, "turn", turn_caption),
        paste=None if gated else Paste(columns="toward,turn_deg,width_mm", example="lead,52,400"),
    )


def _grids(scene: Scene) -> list[Grid]:
    """Angles of the trunk, open; those of the pelvis and the stance of each turn, folded until used."""
    found = []
    for part in PARTS:
        for side in SIDES:
            taken = [t for t in scene.visit.turn if (t.part, t.toward) == (part, side)]
            count = _count(scene, part, side)
            words = turn_words(side)
            titles = f"{part.capitalize()} {words}", f"Stance of each turn of the {part} {words}, if varied"
            angles = _grid(scene, (part, side), titles[0], ANGLES, count)
            stance = _grid(scene, (part, side), titles[1], STANCE, count)
            found.append((angles, part == "trunk" or bool(taken)))
            found.append((stance, any(map(_says_stance, taken))))
    return [replace(grid, folded=not is_open) for grid, is_open in found]


def _says_stance(turn: TurnReading) -> bool:
    return any(getattr(turn, name) is not None for name, _, _ in STANCE)


def _keys(part: str, side: str, repeat: int) -> dict[str, Any]:
    keys = {"toward": side, "repeat": repeat}
    return keys if part == "trunk" else {**keys, "part": part}


def _count(scene: Scene, part: str, side: str) -> int:
    """Rows: three, or one more than were begun once those are full."""
    slots = scene.log.of("turn")
    begun = [
        int(s.values["repeat"])
        for s in slots
        if (s.values.get("part", "trunk"), s.values["toward"]) == (part, side)
    ]
    return min(MOST, max(REPEATS, max(begun, default=0) + (1 if len(begun) >= REPEATS else 0)))


def _grid(
    scene: Scene,
    of: tuple[TurnPart, Literal["lead", "trail"]],
    title: str,
    fields: tuple[tuple[str, str, Control], ...],
    count: int,
) -> Grid:
    part, side = of
    lines = tuple(
        Line(
            label=f"turn {n}",
            cells=tuple(
                cell(
                    scene.log,
                    scene.system,
                    Spot(kind="turn", keys=_keys(part, side, n), field=field),
                    f"Turn {n} of the {part} {turn_words(side)}, {label}",
                    control=control,
                )
                for field, label, control in fields
            ),
        )
        for n in range(1, count + 1)
    )
    kind = "stance" if fields is STANCE else "angles"
    return Grid(
        name=f"turn-{part}-{side}-{kind}",
        title=title,
        columns=tuple(Column(label=label) for _, label, _ in fields),
        lines=lines,
    )


PAGE = CheckPage(check="turn", view=view)
