"""A recording refuses what is no pressure, and says where it is."""

from typing import Any

import numpy as np
import pytest

from evenground.errors import MeasureError
from evenground.measure.recording import (
    InfiniteCellError,
    MatRecording,
    NegativeCellError,
    NotANumberCellError,
    RecordingShapeError,
)


def recording(**changed: Any) -> MatRecording:
    parts: dict[str, Any] = {
        "cells": np.zeros((4, 3, 5), np.float32),
        "unit": "kPa",
        "pitch_x_mm": 10.0,
        "pitch_y_mm": 10.0,
        "rate_hz": 20.0,
        "time_s": np.arange(4) / 20.0,
        "name": "mat/one.parquet",
    }
    return MatRecording(**(parts | changed))


def with_cell(value: float) -> np.ndarray[Any, Any]:
    cells = np.ones((4, 3, 5), np.float32)
    cells[2, 1, 3] = value
    return cells


@pytest.mark.parametrize(
    ("value", "error", "said"),
    [
        (np.nan, NotANumberCellError, "is not a number"),
        (np.inf, InfiniteCellError, "is infinite"),
        (-0.5, NegativeCellError, "is negative"),
    ],
)
def test_a_cell_that_is_no_pressure_is_named(value: float, error: type[MeasureError], said: str) -> None:
    with pytest.raises(error) as caught:
        recording(cells=with_cell(value))
    assert str(caught.value).startswith(f"mat/one.parquet: Frame 3, row 2, column 4 {said}.")
    assert caught.value.do in str(caught.value)


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"cells": np.zeros((4, 3), np.float32)}, "this array is (4, 3)"),
        ({"cells": np.zeros((0, 3, 5), np.float32)}, "this array is (0, 3, 5)"),
        ({"cells": np.zeros((4, 3, 5), np.int32)}, "these are int32"),
        ({"pitch_x_mm": 0.0}, "not 0.0"),
        ({"pitch_y_mm": np.inf}, "not inf"),
        ({"time_s": np.arange(3.0)}, "4 finite times"),
        ({"time_s": np.array([0.0, 0.1, 0.1, 0.2])}, "frame 3 is not later than frame 2"),
        ({"rate_hz": None}, "need a rate"),
        ({"turned_deg": 60.0}, "quarter turn"),
    ],
)
def test_parts_that_do_not_fit_together_are_refused(changed: dict[str, Any], said: str) -> None:
    with pytest.raises(RecordingShapeError) as caught:
        recording(**changed)
    assert said in str(caught.value)


def test_a_recording_knows_its_size_area_and_duration() -> None:
    plain = recording(pitch_y_mm=8.0)
    assert plain.shape == (4, 3, 5)
    assert plain.cell_area_mm2 == 80.0
    assert plain.duration_s == pytest.approx(0.2)
