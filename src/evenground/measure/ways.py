"""One standing in figures, whatever it was measured with: a mat, force plates, or scales."""

from collections.abc import Mapping

from evenground.floor import Handed, Side
from evenground.measure.ground import Ground
from evenground.measure.instrument_apply import MatChecks
from evenground.measure.one_foot import FootState, describe_by_limbs
from evenground.measure.plates import PlateRecording, describe_plates
from evenground.measure.recording import MatRecording
from evenground.measure.scales import ScaleReadings, describe_scales

__all__ = ["Standing", "describe_standing"]

Standing = MatRecording | PlateRecording | ScaleReadings
"""A player standing, as an instrument saw it."""


def describe_standing(
    standing: Standing,
    *,
    handed: Handed,
    mass_kg: float | None = None,
    checks: MatChecks | None = None,
    feet: Mapping[Side, FootState] | None = None,
) -> Ground:
    """Figures of one standing, with their errors: of a mat, plates or scales.

    Parameters
    ----------
    standing
        What the instrument gave.
    handed
        The player's golfing hand.
    mass_kg
        The player's mass, to scale counts and to check forces by.
    checks
        What is known of the mat; plates and scales have none.
    feet
        A foot that is absent or prosthetic, by side; plates and scales see no feet.
    """
    if isinstance(standing, PlateRecording):
        return describe_plates(standing, mass_kg=mass_kg)
    if isinstance(standing, ScaleReadings):
        return describe_scales(standing, handed=handed, mass_kg=mass_kg)
    return describe_by_limbs(standing, feet or {}, handed=handed, mass_kg=mass_kg, checks=checks)
