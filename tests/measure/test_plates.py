"""Force plates give load, CoP and sway in the shape a mat's result has, and None for what they cannot see."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenground.measure.plates import (
    Plate,
    PlateRecording,
    PlateRecordingError,
    UnloadedPlateError,
    describe_plates,
    net_cop_mm,
    surface_cop,
)
from evenground.measure.recording import FloatArray
from tests.sure import sure

RATE = 50.0
FINITE = st.floats(-300.0, 300.0)


def swaying(seed: int, load: float = 0.55, seconds: float = 20.0) -> PlateRecording:
    rng = np.random.default_rng(seed)
    n = int(seconds * RATE)
    share = load + 0.01 * wandering(rng, n)
    total = 700.0 + rng.standard_normal(n)
    left = np.column_stack([-150.0 + wandering(rng, n), 5.0 + 3.0 * wandering(rng, n)])
    right = np.column_stack([150.0 + wandering(rng, n), 5.0 + 3.0 * wandering(rng, n)])
    return PlateRecording(
        plates=(
            Plate(foot="left", force_n=share * total, cop_mm=left),
            Plate(foot="right", force_n=(1.0 - share) * total, cop_mm=right),
        ),
        rate_hz=RATE,
    )


def wandering(rng: np.random.Generator, n: int) -> FloatArray:
    """Unit-variance noise that forgets itself in two seconds."""
    keep = float(np.exp(-1.0 / (2.0 * RATE)))
    steps = rng.standard_normal(n) * (1.0 - keep**2) ** 0.5
    out = np.empty(n)
    value = rng.standard_normal()
    for k in range(n):
        value = keep * value + steps[k]
        out[k] = value
    return out


@given(
    at=st.tuples(FINITE, FINITE),
    push=st.tuples(st.floats(-50, 50), st.floats(-50, 50), st.floats(100, 900)),
    depth=st.floats(0.0, 80.0),
    twist=st.floats(-5e3, 5e3),
    up=st.sampled_from([1.0, -1.0]),
)
def test_the_point_of_a_push_comes_back_whichever_way_z_points(
    at: tuple[float, float], push: tuple[float, float, float], depth: float, twist: float, up: float
) -> None:
    origin = np.array([1.5, -2.0, up * depth])  # the sensors lie below the surface
    force = np.array([[push[0], push[1], -up * push[2]]])
    moment = np.cross(np.array([*at, 0.0]) + origin, force) + np.array([0.0, 0.0, twist])
    assert surface_cop(force, moment, origin)[0] == pytest.approx(at, abs=1e-6)
    # a plate that reports its own push instead of the player's turns both signs
    assert surface_cop(-force, -moment, origin)[0] == pytest.approx(at, abs=1e-6)


def test_both_plates_together_push_between_their_points() -> None:
    cops = np.array([[-100.0, 0.0]]), np.array([[100.0, 40.0]])
    recording = PlateRecording(
        plates=(
            Plate(foot="left", force_n=np.array([300.0]), cop_mm=cops[0]),
            Plate(foot="right", force_n=np.array([100.0]), cop_mm=cops[1]),
        ),
        rate_hz=RATE,
    )
    assert net_cop_mm(recording).tolist() == [[-50.0, 10.0]]


def test_load_force_and_sway_are_told_and_nothing_of_the_feets_shape() -> None:
    ground = describe_plates(swaying(1), mass_kg=700.0 / 9.80665)
    assert sure(ground.feet.left.load_percent).value == pytest.approx(55.0, abs=1.0)
    assert sure(ground.feet.left.load_percent).value + sure(ground.feet.right.load_percent).value == 100.0
    assert sure(ground.total_force_n).value == pytest.approx(700.0, abs=1.0)
    assert ground.sway is not None
    assert (ground.feet.left.toe_out_deg, ground.stance_width_mm.heel_centres) == (None, None)
    assert [flag.code for flag in ground.grade.flags] == ["no-feet-seen"]
    assert ground.grade.usable


def test_intervals_of_the_load_hold_the_truth() -> None:
    held = [
        sure(describe_plates(swaying(k)).feet.left.load_percent).interval().holds(55.0) for k in range(20)
    ]
    # plates here have no error of their own, which the stated one allows for: 95 % of 20, less 3 SD
    assert sum(held) >= 16


def test_one_plate_leaves_the_load_of_each_foot_out() -> None:
    both = swaying(2)
    one = PlateRecording(
        plates=(
            Plate(foot="both", force_n=sum(p.force_n for p in both.plates), cop_mm=net_cop_mm(both)),  # type: ignore[arg-type]
        ),
        rate_hz=RATE,
    )
    ground = describe_plates(one)
    assert ground.feet.left.load_percent is None
    assert ground.sway is not None
    assert "no-share" in [flag.code for flag in ground.grade.flags]


def test_an_unknown_coordinate_leaves_the_sway_out() -> None:
    known = swaying(3)
    half = tuple(Plate(foot=p.foot, force_n=p.force_n, cop_mm=p.cop_mm * [np.nan, 1.0]) for p in known.plates)
    ground = describe_plates(PlateRecording(plates=half, rate_hz=RATE))
    assert ground.sway is None
    assert ground.feet.left.load_percent is not None


@pytest.mark.parametrize(
    ("mass_kg", "code", "usable"), [(78.0, "force-mismatch", True), (50.0, "force-unbelievable", False)]
)
def test_a_force_that_is_not_the_weight_is_said(mass_kg: float, code: str, usable: bool) -> None:
    grade = describe_plates(swaying(4), mass_kg=mass_kg).grade
    assert code in [flag.code for flag in grade.flags]
    assert grade.usable is usable


def test_stepping_off_and_odd_series_are_refused() -> None:
    known = swaying(5)
    left, right = known.plates
    off = right.force_n.copy()
    off[400:] = 0.0
    stepped = (left, Plate(foot="right", force_n=off, cop_mm=right.cop_mm))
    with pytest.raises(UnloadedPlateError, match="right plate in 600 samples, first in sample 401"):
        describe_plates(PlateRecording(plates=stepped, rate_hz=RATE))
    with pytest.raises(PlateRecordingError, match="a foot each"):
        PlateRecording(plates=(left, left), rate_hz=RATE)
    with pytest.raises(PlateRecordingError, match="different lengths"):
        PlateRecording(plates=(left, Plate(foot="right", force_n=off[1:], cop_mm=right.cop_mm)), rate_hz=RATE)
    off[3] = np.nan
    with pytest.raises(PlateRecordingError, match="missing or infinite"):
        PlateRecording(plates=stepped, rate_hz=RATE)
    short = tuple(Plate(foot=p.foot, force_n=p.force_n[:9], cop_mm=p.cop_mm[:9]) for p in known.plates)
    with pytest.raises(PlateRecordingError, match="at least 16"):
        describe_plates(PlateRecording(plates=short, rate_hz=RATE))
