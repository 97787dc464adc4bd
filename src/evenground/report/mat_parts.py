"""Pictures of the placements with what was noticed on each, or why it was refused."""

from collections.abc import Iterator
from dataclasses import dataclass

from evenground.findings import Findings, seen_kind
from evenground.measure.ground_types import Ground
from evenground.measure.seen import Seen
from evenground.report.drawing import Drawing
from evenground.report.seen_drawing import seen_drawing, seen_words
from evenground.units import LengthSystem
from evenground.visit import Placement, Visit

__all__ = ["MatPart", "mat_parts", "placement_parts"]


@dataclass(frozen=True, slots=True, kw_only=True)
class MatPart:
    """One placement: its title, its picture and that in words, sentences, whether it was used."""

    title: str
    drawing: Drawing
    says: str
    sentences: tuple[str, ...]
    usable: bool


def placement_parts(visit: Visit, findings: Findings, system: LengthSystem) -> tuple[MatPart, ...]:
    """Every placement that a mat saw, in their order."""
    parts = (_part(n, p, visit, findings, system) for n, p in enumerate(visit.ground, 1))
    return tuple(part for part in parts if part is not None)


def mat_parts(visit: Visit, findings: Findings, system: LengthSystem) -> tuple[MatPart, ...]:
    """One placement of each way of standing, the latest that was used; and every one that was not."""
    latest: dict[tuple[object, ...], MatPart] = {}
    refused = []
    for number, placement in enumerate(visit.ground, 1):
        part = _part(number, placement, visit, findings, system)
        if part is not None and part.usable:
            latest[(placement.stance, placement.footwear, placement.family)] = part
        elif part is not None:
            refused.append(part)
    return (*latest.values(), *refused)


def _part(
    number: int, placement: Placement, visit: Visit, findings: Findings, system: LengthSystem
) -> MatPart | None:
    seen = findings.value(seen_kind(number))
    if not isinstance(seen, Seen):
        return None
    found = findings.value(f"placement {number}")
    ground = found if isinstance(found, Ground) else None
    usable = ground is not None and ground.grade.usable
    conditions = (placement.stance, placement.footwear, placement.family)
    words = ", ".join(word for word in conditions if word is not None)
    return MatPart(
        title=f"Placement {number}: {words}" + ("" if usable else " \u00b7 repeat"),
        drawing=seen_drawing(seen, visit.player.handed, ground if usable else None, system),
        says=seen_words(seen),
        sentences=tuple(_sentences(seen, ground)),
        usable=usable,
    )


def _sentences(seen: Seen, ground: Ground | None) -> Iterator[str]:
    if ground is None:
        if seen.refused is not None:
            yield seen.refused
        return
    yield from ground.noticed
    if not ground.grade.usable:
        yield from (flag.text for flag in ground.grade.flags)
