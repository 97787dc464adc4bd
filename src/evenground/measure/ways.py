"""One standing in figures, whatever it was measured with: a mat, force plates, or scales."""

from evenground.floor import Handed
from evenground.measure.ground import Ground, describe
from evenground.measure.instrument_apply import MatChecks
from evenground.measure.plates import PlateRecording, describe_plates
from evenground.measure.recording import MatRecording
from evenground.measure.scales import ScaleReadings, describe_scales

__all__ = ["Standing", "describe_standing"]

Standing = MatRecording | PlateRecording | ScaleReadings
"""A player standing, as an instrument saw it."""


def describe_standing(
    standing: Standing, *, handed: Handed, mass_kg: float | None = None, checks: MatChecks | None = None
) -> Ground:
    """Figures of one standing: `describe`, `describe_plates` or `describe_scales`, with their errors.

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
    """
    if isinstance(standing, PlateRecording):
        return describe_plates(standing, mass_kg=mass_kg)
    if isinstance(standing, ScaleReadings):
        return describe_scales(standing, handed=handed, mass_kg=mass_kg)
    return describe(standing, handed=handed, mass_kg=mass_kg, checks=checks)
