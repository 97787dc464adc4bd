"""The whole bag on paper, for card and build sheet: one table, one picture, and what they do not say."""

from dataclasses import dataclass

from evenground.findings import Findings
from evenground.report.bag_drawing import bag_drawing
from evenground.report.bag_view import bag_rows, bag_sentences
from evenground.report.drawing import Drawing
from evenground.visit import StudioSettings, Visit

__all__ = ["BagPart", "bag_part"]


@dataclass(frozen=True, slots=True, kw_only=True)
class BagPart:
    """The own clubs as one table, one picture (None without a length and a lie), and what they do not say."""

    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    drawing: Drawing | None
    sentences: tuple[str, ...]


def bag_part(visit: Visit, studio: StudioSettings, findings: Findings) -> BagPart | None:
    """The bag as it was found; None when no club was described."""
    bag = findings.value("clubs")
    if bag is None:
        return None
    columns, rows = bag_rows(bag, studio.units)
    drawing = bag_drawing(bag, handed=visit.player.handed)
    return BagPart(columns=columns, rows=rows, drawing=drawing, sentences=bag_sentences(bag))
