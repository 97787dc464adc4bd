"""The grips: what the hands want, and what the stock allows on each club."""

import math
from dataclasses import replace
from functools import partial

from evenground.assess.book import Book, OpenBlob, Part
from evenground.capture.fields import read_toml
from evenground.capture.stock import StockList
from evenground.errors import EvengroundError
from evenground.estimate import Estimate
from evenground.fit.grip import DEFAULT_MODEL, GripWanted, Hand, Held, wanted_as_held
from evenground.fit.grip_build import fit_grip
from evenground.fit.grip_types import GripFit
from evenground.floor import Side, lead_side, trail_side
from evenground.stock import Stock
from evenground.visit import GripStyle, Limb, OwnClub, StudioSnapshot

__all__ = ["assess_grips", "stock_of"]


def assess_grips(book: Book) -> None:
    """Wanted diameters, and builds for each own club."""
    wanted = _wanted(book)
    _builds(book, wanted)


def _hand(book: Book, side: Side) -> Hand | None:
    size = next((h for h in book.visit.hands if h.side == side), None)
    if size is None:
        return None
    finger_se = math.sqrt(2.0) * size.se_mm
    return Hand(
        length_mm=Estimate(value=size.length_mm, se=size.se_mm, unit="mm"),
        finger_mm=Estimate(value=size.finger_mm, se=finger_se, unit="mm"),
        sore=size.sore,
    )


def _gone(book: Book, side: Side) -> bool:
    """Whether a side has no hand that holds a club."""
    limbs = {} if book.visit.body is None else book.visit.body.limbs
    parts: tuple[Limb, Limb] = ("left arm", "left hand") if side == "left" else ("right arm", "right hand")
    return any(limbs.get(limb) in ("absent", "prosthetic") for limb in parts)


def _style(book: Book, style: GripStyle) -> GripStyle:
    """How a club is held by a player who may have one hand."""
    handed = book.visit.player.handed
    if _gone(book, lead_side(handed)):
        return "trail hand only"
    return "lead hand only" if _gone(book, trail_side(handed)) else style


def _as_held(book: Book, held: Held) -> GripWanted:
    """What the hands want on a club that is held so."""
    handed = book.visit.player.handed
    lead, trail = _hand(book, lead_side(handed)), _hand(book, trail_side(handed))
    alone = replace(held, style=_style(book, held.style))
    return wanted_as_held(lead, trail, alone, model=book.studio.grip_model or DEFAULT_MODEL)


def _wanted(book: Book) -> GripWanted | None:
    hands, handed = book.visit.hands, book.visit.player.handed
    limbs = {} if book.visit.body is None else book.visit.body.limbs
    part = Part(
        evidence=tuple(f"{h.side} hand" for h in hands),
        inputs=(hands, handed, tuple(sorted(limbs.items()))),
        methods=("grip wanted",),
    )
    if not hands:
        book.skip("grip.wanted", part, book.absent("hands"))
        return None
    # The lead hand holds the club nearer the cap; another grip style is entered with the club, not guessed.
    return book.compute("grip.wanted", part, partial(_as_held, book, Held()))


def stock_of(studio: StudioSnapshot, open_blob: OpenBlob) -> Stock | None:
    """The grips and the tape that the studio has, None when it names no list."""
    name = studio.stock
    if name is None:
        return None
    with open_blob(name) as stream:
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
        stock = stock_of(book.studio, book.open_blob)
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
        book.compute(f"grip.build.{club.mark}", own, partial(_build, book, stock, club))


def _build(book: Book, stock: Stock, club: OwnClub) -> GripFit:
    """The builds of one club, for what the hands want the way this club is held."""
    held = Held(style=club.grip_style, glove=club.glove)
    if club.glove_mm is not None:
        held = replace(held, glove_mm=club.glove_mm)
    wanted = _as_held(book, held)
    return fit_grip(wanted, stock, club, worn_grip_mass_g=club.grip_mass_g)
