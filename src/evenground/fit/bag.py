"""The bag as it came in: each club's address, balance, what a counterweight would do, and the Rules."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from evenground.errors import EvengroundError
from evenground.estimate import Estimate, difference, from_repeats
from evenground.fit import club_constants as c
from evenground.fit.club_address import (
    ball_from_heel_line_mm,
    cap_height_mm,
    held_lie_deg,
    length_for_lie_mm,
    reach_mm,
)
from evenground.fit.clubs import (
    Verdict,
    check_club_length,
    check_grip_length,
    check_grip_profile,
    check_grip_shape,
    check_grip_width,
    check_lean,
    check_putter_lie,
    hand_moment_n_m,
    swing_weight_points,
)
from evenground.fit.grip_constants import GRAM_OUNCES, POINT_INCH_OUNCES, STANDARD_GRAVITY
from evenground.visit import BallPlace, Family, OwnClub

__all__ = [
    "NOWHERE",
    "Bag",
    "ClubReport",
    "CounterweightEffect",
    "Stands",
    "counterweight_effect",
    "describe_bag",
    "describe_club",
    "hands_middle_mm",
]

RULES_METHOD = "60 deg plane"
ALONG_METHOD = "along the shaft"


@dataclass(frozen=True, slots=True, kw_only=True)
class CounterweightEffect:
    """What a weight under the cap would do to a club; the club itself is left as it was weighed.

    `swing_weight_points` is the change on the 14-inch scale, None for putters. `hand_moment_n_m` is the
    change of the static moment about the hands, negative where the head feels lighter, and
    `hand_inertia_kg_m2` what the club's moment of inertia about the hands grows by.
    """

    added_g: float
    at_mm: float
    mass_g: Estimate
    balance_mm: Estimate
    swing_weight_points: float | None
    hand_moment_n_m: float
    hand_inertia_kg_m2: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ClubReport:
    """One club; whatever was not measured, or does not apply to its family, is None.

    `cap_height_mm` and `reach_mm` are with the sole flat. `held_lie_deg` is the lie in the player's own
    address, `lie_off_deg` that less the club's own: negative is held flatter, the toe up. `flat_length_mm` is
    the length at which this lie would lie flat with the cap where the player holds it. Ball distances are
    this club's own, else its family's. `swing_weight_points` above D0 is for irons and woods,
    `hand_moment_n_m` for putters.
    """

    mark: str
    family: Family
    length_mm: Estimate | None
    length_method: str | None
    lie_deg: Estimate | None
    cap_height_mm: Estimate | None
    reach_mm: Estimate | None
    held_lie_deg: Estimate | None
    lie_off_deg: Estimate | None
    flat_length_mm: Estimate | None
    ball_inside_lead_heel_mm: Estimate | None
    ball_from_toe_line_mm: Estimate | None
    ball_from_heel_line_mm: Estimate | None
    mass_g: Estimate | None
    balance_mm: Estimate | None
    swing_weight_points: Estimate | None
    hand_moment_n_m: Estimate | None
    counterweight: CounterweightEffect | None
    verdicts: tuple[Verdict, ...]
    notes: tuple[str, ...]

    @property
    def conforming(self) -> bool | None:
        """Whether all that was looked at conforms: False if anything does not, None where nothing is sure."""
        answers = {v.answer for v in self.verdicts}
        if "does not conform" in answers:
            return False
        return True if answers == {"conforms"} else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Bag:
    """All clubs, in the order in which they came in."""

    clubs: tuple[ClubReport, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stands:
    """How the player stands to the ball, for the distances that a club list does not hold itself.

    `toe_out_deg` are lead and trail by family.
    """

    ball: Mapping[Family, BallPlace]
    toe_out_deg: Mapping[Family, tuple[float, float]]
    shoe_length_mm: float | None = None
    ball_sd_mm: float = c.BALL_SE_MM.value


NOWHERE = Stands(ball={}, toe_out_deg={})


def _se(value: float | None, se: float, unit: str) -> Estimate | None:
    return None if value is None else Estimate(value=value, se=se, unit=unit)


def hands_middle_mm(club: OwnClub) -> float:
    """Middle of the hands below the cap, of one hand where one holds the club."""
    if club.grip_style in ("lead hand only", "trail hand only"):
        return club.upper_station_mm
    return (club.upper_station_mm + club.lower_station_mm) / 2.0


def counterweight_effect(club: OwnClub, added_g: float, at_mm: float = 0.0) -> CounterweightEffect | None:
    """What a weight so far below the cap would do; None for a club that was not weighed and balanced.

    Statics: the masses add, the balance point moves to their common centre; the moment about the hands and
    the 14-inch scale change by the weight times its own lever, and the moment of inertia about the hands
    grows by the weight times its distance squared.
    """
    if club.total_mass_g is None or club.balance_mm is None:
        return None
    mass = club.total_mass_g + added_g
    balance = (club.total_mass_g * club.balance_mm + added_g * at_mm) / mass
    hands = hands_middle_mm(club)
    lever_m = (at_mm - hands) / 1000.0
    points = swing_weight_points(mass, balance) - swing_weight_points(club.total_mass_g, club.balance_mm)
    return CounterweightEffect(
        added_g=added_g,
        at_mm=at_mm,
        mass_g=Estimate(value=mass, se=c.MASS_SE_G.value, unit="g"),
        balance_mm=Estimate(value=balance, se=c.BALANCE_SE_MM.value, unit="mm"),
        swing_weight_points=None if club.family == "putter" else points,
        hand_moment_n_m=added_g / 1000.0 * STANDARD_GRAVITY.value * lever_m,
        hand_inertia_kg_m2=added_g / 1000.0 * lever_m**2,
    )


def _length_se(club: OwnClub) -> tuple[float, float]:
    """Error of a length as measured, and against the Rules' own method for that family."""
    rules = ALONG_METHOD if club.family == "putter" else RULES_METHOD
    if club.length_method is None:
        return c.UNKNOWN_METHOD_SE_MM.value, c.UNKNOWN_METHOD_SE_MM.value
    plain = c.LENGTH_SE_MM.value
    return plain, plain if club.length_method == rules else math.hypot(plain, c.OTHER_METHOD_SE_MM.value)


def _swing_weight(club: OwnClub) -> Estimate | None:
    if club.family == "putter" or club.total_mass_g is None or club.balance_mm is None:
        return None
    value = swing_weight_points(club.total_mass_g, club.balance_mm)
    a_gram = swing_weight_points(club.total_mass_g + 1.0, club.balance_mm) - value
    a_mm = club.total_mass_g * GRAM_OUNCES.value / 25.4 / POINT_INCH_OUNCES.value
    return Estimate(
        value=value,
        se=math.hypot(a_gram * c.MASS_SE_G.value, a_mm * c.BALANCE_SE_MM.value),
        unit="points",
    )


def _hand_moment(club: OwnClub) -> Estimate | None:
    if club.family != "putter" or club.total_mass_g is None or club.balance_mm is None:
        return None
    hands = hands_middle_mm(club)
    value = hand_moment_n_m(club.total_mass_g, club.balance_mm, hands)
    weight_n = club.total_mass_g / 1000.0 * STANDARD_GRAVITY.value
    lever_se_m = math.hypot(c.BALANCE_SE_MM.value, c.HANDS_SE_MM.value) / 1000.0
    mass_part = value * c.MASS_SE_G.value / club.total_mass_g
    return Estimate(value=value, se=math.hypot(weight_n * lever_se_m, mass_part), unit="N m")


def _verdicts(club: OwnClub) -> Iterable[Verdict]:
    """Everything of this club that a Rule limits and that was measured."""
    if club.length_mm is not None:
        yield check_club_length(club.length_mm, club.family, se_mm=_length_se(club)[1])
    if club.lie_deg is not None:
        lie = check_putter_lie(club.lie_deg, se_deg=c.LIE_SE_DEG.value)
        yield Verdict(rule="lie", answer=lie.answer, text=lie.text)
    if club.lean_deg is not None:
        yield check_lean(club.lean_deg, se_deg=c.LEAN_SE_DEG.value)
    if club.grip_length_mm is not None:
        yield check_grip_length(club.grip_length_mm, se_mm=c.LENGTH_SE_MM.value)
    across = [d for d in (club.grip_widest_mm, club.grip_upper_mm, club.grip_lower_mm) if d is not None]
    if across:
        yield check_grip_width(max(across), se_mm=c.CALLIPER_SE_MM.value)
    if club.grip_shape is not None:
        yield check_grip_shape(club.grip_shape, club.family)
    if club.grip_upper_mm is not None and club.grip_lower_mm is not None:
        yield check_grip_profile([club.grip_upper_mm, club.grip_lower_mm])


def _ball(club: OwnClub, stands: Stands) -> tuple[Estimate | None, Estimate | None, Estimate | None]:
    """Inside the lead heel, from the toe line, from the heel line: this club's own, else its family's."""
    place = stands.ball.get(club.family)
    inside = _own_or(
        club.ball_inside_lead_heel_mm, () if place is None else place.inside_lead_heel_mm, stands
    )
    toes = _own_or(club.ball_from_toe_line_mm, () if place is None else place.from_toe_line_mm, stands)
    turned = stands.toe_out_deg.get(club.family)
    if toes is None or turned is None or stands.shoe_length_mm is None:
        return inside, toes, None
    return inside, toes, ball_from_heel_line_mm(toes, stands.shoe_length_mm, turned)


def _own_or(own: float | None, family: Sequence[float], stands: Stands) -> Estimate | None:
    readings = family if own is None else (own,)
    return from_repeats(readings, unit="mm", known_sd=stands.ball_sd_mm) if readings else None


def describe_club(club: OwnClub, stands: Stands = NOWHERE) -> ClubReport:
    """Everything that one club's sizes say, each with its error.

    Parameters
    ----------
    club
        As it came in.
    stands
        Ball, toe-out and shoe, for what the club does not hold itself.

    Returns
    -------
    report
        What cannot be worked out is None; `notes` say what could not, and why.
    """
    length = _se(club.length_mm, _length_se(club)[0], "mm")
    lie = _se(club.lie_deg, c.LIE_SE_DEG.value, "deg")
    cap = _se(club.cap_height_mm, c.CAP_HEIGHT_SE_MM.value, "mm")
    inside, toes, heels = _ball(club, stands)
    held, note = _held(length, cap)
    weight = club.counterweight_g
    return ClubReport(
        mark=club.mark,
        family=club.family,
        length_mm=length,
        length_method=club.length_method,
        lie_deg=lie,
        cap_height_mm=None if length is None or lie is None else cap_height_mm(length, lie),
        reach_mm=None if length is None or lie is None else reach_mm(length, lie),
        held_lie_deg=held,
        lie_off_deg=None if held is None or lie is None else difference(held, lie),
        flat_length_mm=None if cap is None or lie is None or held is None else length_for_lie_mm(cap, lie),
        ball_inside_lead_heel_mm=inside,
        ball_from_toe_line_mm=toes,
        ball_from_heel_line_mm=heels,
        mass_g=_se(club.total_mass_g, c.MASS_SE_G.value, "g"),
        balance_mm=_se(club.balance_mm, c.BALANCE_SE_MM.value, "mm"),
        swing_weight_points=_swing_weight(club),
        hand_moment_n_m=_hand_moment(club),
        counterweight=None
        if weight is None
        else counterweight_effect(club, weight, club.counterweight_at_mm or 0.0),
        verdicts=tuple(_verdicts(club)),
        notes=(*note, *_club_notes(club)),
    )


def _held(length: Estimate | None, cap: Estimate | None) -> tuple[Estimate | None, tuple[str, ...]]:
    if length is None or cap is None:
        return None, ()
    try:
        return held_lie_deg(length, cap), ()
    except EvengroundError as exc:
        return None, (str(exc),)


def _club_notes(club: OwnClub) -> Iterable[str]:
    if club.length_mm is not None and club.length_method is None:
        yield "How the length was measured is not said: the methods differ by several mm."
    if club.family != "putter" and club.length_mm is not None and club.length_mm > c.LOCAL_LONGEST_MM.value:
        yield f"Over {c.LOCAL_LONGEST_MM.value} mm (46 in): a committee may have a local rule against it."
    if club.counterweight_g is not None and (club.total_mass_g is None or club.balance_mm is None):
        yield "What the counterweight would do needs the club's mass and balance point."


def describe_bag(clubs: Sequence[OwnClub], stands: Stands = NOWHERE) -> Bag:
    """Every club of a bag, and what the bag as a whole has to answer for."""
    notes = []
    if len(clubs) > c.CLUBS_MOST.value:
        notes.append(f"{len(clubs)} clubs; a round may be begun with {c.CLUBS_MOST.value:.0f} at most.")
    if clubs:
        notes.append(
            "Lies are static: how a shaft bends at impact cannot be seen here. Only what was measured is "
            "held against the Rules; equipment defers to the current Rules of Golf."
        )
    return Bag(clubs=tuple(describe_club(club, stands) for club in clubs), notes=tuple(notes))
