"""Body sizes that belong together, drawn as the published survey of adults spreads them."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

__all__ = ["SIZES", "SURVEY_SOURCE", "Reference", "SurveyTable", "draw_body", "survey"]

Reference = Literal["women", "men"]

SURVEY_SOURCE = (
    "Gordon et al. 2014, 2012 Anthropometric Survey of U.S. Army Personnel, NATICK/TR-15/007; means, SD and "
    "correlations worked out from its public file (1986 women, 4082 men), rounded as shown"
)

SIZES = (
    "stature_mm",
    "shoulder_height_mm",
    "biacromial_breadth_mm",
    "hip_breadth_mm",
    "crotch_height_mm",
    "wrist_height_mm",
    "arm_length_mm",
    "foot_length_mm",
    "foot_breadth_mm",
    "hand_length_mm",
    "palm_length_mm",
    "mass_kg",
)
"""Order of the tables below; arm length is acromion to wrist."""

_MEAN = {
    "women": (1628.5, 1335.1, 365.3, 353.8, 782.3, 794.2, 552.5, 246.3, 92.7, 181.1, 108.7, 67.8),
    "men": (1756.2, 1440.7, 415.7, 345.7, 845.9, 847.5, 603.1, 271.2, 101.9, 193.3, 116.5, 85.5),
}
_SD = {
    "women": (64.2, 58.1, 18.3, 26.7, 44.6, 38.2, 29.8, 12.4, 4.8, 10.1, 5.9, 11.0),
    "men": (68.6, 63.3, 19.2, 24.2, 46.5, 41.7, 30.5, 13.1, 5.2, 9.9, 6.2, 14.2),
}
# Correlations in hundredths, below the diagonal, row by row in the order of SIZES.
_HUNDREDTHS = {
    "women": """
        97
        57 51
        39 41 30
        85 86 47 21
        85 89 38 42 65
        81 82 53 33 86 51
        72 71 52 34 72 54 72
        41 40 41 35 34 34 39 56
        65 64 53 29 69 45 71 80 49
        59 59 49 27 62 41 66 74 46 84
        53 56 46 83 40 52 51 54 52 49 45
    """,
    "men": """
        97
        53 50
        38 43 47
        86 86 43 20
        86 90 41 47 67
        82 83 50 31 85 55
        72 71 52 38 69 58 69
        45 46 44 45 37 42 41 59
        67 67 48 30 66 52 70 79 53
        59 59 43 29 59 46 62 70 48 79
        47 53 59 85 31 56 42 48 57 42 42
    """,
}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SurveyTable:
    """Means (S,), SD (S,) and correlations (S, S) of the sizes in the order of `SIZES`."""

    mean: NDArray[np.float64]
    sd: NDArray[np.float64]
    correlation: NDArray[np.float64]


def survey(reference: Reference) -> SurveyTable:
    """The survey's table for women or men. Source: `SURVEY_SOURCE`."""
    rows = [[float(h) / 100.0 for h in line.split()] for line in _HUNDREDTHS[reference].split("\n")]
    correlation = np.eye(len(SIZES))
    for i, row in enumerate((r for r in rows if r), start=1):
        correlation[i, :i] = correlation[:i, i] = row
    return SurveyTable(mean=np.array(_MEAN[reference]), sd=np.array(_SD[reference]), correlation=correlation)


def draw_body(rng: np.random.Generator, reference: Reference) -> Mapping[str, float]:
    """One adult's sizes by name, jointly normal, no size further than 3.5 SD from the mean.

    Young fit soldiers, not golfers: good for trying out a tool, no statement about players.
    """
    table = survey(reference)
    root = np.linalg.cholesky(table.correlation)
    while True:
        z = root @ rng.standard_normal(len(SIZES))
        if np.abs(z).max() <= 3.5:
            sizes = table.mean + table.sd * z
            return {name: float(size) for name, size in zip(SIZES, sizes, strict=True)}
