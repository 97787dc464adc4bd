"""Two feet are found, or one sentence says what stands there instead."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from evenground.errors import MeasureError
from evenground.measure.contact import (
    EmptyMatError,
    FeetMergedError,
    NoFeetError,
    OneFootError,
    ThreeObjectsError,
    cell_positions_mm,
    find_contact,
)
from evenground.measure.ground import describe
from evenground.measure.recording import FloatArray, MatRecording
from evenground.simulate.foot import PrintKind
from evenground.simulate.mat import Mat, Standing, simulate_mat
from tests.sure import sure

QUIET = Mat(rows=60, columns=112, noise_kpa=0.0)
NOISY = Mat(rows=60, columns=112, noise_kpa=0.5)
FINE = Mat(rows=80, columns=80, pitch_x_mm=5.0, pitch_y_mm=5.0, noise_kpa=0.3)


def stance(mat: Mat = QUIET, **changed: Any) -> FloatArray:
    """(60, 112) picture of somebody who stands on 8 mm cells."""
    made = simulate_mat(replace(Standing(), **changed), mat, None, rng=np.random.default_rng(4))
    return np.asarray(made.recording.cells[0])


def recording(cells: FloatArray) -> MatRecording:
    return MatRecording(
        cells=cells[None].astype(np.float32),
        unit="kPa",
        pitch_x_mm=8.0,
        pitch_y_mm=8.0,
        rate_hz=None,
        time_s=np.zeros(1),
        name="mat/1.parquet",
    )


def left_only(cells: FloatArray) -> FloatArray:
    alone = cells.copy()
    alone[:, 56:] = 0.0
    return alone


def with_block(cells: FloatArray, rows: slice, columns: slice, kpa: float = 40.0) -> FloatArray:
    more = cells.copy()
    more[rows, columns] = kpa
    return more


def refused(cells: FloatArray, error: type[MeasureError]) -> str:
    with pytest.raises(error) as caught:
        describe(recording(cells), handed="right")
    assert str(caught.value).startswith("mat/1.parquet: ")
    assert caught.value.do in str(caught.value)
    return caught.value.code


@pytest.mark.parametrize("noise", [0.0, 0.5, 3.0])
def test_an_empty_mat_is_said_to_be_empty(noise: float) -> None:
    cells = noise * np.random.default_rng(1).standard_normal((60, 112))
    assert refused(np.maximum(cells, 0.0), EmptyMatError) == "empty-mat"


def test_a_bag_is_no_foot() -> None:
    assert refused(with_block(np.zeros((60, 112)), slice(20, 30), slice(40, 48)), NoFeetError) == "no-feet"


@pytest.mark.parametrize("shod", [False, True])
@pytest.mark.parametrize("toe_out", [0.0, 30.0])
def test_one_foot_is_said_to_be_one(shod: bool, toe_out: float) -> None:
    cells = left_only(stance(shod=shod, toe_out_left_deg=toe_out, width_mm=340.0))
    assert refused(cells, OneFootError) == "one-foot"


@pytest.mark.parametrize(
    ("rows", "columns"),
    [
        (slice(20, 52), slice(53, 59)),  # a third foot between the feet
        (slice(56, 59), slice(35, 39)),  # a ball ahead of the toes
        (slice(36, 44), slice(15, 20)),  # a club head beside the left foot
        (slice(0, 8), slice(78, 82)),  # something behind
    ],
)
def test_a_third_object_is_refused(rows: slice, columns: slice) -> None:
    cells = with_block(stance(width_mm=380.0, toe_out_left_deg=5.0), rows, columns)
    assert refused(cells, ThreeObjectsError) == "three-objects"


@pytest.mark.parametrize("shod", [False, True])
def test_feet_pressed_into_one_another_are_refused(shod: bool) -> None:
    cells = stance(width_mm=60.0, shod=shod, toe_out_left_deg=0.0, toe_out_right_deg=0.0)
    assert refused(cells, FeetMergedError) == "feet-merged"


@pytest.mark.parametrize("kind", ["bare", "shod", "high arch", "flat arch", "toes apart", "sock"])
@pytest.mark.parametrize(("width", "toe_out"), [(94.0, 0.0), (70.0, 12.0), (68.0, 45.0)])
def test_feet_that_touch_are_told_apart(kind: PrintKind, width: float, toe_out: float) -> None:
    # at 94 mm the balls of the feet touch, at 68 mm the heels of feet turned out; loads differ
    standing = Standing(
        width_mm=width,
        kind=kind,
        load_left_percent=45.0,
        left_ahead_mm=6.0,
        toe_out_left_deg=toe_out,
        toe_out_right_deg=toe_out,
    )
    made = simulate_mat(standing, FINE, None, rng=np.random.default_rng(4))
    found, truth = describe(made.recording, handed="right"), made.truth
    # the limits for hard feet: 3 mm, 2 deg, 1 point
    assert sure(found.stance_width_mm.heel_centres).value == pytest.approx(truth.heel_centres_mm, abs=3.0)
    assert sure(found.feet.left.toe_out_deg).value == pytest.approx(truth.toe_out_left_deg, abs=2.0)
    assert sure(found.feet.right.toe_out_deg).value == pytest.approx(truth.toe_out_right_deg, abs=2.0)
    assert sure(found.feet.left.load_percent).value == pytest.approx(45.0, abs=1.0)


@pytest.mark.parametrize("mat", [QUIET, NOISY], ids=["quiet", "noisy"])
@pytest.mark.parametrize("shod", [False, True], ids=["bare", "shod"])
@pytest.mark.parametrize("toe_out", [-5.0, 10.0, 35.0])
@pytest.mark.parametrize("width", [160.0, 300.0, 480.0])
def test_two_feet_are_found_and_their_parts_stay_together(
    mat: Mat, shod: bool, toe_out: float, width: float
) -> None:
    out = {"toe_out_left_deg": toe_out, "toe_out_right_deg": toe_out}
    cells = stance(mat, shod=shod, width_mm=width, left_ahead_mm=15.0, **out)
    seen = recording(cells)
    contact = find_contact(seen, seen.cells[0])
    x, load = cell_positions_mm(seen)[:, 0], contact.load
    for area, outside in ((contact.left, x > 56 * 8.0 + 60.0), (contact.right, x < 56 * 8.0 - 60.0)):
        assert not np.any(area.touched & outside)
        assert load[area.region].sum() == pytest.approx(0.5 * 75.0 * 9.80665 * 1000.0 / 64.0, rel=0.03)
    assert not np.any(contact.left.region & contact.right.region)


def test_a_speck_far_from_the_feet_is_left_out() -> None:
    cells = stance(width_mm=300.0)
    cells[3, 3] = 8.0
    contact = find_contact(recording(cells), recording(cells).cells[0])
    assert not (contact.left.touched | contact.right.touched).reshape(60, 112)[3, 3]
    assert 0.0 < contact.stray_share < 0.003


def test_cell_centres_are_turned_with_the_mat() -> None:
    plain = recording(np.zeros((2, 3)))
    assert cell_positions_mm(plain)[0] == pytest.approx([4.0, 4.0])
    assert cell_positions_mm(plain)[-1] == pytest.approx([20.0, 12.0])
    turned = replace(plain, turned_deg=30.0)
    c, s = np.cos(np.pi / 6), np.sin(np.pi / 6)
    assert cell_positions_mm(turned)[-1] == pytest.approx([20.0 * c - 12.0 * s, 20.0 * s + 12.0 * c])
