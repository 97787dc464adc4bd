"""Grip: hip line and knees with the hand on the club, own grip against proposed, in pairs."""

from dataclasses import replace
from typing import Any

from evenground.report.trial_parts import grip_parts
from evenground.studio.pages.cells import Column, Grid, Line, Spot, cell
from evenground.studio.pages.facts import figures
from evenground.studio.pages.grip_builds import build_facts, build_pictures, wanted_facts
from evenground.studio.pages.leading import doing
from evenground.studio.pages.scene import Scene
from evenground.studio.pages.trial_pictures import trial_pictures
from evenground.studio.pages.view import CheckPage, CheckView
from evenground.visit import GripHand

__all__ = ["PAGE"]

PAIRS = 4
MOST = 24
OPEN_CLUBS = 3
GRIPS = (("own", "own grip"), ("proposed", "proposed grip"))
HANDS: tuple[tuple[GripHand, str], ...] = (
    ("both", ""),
    ("lead", "lead hand alone"),
    ("trail", "trail hand alone"),
)
HIPS = (("hip_line_deg", "hip line, + open"),)
KNEES = (("knee_flex_lead_deg", "lead knee"), ("knee_flex_trail_deg", "trail knee"))


def view(scene: Scene) -> CheckView:
    """The page of this check."""
    parts = () if scene.findings is None else grip_parts(scene.findings)
    return CheckView(
        check="grip",
        title="Grip",
        under="hip line with the hand on the club, glove unchanged throughout",
        doing=doing(scene, "grip"),
        grids=(_glove(scene), *(grid for club in _clubs(scene) for grid in _grids(scene, club))),
        pictures=(*trial_pictures(parts, "pairs"), *build_pictures(scene)),
        facts=(*figures(scene, "grip"), *wanted_facts(scene), *build_facts(scene)),
    )


def _clubs(scene: Scene) -> list[str]:
    """Clubs to try: those already tried, else those that came in."""
    tried = [] if scene.visit.grip is None else [t.club for t in scene.visit.grip.trials]
    return list(dict.fromkeys([*tried, *(c.mark for c in scene.visit.own_clubs)]))


def _glove(scene: Scene) -> Grid:
    spot = Spot(kind="grip set-up", field="glove")
    one = cell(scene.log, scene.system, spot, "Glove worn throughout", control="yes or no")
    return Grid(
        name="glove",
        title="",
        columns=(Column(label="glove worn throughout"),),
        lines=(Line(label="", cells=(one,)),),
    )


def _grids(scene: Scene, club: str) -> list[Grid]:
    """Hip lines with both hands on the club; knees and one hand alone are folded until they are used.

    One hand alone is offered where the club was tried already.
    """
    trials = () if scene.visit.grip is None else scene.visit.grip.trials
    index, found = _clubs(scene).index(club), []
    tried = any(t.club == club for t in trials) or (not trials and index == 0)
    for hand, words in HANDS:
        own = [t for t in trials if (t.club, t.hand) == (club, hand)]
        if hand != "both" and not tried:
            continue
        title = f"{club}, {words}" if words else club
        name = f"grip-{index}" if hand == "both" else f"grip-{index}-{hand}"
        hips = _grid(scene, (club, hand), HIPS)
        folded = not own and not (hand == "both" and not trials and index < OPEN_CLUBS)
        found.append(replace(hips, name=name, title=title, folded=folded))
        if own:
            bent = any(t.knee_flex_lead_deg is not None or t.knee_flex_trail_deg is not None for t in own)
            knees = _grid(scene, (club, hand), KNEES)
            bends = f"{title}: bend of the knees"
            found.append(replace(knees, name=f"{name}-knees", title=bends, folded=not bent))
    return found


def _keys(pair: int, of: tuple[str, GripHand], grip: str) -> dict[str, Any]:
    club, hand = of
    keys = {"pair": pair, "club": club, "grip": grip}
    return keys if hand == "both" else {**keys, "hand": hand}


def _count(scene: Scene, of: tuple[str, GripHand]) -> int:
    """Rows: four, or one more than were begun once those are full."""
    begun = {
        int(s.values["pair"])
        for s in scene.log.of("grip trial")
        if (s.values["club"], s.values.get("hand", "both")) == of
    }
    return min(MOST, max(PAIRS, max(begun, default=0) + (1 if len(begun) >= PAIRS else 0)))


def _grid(scene: Scene, of: tuple[str, GripHand], fields: tuple[tuple[str, str], ...]) -> Grid:
    hand = "" if of[1] == "both" else f", {of[1]} hand alone"
    lines = tuple(
        Line(
            label=f"pair {pair}",
            cells=tuple(
                cell(
                    scene.log,
                    scene.system,
                    Spot(kind="grip trial", keys=_keys(pair, of, grip), field=field),
                    f"{of[0]}{hand}, pair {pair}, {label}" + ("" if fields is HIPS else f", {what}"),
                )
                for field, what in fields
                for grip, label in GRIPS
            ),
        )
        for pair in range(1, _count(scene, of) + 1)
    )
    columns = tuple(
        Column(label=label, unit=what if fields is HIPS else f"{what}, bend")
        for _, what in fields
        for _, label in GRIPS
    )
    return Grid(name="", title="", columns=columns, lines=lines)


PAGE = CheckPage(check="grip", view=view)
