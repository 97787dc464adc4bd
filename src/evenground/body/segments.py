"""Shares of body mass and balance points of the body's segments, and the centre of mass they give.

A model is a list of segments between two landmarks. Points may have any number of axes as long as all have
the same; a side view has two, and a paired limb then stands for both sides.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from evenground.errors import MeasureError
from evenground.visit import Limb

__all__ = [
    "DE_LEVA",
    "MODELS",
    "WINTER",
    "CentreOfMass",
    "MissingLandmarksError",
    "ModelName",
    "Segment",
    "SegmentModel",
    "centre_of_mass",
    "load_shift_mm",
]

FloatArray = NDArray[np.float64]
ModelName = Literal["de leva men", "de leva women", "winter"]

DE_LEVA = (
    "de Leva P (1996) Adjustments to Zatsiorsky-Seluyanov's segment inertia parameters, J Biomechanics "
    "29:1223-1230"
)
WINTER = "Winter, Biomechanics and Motor Control of Human Movement, table 4.1, after Dempster 1955"


class MissingLandmarksError(MeasureError):
    """Landmarks without which a segment has no place."""

    do = "Mark these points too, or leave the centre of mass out."

    def __init__(self, model: str, missing: tuple[str, ...]) -> None:
        super().__init__(model, missing)
        self.where = "posture"
        names = ", ".join(name.replace("_", " ") for name in missing)
        self.what = f"The centre of mass ({model}) needs points that are not there: {names}."


@dataclass(frozen=True, slots=True, kw_only=True)
class Segment:
    """One segment: ends, share of body mass of one side, balance point as a fraction from the first end.

    `limbs` names the left and right limb whose absence takes this segment away; empty for head and trunk.
    """

    name: str
    first: str
    last: str
    mass_fraction: float
    centre_fraction: float
    limbs: tuple[tuple[Limb, ...], ...] = ()

    def sides(self, absent: Collection[Limb]) -> int:
        """How many of these a body has."""
        if not self.limbs:
            return 1
        return sum(not any(limb in absent for limb in side) for side in self.limbs)


@dataclass(frozen=True, slots=True, kw_only=True)
class SegmentModel:
    """A published table of segments. A report that uses it names it."""

    name: ModelName
    source: str
    segments: tuple[Segment, ...]

    @property
    def landmarks(self) -> tuple[str, ...]:
        """Every landmark that the segments end at, in order, each once."""
        return tuple(dict.fromkeys(end for s in self.segments for end in (s.first, s.last)))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CentreOfMass:
    """Where the body's centre of mass lies, in the frame and unit of the points.

    `mass_share` is the part of a whole body's mass that was there (1 but for absent limbs and rounding).
    """

    at: FloatArray
    mass_share: float
    model: ModelName
    parts: Mapping[str, FloatArray]


_ARM: tuple[tuple[Limb, ...], ...] = (("left arm",), ("right arm",))
_HAND: tuple[tuple[Limb, ...], ...] = (("left arm", "left hand"), ("right arm", "right hand"))
_LEG: tuple[tuple[Limb, ...], ...] = (("left leg",), ("right leg",))
_FOOT: tuple[tuple[Limb, ...], ...] = (("left leg", "left foot"), ("right leg", "right foot"))


def _de_leva(name: ModelName, mass: tuple[float, ...], centre: tuple[float, ...]) -> SegmentModel:
    """The same eight segments for men and women; alternative end points that show in a side view."""
    ends = (
        ("head", "vertex", "cervicale", ()),
        ("trunk", "shoulder", "hip", ()),
        ("upper arm", "shoulder", "elbow", _ARM),
        ("forearm", "elbow", "wrist", _ARM),
        ("hand", "wrist", "fingertip", _HAND),
        ("thigh", "hip", "knee", _LEG),
        ("shank", "knee", "ankle", _LEG),
        ("foot", "heel", "toe_tip", _FOOT),
    )
    segments = tuple(
        Segment(name=n, first=a, last=b, mass_fraction=m, centre_fraction=c, limbs=limbs)
        for (n, a, b, limbs), m, c in zip(ends, mass, centre, strict=True)
    )
    return SegmentModel(name=name, source=DE_LEVA, segments=segments)


# Masses add up to 1.0000 (men) and 0.9999 (women) with paired limbs twice; the balance is renormalised.
_MEN = _de_leva(
    "de leva men",
    (0.0694, 0.4346, 0.0271, 0.0162, 0.0061, 0.1416, 0.0433, 0.0137),
    (0.5002, 0.4310, 0.5772, 0.4574, 0.3624, 0.4095, 0.4395, 0.4415),
)
_WOMEN = _de_leva(
    "de leva women",
    (0.0668, 0.4257, 0.0255, 0.0138, 0.0056, 0.1478, 0.0481, 0.0129),
    (0.4841, 0.3782, 0.5754, 0.4559, 0.3427, 0.3612, 0.4352, 0.4014),
)
# Head, neck and trunk as one, but the arms apart: lumping the arms in ("HAT") puts a golfer 21 mm too far
# back.
_DEMPSTER = SegmentModel(
    name="winter",
    source=WINTER,
    segments=(
        Segment(
            name="trunk, head and neck",
            first="hip",
            last="shoulder",
            mass_fraction=0.578,
            centre_fraction=0.660,
        ),
        Segment(
            name="upper arm",
            first="shoulder",
            last="elbow",
            mass_fraction=0.028,
            centre_fraction=0.436,
            limbs=_ARM,
        ),
        Segment(
            name="forearm and hand",
            first="elbow",
            last="wrist",
            mass_fraction=0.022,
            centre_fraction=0.682,
            limbs=_HAND,
        ),
        Segment(
            name="thigh", first="hip", last="knee", mass_fraction=0.100, centre_fraction=0.433, limbs=_LEG
        ),
        Segment(
            name="leg", first="knee", last="ankle", mass_fraction=0.0465, centre_fraction=0.433, limbs=_LEG
        ),
        Segment(
            name="foot",
            first="ankle",
            last="metatarsal",
            mass_fraction=0.0145,
            centre_fraction=0.500,
            limbs=_FOOT,
        ),
    ),
)

MODELS: Mapping[ModelName, SegmentModel] = {m.name: m for m in (_MEN, _WOMEN, _DEMPSTER)}
"""The published tables by name."""


def centre_of_mass(
    points: Mapping[str, FloatArray], model: SegmentModel, *, absent: Collection[Limb] = ()
) -> CentreOfMass:
    """Centre of mass of a body from its landmarks.

    Parameters
    ----------
    points
        (D,) each, by landmark name, all in one frame and unit.
    model
        One of `MODELS`.
    absent
        Limbs that are not there; their segments carry nothing and need no landmarks.

    Returns
    -------
    centre
        In the points' frame. The choice of table alone moves a golfer's by 11 mm, 4 % of a foot.

    Raises
    ------
    MissingLandmarksError
        If a segment that the body has lacks an end.

    Notes
    -----
    Sum of mass fraction times balance point over the sum of mass fractions. Source: each model's.
    """
    here = [(s, s.sides(absent)) for s in model.segments]
    needed = dict.fromkeys(end for s, n in here if n for end in (s.first, s.last))
    if missing := tuple(name for name in needed if name not in points):
        raise MissingLandmarksError(model.name, missing)
    parts, total, weight = {}, np.zeros_like(next(iter(points.values())), dtype=float), 0.0
    for segment, sides in here:
        if not sides:
            continue
        first, last = points[segment.first], points[segment.last]
        parts[segment.name] = first + segment.centre_fraction * (last - first)
        total = total + sides * segment.mass_fraction * parts[segment.name]
        weight += sides * segment.mass_fraction
    return CentreOfMass(at=total / weight, mass_share=weight, model=model.name, parts=parts)


def load_shift_mm(body_kg: float, body_at_mm: float, load_kg: float, load_at_mm: float) -> float:
    """How far a known mass moves the common centre of mass along one axis when the body does not give way.

    Examples
    --------
    A club of 0.40 kg with its centre 0.60 m ahead of the ankle, an 80 kg golfer's own at 72.2 mm:

    >>> load_shift_mm(80.0, 72.202, 0.40, 600.0)
    2.626
    """
    return load_kg * (load_at_mm - body_at_mm) / (body_kg + load_kg)
