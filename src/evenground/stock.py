"""What a workshop has on its shelf: grips with their profiles, and tape; plain frozen shapes."""

from dataclasses import dataclass, field
from typing import Literal

from evenground.sourced import Sourced
from evenground.visit import FAMILIES, Family

__all__ = [
    "LAYER_MASS_G",
    "TAPE_MM",
    "GripMaterial",
    "GripSection",
    "GripShape",
    "MeasuredSection",
    "Stock",
    "StockGrip",
    "Tape",
]

TAPE_MM = Sourced(0.127, "mm", "common practice, no source: 0.005 in tape; to be measured by the studio")
LAYER_MASS_G = Sourced(1.5, "g", "common practice, no source: 1 to 2 g a layer along a whole grip")

GripShape = Literal["round", "not round"]
"""Round covers a rib no deeper than the Rules allow; everything with flats or a wide front is not round."""

GripMaterial = Literal["rubber", "foam"]
"""Rubber keeps its volume when it stretches; foam does not."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GripSection:
    """Outside and bore diameter of a free grip at one place, measured from the cap's edge."""

    station_mm: float
    outside_mm: float
    core_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredSection:
    """Width (along the face) and depth of a grip as it sits on a shaft, at one place below the cap."""

    station_mm: float
    width_mm: float
    depth_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StockGrip:
    """One grip on the shelf.

    `sections` run down the free grip, at least two; `length_mm` is its free length; `installed_length_mm`
    what it is pulled to, None when it is fitted at its free length. `cap_mm` is how far the cap's edge stands
    over the end of the shaft. A grip that the volume law does not hold for (foam, not round, two grips) has
    `measured` sections on a shaft instead. `gap_mm` is where the bare shaft shows between two grips. A `rib`
    is the slight one that the Rules allow, to be fitted square to the face.
    """

    mark: str
    length_mm: float
    mass_g: float
    sections: tuple[GripSection, ...] = ()
    shape: GripShape = "round"
    material: GripMaterial = "rubber"
    installed_length_mm: float | None = None
    families: tuple[Family, ...] = FAMILIES
    cap_mm: float = 0.0
    measured: tuple[MeasuredSection, ...] = ()
    gap_mm: tuple[float, float] | None = None
    rib: bool = False

    @property
    def stretch(self) -> float:
        """Installed over free length."""
        return 1.0 if self.installed_length_mm is None else self.installed_length_mm / self.length_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Tape:
    """Tape on the shelf: thickness as wrapped and mass of one layer along a whole grip; `most_layers` in all.

    The first layer is the double-sided one that holds the grip; it counts as a layer. The standard errors are
    None until the tape was calibrated from what came back. `width_mm` and `overlap_mm` say how it is laid.
    """

    double_sided_mm: float
    build_up_mm: float
    layer_mass_g: float
    most_layers: int
    double_sided_se_mm: float | None = None
    build_up_se_mm: float | None = None
    width_mm: float | None = None
    overlap_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """All grips that may be chosen, and the tape."""

    tape: Tape
    grips: tuple[StockGrip, ...] = field(default_factory=tuple)
