"""The player's own checks: screening, body, posture."""

from dataclasses import dataclass
from functools import partial

from evenground.assess.book import Book, Part
from evenground.assess.posture_views import assess_views
from evenground.body.ranges import check_body
from evenground.body.report import BodyReport
from evenground.measure.posture import posture_angles
from evenground.visit import FAMILIES, BodyCheck, Screening, Visit

__all__ = [
    "Safety",
    "age_years",
    "assess_body",
    "assess_posture",
    "assess_safety",
    "body_report",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Safety:
    """What the screening allows; a visit without one is measuring only."""

    screening: Screening


def assess_safety(book: Book) -> None:
    """The screening's answer; without one the visit is *measuring only*."""
    part = Part(evidence=("screening",), inputs=(book.visit.screening,), methods=("safety",))
    if book.visit.screening is None:
        book.skip("safety", part, f"{book.absent('safety')}; without a screening the visit is measuring only")
        return
    screening = book.visit.screening
    book.compute("safety", part, lambda: Safety(screening=screening))


def assess_body(book: Book) -> None:
    """Sizes with what the range check says of them; it warns and never blocks."""
    body = book.visit.body
    if body is None:
        book.skip("body", Part(methods=("body",)), book.absent("body"))
        return
    part = Part(
        evidence=tuple(
            " ".join(w for w in ("body,", size.side, size.name.replace("_", " ")) if w) for size in body.sizes
        ),
        inputs=(body, book.visit.player.reference, book.visit.hands, age_years(book.visit)),
        methods=("body",),
    )
    book.compute("body", part, lambda: body_report(book.visit, body))


def body_report(visit: Visit, body: BodyCheck) -> BodyReport:
    """The body check of a visit, with its hands, its player's survey table and age."""
    return check_body(body, reference=visit.player.reference, hands=visit.hands, age_years=age_years(visit))


def age_years(visit: Visit) -> int | None:
    """Years from the birth year to the visit's, None when the birth year is not known."""
    born = visit.player.birth_year
    return None if born is None else visit.day.year - born


def assess_posture(book: Book) -> None:
    """Angles of each family that was looked at from the side, typed or off photos."""
    readings, views = book.visit.posture, book.visit.posture_views
    if not readings and not views:
        book.skip("posture", Part(methods=("posture",)), book.absent("posture"))
    for family in FAMILIES:
        own = [r for r in readings if r.family == family]
        seen = assess_views(book, tuple(v for v in views if v.family == family))
        if own or seen:
            names = tuple(f"posture {i}, {family}" for i in range(1, len(own) + 1))
            names += tuple(f"side view {view.view}" for view, _ in seen)
            inputs = (*own, *(view for view, _ in seen))
            part = Part(evidence=names, inputs=inputs, methods=("posture",))
            known = book.studio.errors.posture_deg
            photos = [found for _, found in seen]
            make = partial(posture_angles, own, seen=photos, known_sd_deg=known)
            book.compute(f"posture.{family}", part, make)
