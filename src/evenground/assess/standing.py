"""What the placements say together: ways of standing compared, and the player weighed by the mat."""

from dataclasses import dataclass

from evenground.assess.book import Book, Part
from evenground.estimate import Estimate, pool
from evenground.instruments import as_of
from evenground.measure.ground import Ground
from evenground.measure.ground_change import ground_change
from evenground.measure.ground_constants import STANDARD_GRAVITY
from evenground.measure.instrument_judge import reads_right
from evenground.measure.weighing import Mismatch, Weighing, explain_weights
from evenground.measure.weighing_constants import SHOES_KG
from evenground.visit import Family, Footwear, StanceTime

__all__ = ["Group", "Weighed", "compare_standings", "group_kind", "weigh_player"]

Group = tuple[StanceTime, Footwear, Family | None]

_SAME = 1e-9
_LEAST = 2  # placements on either side, below which nothing is compared


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighed:
    """The mat's total force beside the mass on file, by footwear, and what is wrong where they disagree."""

    mass_kg: float
    barefoot_n: Estimate | None
    shod_n: Estimate | None
    mismatches: tuple[Mismatch, ...]


def group_kind(group: Group) -> str:
    """The finding's kind for one group of placements.

    Examples
    --------
    >>> group_kind(("fitted", "golf shoes", "irons"))
    'ground.fitted.golf shoes.irons'
    """
    return ".".join(("ground", *(part for part in group if part is not None)))


def compare_standings(book: Book, groups: tuple[Group, ...]) -> None:
    """Barefoot with golf shoes, and as arrived with now, wherever both were stood in at least twice."""
    for stance, footwear, family in groups:
        if footwear == "barefoot":
            shod: Group = (stance, "golf shoes", family)
            _compare(book, ((stance, footwear, family), shod), ("barefoot", "golf shoes"), (stance, family))
        if stance == "as arrived":
            now: Group = ("fitted", footwear, family)
            _compare(book, ((stance, footwear, family), now), ("as arrived", "fitted"), (footwear, family))


def _compare(
    book: Book,
    pair: tuple[Group, Group],
    names: tuple[str, str],
    under: tuple[str, Family | None],
) -> None:
    kinds = [group_kind(group) for group in pair]
    before, after = (book.value(kind) for kind in kinds)
    if not isinstance(before, Ground) or not isinstance(after, Ground):
        return
    if min(_count(before), _count(after)) < _LEAST:
        return
    part = Part(evidence=tuple(kinds), inputs=(before, after), methods=("ground", "ground change"))
    what = ".".join(["ground change", " to ".join(names), *(u for u in under if u is not None)])
    book.compute(
        what, part, lambda: ground_change(before, after, names=names, other_footwear=pair[0][1] != pair[1][1])
    )


def _count(ground: Ground) -> int:
    load = ground.feet.left.load_percent
    return 1 if load is None else load.n


def weigh_player(book: Book) -> None:
    """Compare the mat's force with the mass on file; only where the mat gives newtons of its own."""
    body = book.visit.body
    if body is None or body.mass_kg is None:
        return
    weighings = []
    forces: dict[Footwear, list[Estimate]] = {"barefoot": [], "golf shoes": []}
    for number, placement in enumerate(book.visit.ground, 1):
        ground = book.value(f"placement {number}")
        if not isinstance(ground, Ground) or ground.total_force_n is None or _scaled(ground, body.mass_kg):
            continue
        forces[placement.footwear].append(ground.total_force_n)
        worn = float(SHOES_KG) if placement.footwear == "golf shoes" else 0.0
        force = ground.total_force_n.value
        weighings.append(Weighing(force_n=force, mass_kg=body.mass_kg, worn_kg=worn, checked=_checked(book)))
    if not weighings:
        return
    part = Part(
        evidence=("body mass", *(p.recording for p in book.visit.ground)),
        inputs=(body.mass_kg, tuple(weighings)),
        methods=("weight",),
    )
    mass = body.mass_kg
    book.compute(
        "weight",
        part,
        lambda: Weighed(
            mass_kg=mass,
            barefoot_n=_mean(forces["barefoot"]),
            shod_n=_mean(forces["golf shoes"]),
            mismatches=explain_weights(weighings),
        ),
    )


def _scaled(ground: Ground, mass_kg: float) -> bool:
    """Whether the force is the mass on file itself: raw counts are scaled by it and say nothing of it."""
    force = ground.total_force_n
    return force is not None and abs(force.value / (mass_kg * float(STANDARD_GRAVITY)) - 1.0) < _SAME


def _checked(book: Book) -> bool:
    """Whether a known weight read right on the studio's one mat."""
    mats = [one for one in book.studio.instruments if one.kind == "mat"]
    return len(mats) == 1 and reads_right(as_of(mats[0], book.visit.day))


def _mean(forces: list[Estimate]) -> Estimate | None:
    return pool(forces, what="forces") if forces else None
