"""The invented studio's instruments: a mat with faulty cells, a bar, a camera, a printer, checked today."""

from datetime import datetime, timedelta
from typing import Any

__all__ = ["fill_demo_instruments"]

ROWS, COLUMNS, PITCH_MM = 48, 72, 10.0
WEIGHT_KG = 20.0
SEED = 20260509
PLACES = [(x, y) for x in (130.0, 360.0, 590.0) for y in (90.0, 240.0, 390.0)]
"""Where the known weight stood, millimetres from the mat's corner."""


def fill_demo_instruments(owner: Any) -> None:
    """Enter the instruments with this morning's checks; the mat's come from a simulated one."""
    from django.utils import timezone

    from evenground.instruments import FlippedBar, InstrumentCheck, PrintedLength
    from evenground.measure.instrument_judge import judged
    from evenground.records.instruments import keep_checks
    from evenground.records.models import Instrument

    now = timezone.now().astimezone().replace(microsecond=0)
    size = {"rows": ROWS, "columns": COLUMNS, "pitch_x_mm": PITCH_MM, "pitch_y_mm": PITCH_MM}
    mat = Instrument.objects.create(kind="mat", name="mat at the window", details=size)
    keep_checks(mat, _mat_checks(now), owner)
    bar = FlippedBar(normal_deg=(3.2, 3.1), flipped_deg=(3.0, 2.9))
    printed = PrintedLength(measured_mm=(99.6,))
    seen = InstrumentCheck(step="by hand", at=now, passed=True, why="level, plumb line in the picture")
    for kind, name, check in (
        ("bar", "hip-line bar", judged("flipped bar", bar, now)),
        ("printer", "printer in the office", judged("printed length", printed, now)),
        ("camera", "camera over the mat", seen),
    ):
        keep_checks(Instrument.objects.create(kind=kind, name=name), [check], owner)


def _mat_checks(now: datetime) -> list[Any]:
    import numpy as np

    from evenground.measure.instrument_judge import judged
    from evenground.measure.instrument_mat import (
        PlacedWeight,
        measure_dead_weight,
        measure_empty_mat,
        measure_known_weights,
    )
    from evenground.simulate.instrument import MatFaults, draw_faults, empty_mat, weight_on

    rng = np.random.default_rng(SEED)
    faults = MatFaults(dead=((20, 15), (33, 51)), stuck=((8, 60),), drifting=((40, 8),), gain_sd=0.02)
    mat = draw_faults(ROWS, COLUMNS, PITCH_MM, faults, rng=rng)
    empty = measure_empty_mat(empty_mat(mat, rng=rng))

    def placed(at_mm: tuple[float, float], seconds: float) -> PlacedWeight:
        recording = weight_on(mat, at_mm, WEIGHT_KG, rng=rng, duration_s=seconds)
        return PlacedWeight(recording=recording, mass_kg=WEIGHT_KG, bad=empty.bad)

    known = measure_known_weights([placed(at, 1.0) for at in PLACES])
    dead = measure_dead_weight(placed(PLACES[4], 12.0))
    return [
        judged("known weight", known, now - timedelta(days=12)),
        judged("empty mat", empty, now),
        judged("dead weight", dead, now),
    ]
