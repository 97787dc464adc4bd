r"""The address that fits a body and a club: balance where it is wanted, hands where the club asks for them.

::

              o shoulder        four angles say where everything is: shank (forward +), thigh (backward +),
             / \                trunk (forward +), arm (away from the body +); knee flex = shank + thigh
       trunk/   \arm
           o hip  \
            \thigh  o hands ______ butt           hands' height = (length - station) sin(lie)
             o knee  \
             |shank    \ club                     ball distance = hands' reach + (length - station) cos(lie)
        heel-o-----toe   \_ sole                                  - toe tip

Hands that meet take half the shoulders' breadth of the arms' length sideways; the rest hangs in this plane.
Static: how a shaft bends at impact cannot be seen here.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from evenground.body.lengths import SideLengths
from evenground.errors import FitError
from evenground.estimate import Estimate
from evenground.fit.address_constants import BALANCE_SD, GRIP_STATION
from evenground.fit.address_search import (
    BOUND_NAMES,
    BOUND_ROWS,
    START,
    bounds,
    comfort_of,
    landmarks_of,
    nearest,
    plant_of,
)
from evenground.fit.address_types import Address, AddressClub, ClubForPosture, HeldLoad, Sensitivity, Wanted

__all__ = [
    "Address",
    "AddressClub",
    "AddressOutOfReachError",
    "ClubForPosture",
    "HeldLoad",
    "Sensitivity",
    "Wanted",
    "club_for_posture",
    "solve_address",
]

FloatArray = NDArray[np.float64]


class AddressOutOfReachError(FitError):
    """No address within a body's bounds holds this club with this balance."""

    do = "Change the club's length or lie, or the wanted balance."

    def __init__(self, limit: str, hands_off_mm: float, balance_off_percent: float) -> None:
        super().__init__(limit, hands_off_mm, balance_off_percent)
        self.where = "address"
        where = "above" if hands_off_mm > 0.0 else "below"
        parts = []
        if abs(hands_off_mm) > 1.0:
            parts.append(f"the hands stay {abs(hands_off_mm):.0f} mm {where} where the club asks for them")
        if abs(balance_off_percent) > 0.5:
            ahead = "ahead of" if balance_off_percent > 0.0 else "behind"
            parts.append(
                f"the balance {abs(balance_off_percent):.0f} % of the foot {ahead} where it is wanted"
            )
        self.what = f"No address reaches this: with the {limit} at its limit " + " and ".join(parts) + "."


def _numbers(lengths: SideLengths) -> dict[str, float]:
    names = ("shank", "thigh", "trunk", "neck", "head", "upper_arm", "forearm", "grip", "half_shoulders")
    found = {n: getattr(lengths, f"{n}_mm").value for n in (*names, "ankle_height", "foot")}
    return {n: float(v) for n, v in found.items()}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Solved:
    """One solution as figures: the angles in degrees, knee flex, and ball distances."""

    q: FloatArray
    limits: tuple[str, ...]
    figures: Mapping[str, float]


def _solved(
    lengths: Mapping[str, float], club: AddressClub, wanted: Wanted, start: FloatArray = START
) -> _Solved | None:
    plant = plant_of(lengths, club, wanted)
    found = nearest(plant, club, wanted, start)
    if found is None:
        return None
    q, limits = found
    shank, thigh, trunk, arm = (math.degrees(v) for v in q)
    ball = plant.reach_mm(q) + club.reach_mm
    figures = {
        "shank": shank,
        "thigh": thigh,
        "trunk": trunk,
        "arm": arm,
        "knee": shank + thigh,
        "heel ball": ball,
        "toe ball": ball - lengths["foot"],
        "height": plant.height_mm(q),
        "balance": 100.0 * plant.balance_mm(q) / plant.foot_mm,
    }
    return _Solved(q=q, limits=limits, figures=figures)


def solve_address(lengths: SideLengths, club: AddressClub, wanted: Wanted) -> Address:
    """The address nearest to comfortable that balances where wanted and holds the club on the ground.

    Parameters
    ----------
    lengths
        The body from the side.
    club
        Length, lie, where the hands sit, and its mass.
    wanted
        The body's mass, the place of the centre of mass, the shoes, a held load.

    Returns
    -------
    address
        Balance and hands' height are met to rounding.

    Raises
    ------
    AddressOutOfReachError
        If no angles within the bounds meet both; it says what stands in the way.

    Notes
    -----
    Least sum of squared distances from the comfortable angles, each in units of its spread, on the two goals
    and within the bounds (`address_constants`, teaching ranges and ours): Newton's method on the Lagrangian,
    bounds taken in one by one. Standard errors: each length moved by its own, solved again, added in
    quadrature, and the segment table's 2.9 % of foot length. Segment masses: de Leva 1996.
    """
    plain = _numbers(lengths)
    base = _solved(plain, club, wanted)
    if base is None:
        raise _reason(plain, club, wanted)
    errors = _errors(lengths, plain, club, wanted, base)

    def estimate(name: str, unit: str) -> Estimate:
        return Estimate(value=base.figures[name], se=errors[name], n=1, unit=unit)

    a, m = comfort_of(club.family)
    off = a @ base.q - m
    worst = int(np.argmax(np.abs(off)))
    points = landmarks_of(plain, base.q, sole_mm=wanted.sole_mm)
    return Address(
        club=club,
        trunk_deg=estimate("trunk", "deg"),
        thigh_deg=estimate("thigh", "deg"),
        shank_deg=estimate("shank", "deg"),
        knee_flex_deg=estimate("knee", "deg"),
        arm_hang_deg=estimate("arm", "deg"),
        hands_height_mm=base.figures["height"],
        balance_percent=base.figures["balance"],
        ball_from_heel_mm=estimate("heel ball", "mm"),
        ball_from_toe_mm=estimate("toe ball", "mm"),
        strain=float(off @ off),
        furthest=BOUND_NAMES[worst],
        furthest_spreads=float(off[worst]),
        limits=base.limits,
        sensitivities=_sensitivities(plain, club, wanted, base),
        landmarks={n: at for n, at in points.items() if n != "fingertip"},
        predicted=lengths.predicted,
    )


def _errors(
    lengths: SideLengths, plain: Mapping[str, float], club: AddressClub, wanted: Wanted, base: _Solved
) -> dict[str, float]:
    squares = dict.fromkeys(base.figures, 0.0)
    moves: list[_Solved | None] = []
    for name in plain:
        se = getattr(lengths, f"{name}_mm").se
        if se > 0.0:
            moves.append(_solved({**plain, name: plain[name] + se}, club, wanted, base.q))
    table = replace(wanted, balance_percent=wanted.balance_percent + BALANCE_SD.value)
    moves.append(_solved(plain, club, table, base.q))
    for move in moves:
        if move is not None:
            for name, value in move.figures.items():
                squares[name] += (value - base.figures[name]) ** 2
    return {name: math.sqrt(v) for name, v in squares.items()}


def _sensitivities(
    plain: Mapping[str, float], club: AddressClub, wanted: Wanted, base: _Solved
) -> tuple[Sensitivity, ...]:
    """What one step of each thing that can be changed does."""
    toward_toes = replace(wanted, balance_percent=wanted.balance_percent + 5.0)
    changes = (
        ("club 10 mm longer", replace(club, length_mm=club.length_mm + 10.0), wanted),
        ("lie 1 deg more upright", replace(club, lie_deg=club.lie_deg + 1.0), wanted),
        ("balance 5 % of the foot nearer the toes", club, toward_toes),
        ("hands 10 mm further down the grip", replace(club, station_mm=club.station_mm + 10.0), wanted),
        ("shoes 10 mm thicker", club, replace(wanted, sole_mm=wanted.sole_mm + 10.0)),
    )
    found = []
    for words, other_club, other_wish in changes:
        moved = _solved(plain, other_club, other_wish, base.q)
        if moved is None:
            continue
        by = {n: moved.figures[n] - base.figures[n] for n in ("trunk", "knee", "arm", "toe ball")}
        found.append(
            Sensitivity(
                change=words,
                trunk_deg=by["trunk"],
                knee_deg=by["knee"],
                arm_deg=by["arm"],
                ball_mm=by["toe ball"],
            )
        )
    return tuple(found)


def _reason(plain: Mapping[str, float], club: AddressClub, wanted: Wanted) -> AddressOutOfReachError:
    """The nearest that a body comes to both goals within its bounds, and the bound that stops it."""
    from scipy.optimize import minimize

    plant = plant_of(plain, club, wanted)
    goals = (wanted.balance_percent / 100.0 * plant.foot_mm, club.hands_height_mm)
    low, high = bounds()

    def miss(x: FloatArray) -> float:
        q = np.array([x[0], x[1] - x[0], x[2], x[3]])
        return (plant.balance_mm(q) - goals[0]) ** 2 + (plant.height_mm(q) - goals[1]) ** 2

    start = np.clip(BOUND_ROWS @ START, low, high)
    best = minimize(miss, start, bounds=list(zip(low, high, strict=True)), method="L-BFGS-B").x
    q = np.array([best[0], best[1] - best[0], best[2], best[3]])
    room = np.minimum(best - low, high - best)
    return AddressOutOfReachError(
        BOUND_NAMES[int(np.argmin(room))],
        plant.height_mm(q) - goals[1],
        100.0 * (plant.balance_mm(q) - goals[0]) / plant.foot_mm,
    )


def club_for_posture(
    hands_mm: tuple[Estimate, Estimate], ball_mm: Estimate, *, station_mm: float = GRIP_STATION.value
) -> ClubForPosture:
    """Length and static lie of the club that a measured posture asks for; a starting point, to be tried out.

    Parameters
    ----------
    hands_mm
        Middle of both hands: ahead of the heel, and above the ground.
    ball_mm
        The ball ahead of the heel.
    station_mm
        Where the hands sit, from the butt end.

    Notes
    -----
    The shaft runs from the hands to the sole on the ground at the ball. ``length = station + hypot(reach,
    height)``, ``lie = atan2(height, reach)``; the two coordinates' errors add in quadrature.
    """
    reach, height = ball_mm.value - hands_mm[0].value, hands_mm[1].value
    reach_se, height_se = math.hypot(ball_mm.se, hands_mm[0].se), hands_mm[1].se
    along = math.hypot(reach, height)
    length_se = math.hypot(reach * reach_se, height * height_se) / along
    lie_se = math.degrees(math.hypot(height * reach_se, reach * height_se) / along**2)
    return ClubForPosture(
        length_mm=Estimate(value=station_mm + along, se=length_se, n=1, unit="mm"),
        lie_deg=Estimate(value=math.degrees(math.atan2(height, reach)), se=lie_se, n=1, unit="deg"),
    )
