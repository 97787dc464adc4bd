"""The address that each family's first club asks of this body, with the balance that the mat found."""

from functools import partial

from evenground.assess.book import Book, Part
from evenground.assess.ground import ground_of
from evenground.body.lengths import side_lengths
from evenground.body.survey import Reference
from evenground.estimate import Estimate
from evenground.fit.address import Address, AddressClub, Wanted, solve_address
from evenground.measure.ground import Ground
from evenground.visit import FAMILIES, BodyCheck, Family, Limb, OwnClub

__all__ = ["assess_address", "mat_balance"]

MIDDLE_PERCENT = 50.0
LEGS: tuple[Limb, ...] = ("left leg", "right leg", "left foot", "right foot", "left arm", "right arm")


def assess_address(book: Book) -> None:
    """One address a family, for its first club with a length and a lie; a seated player has none."""
    body = book.visit.body
    if body is None or body.mean_mm("stature") is None or body.mass_kg is None:
        return
    if body.seated or any(limb in body.limbs for limb in LEGS):
        return
    for family in FAMILIES:
        club = next((c for c in book.visit.own_clubs if c.family == family and _known(c)), None)
        if club is not None:
            _assess(book, body, club)


def _known(club: OwnClub) -> bool:
    return club.length_mm is not None and club.lie_deg is not None


def _assess(book: Book, body: BodyCheck, club: OwnClub) -> None:
    percent, caveat = _balance(book, club.family)
    sizes = {s.name: v for s in body.sizes if (v := body.mean_mm(s.name)) is not None}
    reference = book.visit.player.reference
    part = Part(
        evidence=("body", f"club {club.mark}", "ground"),
        inputs=(body, club, reference, percent),
        methods=("address",),
    )
    wanted = Wanted(
        mass_kg=float(body.mass_kg or 0.0),
        balance_percent=percent,
        model="de leva women" if reference == "women" else "de leva men",
    )
    hands_mm = (club.upper_station_mm + club.lower_station_mm) / 2.0
    held = AddressClub(
        family=club.family,
        length_mm=float(club.length_mm or 0.0),
        lie_deg=float(club.lie_deg or 0.0),
        station_mm=hands_mm,
        mass_g=0.0 if club.balance_mm is None else float(club.total_mass_g or 0.0),
        balance_mm=float(club.balance_mm or 0.0),
    )
    make = partial(_solve, sizes, reference, held, wanted)
    book.compute(f"address.{club.family}", part, make, caveat=caveat)


def _solve(
    sizes: dict[str, float], reference: Reference | None, club: AddressClub, wanted: Wanted
) -> Address:
    return solve_address(side_lengths(sizes, reference), club, wanted)


def _balance(book: Book, family: Family) -> tuple[float, str | None]:
    """Where the mat found the balance, in % from the heel, weighted by load; the middle without a mat."""
    for footwear in ("barefoot", "golf shoes"):
        ground = ground_of(book, "fitted", footwear, family)
        percent = None if ground is None else _percent(ground)
        if percent is not None:
            return percent, None
    return MIDDLE_PERCENT, "no balance from a mat: the middle of the foot stands in"


def _percent(ground: Ground) -> float | None:
    found = mat_balance(ground)
    return None if found is None else found.value


def mat_balance(ground: Ground) -> Estimate | None:
    """Both feet's centre of pressure in % of foot length from the heel, by load; None without one."""
    feet = [f for f in (ground.feet.left, ground.feet.right) if f is not None]
    known = [
        (f.load_percent.value, f.cop_percent_length)
        for f in feet
        if f.cop_percent_length is not None and f.load_percent is not None
    ]
    load = sum(w for w, _ in known)
    if len(known) < len(feet) or load <= 0.0:
        return None
    se = sum((w / load * p.se) ** 2 for w, p in known) ** 0.5
    n = min(p.n for _, p in known)
    return Estimate(value=sum(w * p.value for w, p in known) / load, se=se, n=n, unit="% of foot")
