"""What a comfortable address is taken to be, and how far a body goes; teaching ranges, marked as such."""

from collections.abc import Mapping
from dataclasses import dataclass

from evenground.sourced import Sourced
from evenground.visit import Family

__all__ = ["COMFORT", "GRIP_STATION", "LIMITS", "SOLE", "Comfort", "Limit"]

_TEACHING = "common practice, no source: teaching ranges at address"


@dataclass(frozen=True, slots=True, kw_only=True)
class Comfort:
    """Preferred angle and how far from it costs as much as one unit of any other."""

    middle_deg: float
    spread_deg: float
    source: str = _TEACHING


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """An angle that no address passes; ours, wide."""

    low_deg: float
    high_deg: float
    source: str = "ours: wide bounds of what a golfer would be asked to do, no measure of a joint"


# Trunk 35 to 45 for irons, 25 to 40 with the driver, 40 to 55 with the putter; knees 15 to 25: the middle of
# each range, half its width. Arms are said to hang within 10 of the vertical, but an average man's fists
# stand lower than an ordinary 7-iron's grip (743 mm) as soon as the trunk leans 26 deg: the middle lies ahead
# of hanging, ours.
COMFORT: Mapping[Family, Mapping[str, Comfort]] = {
    "putter": {
        "trunk": Comfort(middle_deg=47.5, spread_deg=7.5),
        "knee": Comfort(middle_deg=20.0, spread_deg=5.0),
        "arm": Comfort(middle_deg=5.0, spread_deg=10.0, source="ours, within the teaching range"),
        "shank": Comfort(middle_deg=5.0, spread_deg=5.0, source="ours"),
    },
    "irons": {
        "trunk": Comfort(middle_deg=40.0, spread_deg=5.0),
        "knee": Comfort(middle_deg=20.0, spread_deg=5.0),
        "arm": Comfort(middle_deg=10.0, spread_deg=10.0, source="ours, at the edge of the teaching range"),
        "shank": Comfort(middle_deg=5.0, spread_deg=5.0, source="ours"),
    },
    "woods": {
        "trunk": Comfort(middle_deg=32.5, spread_deg=7.5),
        "knee": Comfort(middle_deg=20.0, spread_deg=5.0),
        "arm": Comfort(middle_deg=25.0, spread_deg=10.0, source="ours: a longer club is held further away"),
        "shank": Comfort(middle_deg=5.0, spread_deg=5.0, source="ours"),
    },
}

LIMITS: Mapping[str, Limit] = {
    "trunk": Limit(low_deg=5.0, high_deg=75.0),
    "knee": Limit(low_deg=0.0, high_deg=50.0),
    "arm": Limit(low_deg=-15.0, high_deg=50.0),
    "shank": Limit(low_deg=-8.0, high_deg=25.0),
}

GRIP_STATION = Sourced(
    101.6,
    "mm",
    "ours: the middle of both hands, halfway between the stations 50.8 and 152.4 mm below the cap",
)
SOLE = Sourced(20.0, "mm", "ours: how much a golf shoe lifts the foot; measure it where it matters")
BALANCE_SD = Sourced(
    2.9, "% of foot length", "ours: what the choice of segment table moves a golfer's centre of mass by"
)
