"""What an address is asked for and what comes back: club, wish, held load, the address itself."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from evenground.body.segments import ModelName
from evenground.estimate import Estimate
from evenground.fit.address_constants import GRIP_STATION, SOLE
from evenground.visit import Family

__all__ = ["Address", "AddressClub", "ClubForPosture", "HeldLoad", "Sensitivity", "Wanted"]


@dataclass(frozen=True, slots=True, kw_only=True)
class AddressClub:
    """A club at address: length along the shaft, static lie, where the hands sit, mass and balance point."""

    family: Family
    length_mm: float
    lie_deg: float
    station_mm: float = GRIP_STATION.value
    mass_g: float = 0.0
    balance_mm: float = 0.0

    @property
    def hands_height_mm(self) -> float:
        """Height of the middle of the hands over the ground."""
        return (self.length_mm - self.station_mm) * math.sin(math.radians(self.lie_deg))

    @property
    def reach_mm(self) -> float:
        """Level distance from the hands to the sole."""
        return (self.length_mm - self.station_mm) * math.cos(math.radians(self.lie_deg))


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldLoad:
    """A known mass held at the chest: so far up the trunk (0 hip, 1 shoulder) and so far ahead of it."""

    mass_kg: float
    up_share: float = 0.75
    ahead_mm: float = 200.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What an address is to hold: the body's mass, balance in % of foot length from the heel, shoes."""

    mass_kg: float
    balance_percent: float = 50.0
    model: ModelName = "de leva men"
    sole_mm: float = SOLE.value
    load: HeldLoad | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Sensitivity:
    """How the address answers one change, everything else as it is: degrees, and mm of ball distance."""

    change: str
    trunk_deg: float
    knee_deg: float
    arm_deg: float
    ball_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Address:
    """The nearest comfortable address. Errors come from the body's sizes and from the balance's table.

    `limits` names angles that stand at their bound; `furthest` is the angle that is furthest from
    comfortable, in units of that comfort's spread. `ball_from_heel_mm` and `ball_from_toe_mm` are ahead of
    the heel line and of the toe line for feet straight ahead.
    """

    club: AddressClub
    trunk_deg: Estimate
    thigh_deg: Estimate
    shank_deg: Estimate
    knee_flex_deg: Estimate
    arm_hang_deg: Estimate
    hands_height_mm: float
    balance_percent: float
    ball_from_heel_mm: Estimate
    ball_from_toe_mm: Estimate
    strain: float
    furthest: str
    furthest_spreads: float
    limits: tuple[str, ...]
    sensitivities: tuple[Sensitivity, ...]
    landmarks: Mapping[str, tuple[float, float]]
    predicted: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ClubForPosture:
    """The club that a measured posture asks for: length and static lie, from where hands and ball are."""

    length_mm: Estimate
    lie_deg: Estimate
