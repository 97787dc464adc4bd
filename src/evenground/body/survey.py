"""Body sizes of the reference survey: mean and SD by sex, and how some follow from the stature.

Young fit soldiers, not golfers: good for telling a slip of the tape from a body, not for judging a body.
"""

from dataclasses import dataclass
from typing import Literal

__all__ = ["LINES", "SIZES", "SURVEY", "Line", "Normal", "Reference"]

Reference = Literal["women", "men"]

SURVEY = (
    "ANSUR II: Gordon et al. 2014, NATICK/TR-15/007, 2012 Anthropometric Survey of U.S. Army Personnel; "
    "recomputed from the public file, 4082 men and 1986 women"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Normal:
    """Mean and SD of one size in one reference population, in mm."""

    mean_mm: float
    sd_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A size as ``slope * stature + offset_mm``, with its standard error of estimate."""

    slope: float
    offset_mm: float
    see_mm: float

    def at(self, stature_mm: float) -> float:
        """What the line expects at one stature, in mm."""
        return self.slope * stature_mm + self.offset_mm


def _pair(men: tuple[float, float], women: tuple[float, float]) -> dict[Reference, Normal]:
    return {
        "men": Normal(mean_mm=men[0], sd_mm=men[1]),
        "women": Normal(mean_mm=women[0], sd_mm=women[1]),
    }


def _lines(men: tuple[float, float, float], women: tuple[float, float, float]) -> dict[Reference, Line]:
    return {
        "men": Line(slope=men[0], offset_mm=men[1], see_mm=men[2]),
        "women": Line(slope=women[0], offset_mm=women[1], see_mm=women[2]),
    }


# Names after ISO 7250-1:2017; wrist height is the survey's stylion, shoulder height its acromial height.
SIZES: dict[str, dict[Reference, Normal]] = {
    "stature": _pair((1756.2, 68.6), (1628.5, 64.2)),
    "shoulder_height": _pair((1440.7, 63.3), (1335.1, 58.1)),
    "wrist_height": _pair((847.5, 41.7), (794.2, 38.2)),
    "biacromial_breadth": _pair((415.7, 19.2), (365.3, 18.3)),
    "hip_breadth": _pair((345.7, 24.2), (353.8, 26.7)),
    "foot_length": _pair((271.2, 13.1), (246.3, 12.4)),
    "foot_breadth": _pair((101.9, 5.2), (92.7, 4.8)),
    "hand_length": _pair((193.3, 9.9), (181.1, 10.1)),
    "palm_length": _pair((116.5, 6.2), (108.7, 5.9)),
    "hand_breadth": _pair((88.3, 4.4), (78.2, 3.8)),
}

LINES: dict[str, dict[Reference, Line]] = {
    "hand_length": _lines((0.0977, 21.7, 7.4), (0.1012, 16.2, 7.7)),
    "foot_length": _lines((0.1373, 30.1, 9.1), (0.1399, 18.5, 8.6)),
    "biacromial_breadth": _lines((0.1486, 154.6, 16.2), (0.1612, 102.8, 15.1)),
    "wrist_height": _lines((0.5204, -66.4, 21.5), (0.5083, -33.5, 19.9)),
}
