"""Figures turned into what is told of a foot and of the force, contact ends and borders with their errors."""

import numpy as np

from evenground.estimate import Estimate
from evenground.measure.contact import BoolArray
from evenground.measure.feet import FootSeen
from evenground.measure.figures import Figures, end_error_mm
from evenground.measure.ground_constants import AREA_EDGE, STANDARD_GRAVITY
from evenground.measure.ground_types import Foot
from evenground.measure.recording import MatRecording

__all__ = ["foot_of", "force_of"]


def foot_of(recording: MatRecording, foot: FootSeen, figures: Figures) -> Foot:
    """One foot's figures as they are told; the load share only where the other foot has one."""
    n, pitch = len(recording.cells), (recording.pitch_x_mm, recording.pitch_y_mm)
    side, area, shape = foot.side, foot.area, foot.shape
    end = end_error_mm(shape, pitch)

    share = 100.0 / shape.length_mm
    cop = figures.estimate(f"cop_{side}_mm", n, "mm").shifted(-shape.rear_mm).scaled(share, unit="%")
    # both contact ends are off: the rear one moves the zero, both change the length
    place = cop.value / 100.0
    cop = cop.widened(end * share * float(np.hypot(1.0 - place, place)))
    load = f"load_{side}_percent"
    border = _border_cells(recording, area.touched)
    return Foot(
        load_percent=figures.estimate(load, n, "%") if load in figures.value else None,
        toe_out_deg=figures.estimate(f"toe_out_{side}_deg", n, "deg"),
        cop_percent_length=cop,
        heel_load_percent=figures.estimate(f"heel_load_{side}_percent", n, "%"),
        length_mm=Estimate(value=shape.length_mm, se=end * 2.0**0.5, n=n, unit="mm"),
        area_cm2=Estimate(
            value=shape.area_mm2 / 100.0,
            se=float(AREA_EDGE) * border * recording.cell_area_mm2 / 100.0,
            n=n,
            unit="cm^2",
        ),
    )


def _border_cells(recording: MatRecording, touched: BoolArray) -> int:
    """Touched cells with an untouched neighbour: each holds a part of the border somewhere."""
    _, rows, columns = recording.shape
    grid = np.pad(touched.reshape(rows, columns), 1)
    inner = grid[:-2, 1:-1] & grid[2:, 1:-1] & grid[1:-1, :-2] & grid[1:-1, 2:]
    return int((grid[1:-1, 1:-1] & ~inner).sum())


def force_of(recording: MatRecording, total: Estimate, mass_kg: float | None) -> Estimate | None:
    """Force of both feet; raw counts take the player's weight, whose own error is not known here."""
    if recording.unit == "kPa":
        return total.scaled(recording.cell_area_mm2 / 1000.0, unit="N")
    if mass_kg is None:
        return None
    return total.scaled(mass_kg * float(STANDARD_GRAVITY) / total.value, unit="N")
