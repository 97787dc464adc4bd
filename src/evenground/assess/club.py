"""The grip checks: what the hands want, what the stock allows on each club, what the new grip does."""

import math
from functools import partial

from evenground.assess.book import Book, Part
from evenground.capture.fields import read_toml
from evenground.capture.stock import StockList
from evenground.errors import EvengroundError
from evenground.estimate import Estimate
from evenground.fit.grip import GripWanted, Hand, wanted_diameters
from evenground.fit.grip_build import fit_grip
from evenground.floor import Side, lead_side, trail_side
from evenground.measure.hip_line import grip_difference
from evenground.stock import Stock
from evenground.visit import Limb

__all__ = ["assess_grips"]


def assess_grips(book: Book) -> None:
    """Wanted diameters, builds for each own club, and the paired grip trials."""
    wanted = _wanted(book)
    _builds(book, wanted)
    _grip_check(book)


def _hand(book: Book, side: Side) -> Hand | None:
    size = next((h for h in book.visit.hands if h.side == side), None)
    if size is None:
        return None
    finger_se = math.sqrt(2.0) * size.se_mm
    return Hand(
        length_mm=Estimate(value=size.length_mm, se=size.se_mm, unit="mm"),
        finger_mm=Estimate(value=size.finger_mm, se=finger_se, unit="mm"),
    )


def _one_handed(book: Book) -> bool:
    limbs = {} if book.visit.body is None else book.visit.body.limbs
    arms: tuple[Limb, ...] = ("left arm", "right arm", "left hand", "right hand")
    return any(limbs.get(limb) in ("absent", "prosthetic") for limb in arms)


def _wanted(book: Book) -> GripWanted | None:
    hands, handed = book.visit.hands, book.visit.player.handed
    part = Part(
        evidence=tuple(f"{h.side} hand" for h in hands), inputs=(hands, handed), methods=("grip wanted",)
    )
    if not hands:
        book.skip("grip.wanted", part, book.absent("hands"))
        return None
    # The lead hand holds the club nearer the cap; another grip style is entered with the club, not guessed.
    upper, lower = _hand(book, lead_side(handed)), _hand(book, trail_side(handed))
    make = partial(wanted_diameters, upper, lower, one_handed=_one_handed(book))
    return book.compute("grip.wanted", part, make)


def _stock(book: Book) -> Stock | None:
    name = book.studio.stock
    if name is None:
        return None
    with book.open_blob(name) as stream:
        return read_toml(stream.read(), StockList, file=name).to_stock()


def _builds(book: Book, wanted: GripWanted | None) -> None:
    clubs = book.visit.own_clubs
    if not clubs:
        book.skip("grip.build", Part(methods=("grip build",)), f"own clubs: {book.absent('own clubs')}")
        return
    part = Part(evidence=("own clubs",), methods=("grip build",))
    if wanted is None:
        book.skip("grip.build", part, "the hands were not measured, so no diameter is wanted")
        return
    try:
        stock = _stock(book)
    except EvengroundError as exc:
        book.skip("grip.build", part, str(exc))
        return
    if stock is None:
        book.skip("grip.build", part, "the studio names no stock of grips")
        return
    for club in clubs:
        own = Part(
            evidence=(f"club {club.mark}", "grip.wanted"),
            inputs=(club, wanted, book.blobs([book.studio.stock])),
            methods=("grip wanted", "grip build"),
        )
        make = partial(fit_grip, wanted, stock, club, worn_grip_mass_g=club.grip_mass_g)
        book.compute(f"grip.build.{club.mark}", own, make)


def _grip_check(book: Book) -> None:
    check = book.visit.grip
    if check is None or not check.trials:
        book.skip("grip.check", Part(methods=("grip check",)), book.absent("grip"))
        return
    for club in dict.fromkeys(t.club for t in check.trials):
        own = [t for t in check.trials if t.club == club]
        part = Part(
            evidence=tuple(f"grip pair {t.pair}, {t.grip}" for t in own),
            inputs=(tuple(own), check.glove),
            methods=("grip check",),
        )
        book.compute(f"grip.check.{club}", part, partial(grip_difference, own, club))
