"""What changed between a player's last two visits, as their page prints it."""

from dataclasses import dataclass

from evenground.assess.changes import VisitChange
from evenground.fit.change import LineChange
from evenground.records.models import Player
from evenground.records.visits import current_snapshot, studio_file
from evenground.report.change_drawing import change_drawing
from evenground.report.change_words import figure_words, kept_words
from evenground.studio.study_room import change_of
from evenground.studio.svg import Picture, picture

__all__ = ["ChangePart", "ChangeRow", "change_part"]

CHART_PX = 560.0
WORDS = ("changed", "cannot tell", "no real change", "not comparable")


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeRow:
    """One line: both figures with their errors, the word, and the reason."""

    line: LineChange
    before: str
    now: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangePart:
    """The section: what changed or cannot be told, and in folds what did not change and what is apart."""

    found: VisitChange
    rows: tuple[ChangeRow, ...]
    same: tuple[ChangeRow, ...]
    apart: tuple[ChangeRow, ...]
    kept: tuple[str, ...]
    picture: Picture | None


def change_part(player: Player) -> ChangePart | None:
    """What changed, None before there are two visits to compare."""
    found = change_of(player)
    if found is None or not found.lines:
        return None
    system = studio_file(current_snapshot()).settings.units
    rows = [
        ChangeRow(line=one, before=figure_words(one.before, system), now=figure_words(one.after, system))
        for one in found.lines
    ]
    of = {word: tuple(r for r in rows if r.line.word == word) for word in WORDS}
    changed = [r.line.title for r in of["changed"]]
    able = len(of["not comparable"]) < len(rows)
    says = f"Changed: {', '.join(changed)}." if changed else "No line shows a change beyond its error."
    return ChangePart(
        found=found,
        rows=(*of["changed"], *of["cannot tell"]),
        same=of["no real change"],
        apart=of["not comparable"],
        kept=tuple(kept_words(k, system) for k in found.kept),
        picture=picture(change_drawing(found.lines), says=says, name="change", wide_px=CHART_PX)
        if able
        else None,
    )
