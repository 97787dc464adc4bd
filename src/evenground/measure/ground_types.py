"""What a standing recording comes to: the figures of each foot and of both together, with a grade."""

from dataclasses import dataclass

from evenground.estimate import Estimate
from evenground.measure.grade import Grade
from evenground.measure.instrument_apply import SwayFloor
from evenground.measure.quiet import QuietPart
from evenground.measure.sway import Sway

__all__ = ["CentreOfPressure", "Feet", "Foot", "Ground", "Widths", "no_foot"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Foot:
    """One foot of a stance.

    `load_percent` of both feet's force; `toe_out_deg` outward positive; `cop_percent_length` along the axis
    from the rear end of the contact length (bare foot or shoe, whichever stood there); `heel_load_percent`
    share of this foot's force on the rear half of that length. Scales and force plates do not see a foot's
    shape: what they cannot say is None. Of a foot that is absent by design all is None.
    """

    load_percent: Estimate | None
    toe_out_deg: Estimate | None
    cop_percent_length: Estimate | None
    heel_load_percent: Estimate | None
    length_mm: Estimate | None
    area_cm2: Estimate | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Feet:
    """The player's left and right foot."""

    left: Foot
    right: Foot


@dataclass(frozen=True, slots=True, kw_only=True)
class Widths:
    """Stance width in three conventions, each along x.

    Between the heel centres, between the inside edges of the heels, and between the outermost edges of the
    feet.
    """

    heel_centres: Estimate | None
    inside: Estimate | None
    outside: Estimate | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CentreOfPressure:
    """A centre of pressure, floor frame; y is None where the heels' place is not known."""

    x: Estimate | None
    y: Estimate | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """What one placement (or several, pooled) says about how the player stands.

    `fore_aft_offset_mm` is + when the lead heel is ahead; `heel_line_deg` is against the target line and
    `load_line_deg` against the heel line, both + open. `total_force_n` is None for raw counts without a mass,
    `sway` None for recordings under 16 frames, `sway_floor` what of it is the mat's own. `quiet` says which
    part of the recording was used, None when all of it. `noticed` says in sentences how the feet were told
    from one another. Of a player with one foot by design the CoP counts from that foot's heel centre.
    """

    feet: Feet
    stance_width_mm: Widths
    fore_aft_offset_mm: Estimate | None
    heel_line_deg: Estimate | None
    load_line_deg: Estimate | None
    cop_mm: CentreOfPressure
    total_force_n: Estimate | None
    sway: Sway | None
    grade: Grade
    quiet: QuietPart | None = None
    sway_floor: SwayFloor | None = None
    noticed: tuple[str, ...] = ()


def no_foot() -> Foot:
    """A foot of which nothing is known."""
    return Foot(
        load_percent=None,
        toe_out_deg=None,
        cop_percent_length=None,
        heel_load_percent=None,
        length_mm=None,
        area_cm2=None,
    )
