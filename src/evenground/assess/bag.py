"""The own clubs: each club's address, balance and the Rules, with the ball where this player has it."""

from evenground.assess.book import Book, Part
from evenground.fit.bag import Stands, describe_bag
from evenground.fit.club_constants import BALL_SE_MM
from evenground.visit import StudioSnapshot, Visit

__all__ = ["assess_bag", "stands_of"]


def assess_bag(book: Book) -> None:
    """One finding for the whole bag."""
    clubs, stands = book.visit.own_clubs, stands_of(book.visit, book.studio)
    part = Part(
        evidence=tuple(f"club {club.mark}" for club in clubs), inputs=(clubs, stands), methods=("clubs",)
    )
    if not clubs:
        book.skip("clubs", part, f"own clubs: {book.absent('own clubs')}")
        return
    book.compute("clubs", part, lambda: describe_bag(clubs, stands))


def stands_of(visit: Visit, studio: StudioSnapshot) -> Stands:
    """Where the player has feet and ball, as far as it was measured, for the distances of the clubs."""
    return Stands(
        ball={place.family: place for place in visit.ball},
        toe_out_deg={
            own.family: (own.toe_out_lead_deg, own.toe_out_trail_deg)
            for own in visit.as_arrived
            if own.toe_out_lead_deg is not None and own.toe_out_trail_deg is not None
        },
        shoe_length_mm=None if visit.shoes is None else visit.shoes.length_mm,
        ball_sd_mm=studio.errors.ball_mm or BALL_SE_MM.value,
    )
