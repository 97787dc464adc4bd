"""What a grip fit gives: layers, sizes under each hand, builds, and the whole answer."""

from dataclasses import dataclass
from typing import Literal

from evenground.fit.grip import GripWanted

__all__ = [
    "GripBuild",
    "GripFit",
    "GripMaking",
    "HandLaw",
    "How",
    "Layers",
    "ProfilePoint",
    "UnderHands",
]

How = Literal["built", "as measured", "measure", "cannot be built"]
"""By the volume law, by what was measured on a shaft, not before it is measured, or not on this butt."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Layers:
    """Tape layers under each hand, the double-sided one included."""

    upper: int
    lower: int


@dataclass(frozen=True, slots=True, kw_only=True)
class UnderHands:
    """One size under each hand; None under a hand that does not hold the club."""

    upper: float | None
    lower: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class GripBuild:
    """One grip with its tape on one club, and what comes out.

    Sizes are None where nothing can be worked out; `notes` then says what to measure, or why it cannot be.
    A grip that was measured on a shaft has sizes and no layers (*as measured*): its size is that of a round
    grip of the same outline. `error_mm` is the root mean square of built minus wanted under the hands that
    hold the club, `added_mass_g` the grip with its tape, `finished_mass_g` the whole club with it,
    `swing_weight_points` that club in points above D0 (never for putters), and `hand_moment_n_m` a finished
    putter's moment about the middle of the hands. `conforming` is None where a limit lies within the error:
    *cannot certify*.
    """

    grip: str
    how: How
    layers: Layers | None
    built_mm: UnderHands | None
    built_se_mm: UnderHands | None
    error_mm: float | None
    taper_mm: float | None
    added_mass_g: float | None
    finished_mass_g: float | None
    balance_mm: float | None
    swing_weight_points: float | None
    hand_moment_n_m: float | None
    conforming: bool | None
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ProfilePoint:
    """The finished grip at one place: millimetres below the cap, outside diameter or width, tape layers."""

    station_mm: float
    outside_mm: float
    layers: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class HandLaw:
    """What stands under one hand besides the tape, so that a measured size tells the tape's thickness.

    The outside is ``sqrt(rubber_mm2 + (shaft_mm + 2 tape)^2)``; `other_se_mm` is its error but for the tape.
    """

    station_mm: float
    layers: int
    rubber_mm2: float
    shaft_mm: float
    other_se_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class GripMaking:
    """How the best build is made: its profile from the cap down, what is under each hand, where tape blends.

    `installed_length_mm` is the grip on the shaft, cap included; `tape_width_mm` None when the list does not
    say it; `square_to_face` is what has to be turned to the face, None on a plain round grip. A grip fitted
    as it was measured has its width (along the face) and depth under each hand, and `gap_mm` where the bare
    shaft shows between two grips.
    """

    profile: tuple[ProfilePoint, ...]
    upper: HandLaw | None
    lower: HandLaw | None
    installed_length_mm: float
    cap_mm: float
    tape_width_mm: float | None
    tape_overlap_mm: float
    blend_from_mm: float | None
    blend_to_mm: float | None
    square_to_face: Literal["rib", "flat front"] | None = None
    upper_across_mm: tuple[float, float] | None = None
    lower_across_mm: tuple[float, float] | None = None
    gap_mm: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class GripFit:
    """What the hands want and the best build of every grip in the stock, best first.

    `reached` says whether the best build is within one 1/64 in step (0.4 mm) under every hand; None when
    nothing could be worked out. `making` belongs to the first build.
    """

    wanted: GripWanted
    builds: tuple[GripBuild, ...]
    reached: bool | None
    notes: tuple[str, ...]
    making: GripMaking | None = None
