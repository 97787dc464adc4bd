"""Body sizes that belong together, drawn as the published survey of adults spreads them."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from evenground.body.survey import SURVEY, Reference, survey_table

__all__ = ["SIZES", "SURVEY_SOURCE", "Reference", "SurveyTable", "draw_body", "survey"]

SURVEY_SOURCE = f"{SURVEY}; means and SD rounded to a tenth, correlations to a hundredth"

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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SurveyTable:
    """Means (S,), SD (S,) and correlations (S, S) of the sizes in the order of `SIZES`."""

    mean: NDArray[np.float64]
    sd: NDArray[np.float64]
    correlation: NDArray[np.float64]


def survey(reference: Reference) -> SurveyTable:
    """The survey's table for women or men. Source: `SURVEY_SOURCE`."""
    table = survey_table(reference)
    places = table.at(tuple(name.rpartition("_")[0] for name in SIZES))
    return SurveyTable(
        mean=np.round(table.mean[places], 1),
        sd=np.round(table.sd[places], 1),
        correlation=np.round(table.correlation[np.ix_(places, places)], 2),
    )


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
