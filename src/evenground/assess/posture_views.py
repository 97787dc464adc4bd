"""Photos of an address from the side: each a finding of its own, its balance beside the mat's."""

from collections.abc import Sequence
from functools import partial

from evenground.assess.address import mat_balance
from evenground.assess.book import Book, Part
from evenground.assess.ground import ground_of
from evenground.estimate import Estimate
from evenground.findings import Findings
from evenground.measure.posture import SeenPosture
from evenground.measure.posture_view import measure_view, posture_seen
from evenground.visit import Family, PostureView

__all__ = ["assess_views", "mat_percent"]


def assess_views(book: Book, views: Sequence[PostureView]) -> list[tuple[PostureView, SeenPosture]]:
    """Measure each photo of one family; gives those that say something of the posture.

    Left and right stay two findings: a side view shows one knee, and the difference is the player's own.
    """
    seen = []
    for view, kind in zip(views, _kinds(views), strict=True):
        body = book.visit.body
        mat = mat_percent(book, view.family)
        limbs = {} if body is None else body.limbs
        reference = book.visit.player.reference
        part = Part(
            evidence=(f"side view {view.view}", *(("ground",) if mat is not None else ())),
            inputs=(view, limbs, reference, mat),
            methods=("posture view",),
        )
        make = partial(measure_view, view, reference=reference, limbs=limbs, mat_percent=mat)
        found = book.compute(kind, part, make)
        if found is not None:
            posture = posture_seen(view, found, book.visit.player.handed)
            seen += [(view, posture)] if posture.se_deg else []
    return seen


def _kinds(views: Sequence[PostureView]) -> list[str]:
    """``posture view.irons.left`` and, for a further photo of the same, ``posture view.irons.left.2``."""
    kinds: list[str] = []
    for view in views:
        kind = f"posture view.{view.family}.{view.side}"
        same = sum(k == kind or k.startswith(f"{kind}.") for k in kinds)
        kinds.append(kind if not same else f"{kind}.{same + 1}")
    return kinds


def mat_percent(book: Book | Findings, family: Family) -> Estimate | None:
    """The mat's balance in the fitted stance: in shoes before bare feet, as the photo was taken."""
    for footwear in ("golf shoes", "barefoot"):
        ground = ground_of(book, "fitted", footwear, family)
        percent = None if ground is None else mat_balance(ground)
        if percent is not None:
            return percent
    return None
