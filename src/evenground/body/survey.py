"""Body sizes of the reference survey: means, SDs, percentiles and how the sizes go together, by sex.

Young fit soldiers, not golfers: good for telling a slip of the tape from a body, not for judging a body.
"""

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from evenground.sourced import Sourced

__all__ = [
    "OLDEST",
    "PERCENTS",
    "SURVEY",
    "YOUNGEST",
    "Line",
    "Normal",
    "Reference",
    "SurveyTable",
    "band_words",
    "line_on_stature",
    "normal_of",
    "survey_table",
]

Reference = Literal["women", "men"]

SURVEY = (
    "ANSUR II: Gordon et al. 2014, NATICK/TR-15/007, 2012 Anthropometric Survey of U.S. Army Personnel; "
    "recomputed from the public file, 4082 men and 1986 women"
)
YOUNGEST = Sourced(17.0, "years", f"youngest person in {SURVEY}")
OLDEST = Sourced(58.0, "years", f"oldest person in {SURVEY}")
PERCENTS = (1, 5, 50, 95, 99)
"""Percentiles that the table holds of each size."""

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Normal:
    """Mean and SD of one size in one reference population, in mm (kg for mass)."""

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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SurveyTable:
    """One sex of the survey: `names` (K), `mean` and `sd` (K,), `percentiles` (K, 5), `correlation` (K, K).

    Millimetres; the size called mass is in kilograms. `n` persons stand behind it.
    """

    names: tuple[str, ...]
    n: int
    mean: FloatArray
    sd: FloatArray
    percentiles: FloatArray
    correlation: FloatArray

    @property
    def covariance(self) -> FloatArray:
        """(K, K) in mm^2, mm kg or kg^2."""
        return self.correlation * np.outer(self.sd, self.sd)

    def at(self, names: tuple[str, ...]) -> list[int]:
        """Places of some sizes in the table."""
        return [self.names.index(name) for name in names]


@cache
def survey_table(reference: Reference) -> SurveyTable:
    """The survey's table for women or men. Source: `SURVEY`."""
    text = files("evenground.body").joinpath("ansur2.toml").read_text("utf-8")
    part = tomllib.loads(text)[reference]
    figures = np.array(list(part["sizes"].values()), dtype=float)
    names = tuple(part["sizes"])
    correlation = np.eye(len(names))
    for i, name in enumerate(names[1:], start=1):
        correlation[i, :i] = correlation[:i, i] = np.array(part["correlation"][name]) / 1e5
    return SurveyTable(
        names=names,
        n=part["n"],
        mean=figures[:, 0],
        sd=figures[:, 1],
        percentiles=figures[:, 2:],
        correlation=correlation,
    )


def normal_of(name: str, reference: Reference) -> Normal | None:
    """Mean and SD of one size, None when the survey has none.

    Examples
    --------
    >>> normal_of("wrist_height", "men")
    Normal(mean_mm=847.512, sd_mm=41.656)
    """
    table = survey_table(reference)
    if name not in table.names:
        return None
    i = table.names.index(name)
    return Normal(mean_mm=float(table.mean[i]), sd_mm=float(table.sd[i]))


def line_on_stature(name: str, reference: Reference) -> Line | None:
    """The least-squares line of one size on stature; None for stature itself and what the survey lacks.

    ``slope = r sd / sd_stature``, ``see = sd sqrt((1 - r^2) (n - 1) / (n - 2))``: any statistics text.
    """
    table = survey_table(reference)
    if name == "stature" or name not in table.names:
        return None
    s, i = table.at(("stature", name))
    r = table.correlation[s, i]
    slope = r * table.sd[i] / table.sd[s]
    see = table.sd[i] * np.sqrt((1.0 - r**2) * (table.n - 1) / (table.n - 2))
    return Line(slope=float(slope), offset_mm=float(table.mean[i] - slope * table.mean[s]), see_mm=float(see))


def band_words(name: str, value: float, reference: Reference) -> str | None:
    """Between which of the survey's percentiles a size lies; None when the survey has no such size.

    Examples
    --------
    >>> band_words("stature", 1700.0, "women"), band_words("stature", 1400.0, "women")
    ('between the 50th and 95th percentile', 'below the 1st percentile')
    """
    table = survey_table(reference)
    if name not in table.names:
        return None
    cuts = table.percentiles[table.names.index(name)]
    place = int(np.searchsorted(cuts, value))
    said = ["1st", "5th", "50th", "95th", "99th"]
    if place == 0:
        return f"below the {said[0]} percentile"
    if place == len(said):
        return f"above the {said[-1]} percentile"
    return f"between the {said[place - 1]} and {said[place]} percentile"
