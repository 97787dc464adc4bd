"""What a grip fit gives: layers, sizes under each hand, builds, and the whole answer."""

from dataclasses import dataclass

from evenground.fit.grip import GripWanted

__all__ = ["GripBuild", "GripFit", "Layers", "UnderHands"]


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

    Sizes are None where nothing can be worked out; `notes` then says what to measure. `error_mm` is the root
    mean square of built minus wanted under the hands that hold the club, `added_mass_g` the grip with its
    tape, `swing_weight_points` the finished club in points above D0 (never for putters), and
    `hand_moment_n_m` a finished putter's moment about the middle of the hands. `conforming` is None where a
    limit lies within the error: *cannot certify*.
    """

    grip: str
    layers: Layers | None
    built_mm: UnderHands | None
    built_se_mm: UnderHands | None
    error_mm: float | None
    taper_mm: float | None
    added_mass_g: float | None
    balance_mm: float | None
    swing_weight_points: float | None
    hand_moment_n_m: float | None
    conforming: bool | None
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class GripFit:
    """What the hands want and the best build of every grip in the stock, best first.

    `reached` says whether the best build is within one 1/64 in step (0.4 mm) under every hand; None when
    nothing could be worked out.
    """

    wanted: GripWanted
    builds: tuple[GripBuild, ...]
    reached: bool | None
    notes: tuple[str, ...]
