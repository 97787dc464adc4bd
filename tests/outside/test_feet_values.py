"""Feet against real prints and the values worked from them: axes, sides, heel from toes, thirds."""

from pathlib import Path

import numpy as np
import pytest
from scipy import ndimage

from evenground.floor import Side
from evenground.measure.contact import FootArea, cell_positions_mm
from evenground.measure.feet import FootSeen, arch_index, foot_shape, toe_out_deg
from evenground.measure.recording import FloatArray, MatRecording
from evenground.measure.sides import FootSigns, foot_signs
from evenground.measure.support import extrapolated_com_m
from evenground.measure.suspect_cells import suspect_cells

# Pataky et al. 2008, J Biomech 41:1987 (60 peak prints); 2011, Gait & Posture 33:418 (templates)
PEAK_MM, TEMPLATE_MM = 5.08, 5.0


def print_of(peak: FloatArray, pitch_mm: float, side: Side) -> tuple[FootSeen, FloatArray, FloatArray]:
    """A print as a foot: cells over 2 % of the highest pressure, heel at row 0."""
    grid = np.pad(peak.astype(np.float64), 2)
    mat = MatRecording(
        cells=grid[None],
        unit="counts",
        pitch_x_mm=pitch_mm,
        pitch_y_mm=pitch_mm,
        rate_hz=None,
        time_s=np.zeros(1),
    )
    positions, load = cell_positions_mm(mat), grid.ravel()
    touched = load > 0.02 * load.max()
    area = FootArea(touched=touched, region=touched)
    shape = foot_shape(area, load, positions, (pitch_mm, pitch_mm), side)
    return FootSeen(side=side, area=area, shape=shape), load, positions


def axis_deg(peak: FloatArray, pitch_mm: float, side: Side) -> float:
    shape = print_of(peak, pitch_mm, side)[0].shape
    return toe_out_deg(shape.heel_mm, shape.forefoot_mm, side)


def signs(peak: FloatArray, pitch_mm: float, side: Side) -> FootSigns:
    return foot_signs(*print_of(peak, pitch_mm, side))


def real(signs_of: FootSigns) -> tuple[float, float]:
    assert signs_of.breadth is not None
    assert signs_of.lean is not None
    return signs_of.breadth, signs_of.lean


@pytest.fixture(scope="module")
def peaks(data_dir: Path) -> dict[tuple[int, int], list[FloatArray]]:
    """Peak prints of right feet by person and speed class."""
    found: dict[tuple[int, int], list[FloatArray]] = {}
    with np.load(data_dir / "footpressure" / "walk_peak_images.npz") as images:
        for peak, person, speed in zip(images["peak"], images["subject"], images["speed_class"], strict=True):
            found.setdefault((int(person), int(speed)), []).append(peak)
    return found


@pytest.mark.data
@pytest.mark.parametrize(("side", "own"), [("left", 5.22), ("right", 7.48)])
def test_templates_turn_out_as_their_readme_says(data_dir: Path, side: Side, own: float) -> None:
    # README: heel centroid of rows 0 to 19, forefoot centroid of rows 36 to 48, against the row direction
    grid = np.loadtxt(data_dir / "footpressure" / f"template_{side}.csv", delimiter=",")
    rows, columns = np.mgrid[: grid.shape[0], : grid.shape[1]]
    ends = [
        np.array([np.average(grid_of[part], weights=grid[part]) for grid_of in (columns, rows)])
        for part in (slice(0, 20), slice(36, 49))
    ]
    assert toe_out_deg(ends[0], ends[1], side) == pytest.approx(own, abs=0.005)  # printed digits
    # ours has other zones: rear 35 %, and 60 to 93 % of the loaded length; its README allows 2 deg
    assert axis_deg(grid, TEMPLATE_MM, side) == pytest.approx(own, abs=2.0)


def turn_between(one: FloatArray, other: FloatArray) -> float:
    """Turn in degrees, + outward for a right foot, that lays one print on another: the best of whole degrees.

    Pictures of log pressure, every shift by Fourier transform; knows nothing of heels and axes.
    """
    still, moving = (np.log1p(20.0 * np.pad(p / p.max(), 8)) for p in (one, other))
    wanted = np.fft.rfft2(still)
    likeness = {}
    for turn in range(-10, 11):
        turned = np.maximum(ndimage.rotate(moving, turn, reshape=False, order=1), 0.0)
        match = np.fft.irfft2(wanted * np.conj(np.fft.rfft2(turned)), still.shape).max()
        likeness[turn] = match / np.linalg.norm(turned)
    return float(max(likeness, key=lambda turn: likeness[turn]))


@pytest.mark.data
def test_axes_of_repeats_of_one_person_agree(peaks: dict[tuple[int, int], list[FloatArray]]) -> None:
    # Four steps at one speed, five people. A foot is put down a few degrees differently each step (axes of
    # four differ by up to 8 deg), so the prints are first laid on one another as pictures.
    assert len(peaks) == 15
    raw = []
    for (person, speed), repeats in peaks.items():
        axes = np.array([axis_deg(peak, PEAK_MM, "right") for peak in repeats])
        turns = np.array([0.0, *(turn_between(repeats[0], other) for other in repeats[1:])])
        laid = axes + turns
        assert len(laid) == 4
        assert np.abs(laid - np.median(laid)).max() < 3.0, (person, speed, laid)
        raw.append(float(np.abs(axes - np.median(axes)).max()))
    assert max(raw) > 3.0  # without laying them on one another some would not agree


@pytest.mark.data
def test_every_real_print_is_told_heel_from_toes_and_right_from_left(
    peaks: dict[tuple[int, int], list[FloatArray]],
) -> None:
    for peak in (one for repeats in peaks.values() for one in repeats):
        breadth, lean = real(signs(peak, PEAK_MM, "right"))
        assert breadth > 0.2
        assert lean > 0.4
        mirrored = real(signs(peak[:, ::-1], PEAK_MM, "left"))
        assert mirrored == pytest.approx((breadth, lean), abs=1e-9)
        assert real(signs(peak, PEAK_MM, "left"))[1] == pytest.approx(-lean, abs=1e-9)
        assert real(signs(peak[::-1], PEAK_MM, "right"))[0] < -0.2


@pytest.mark.data
def test_three_steps_of_one_walk_are_told_to_be_one_foot_the_other_and_the_first_again(
    data_dir: Path,
) -> None:
    # BMClab, CC BY 4.0: successive prints, sides A, B, A, 8.47 mm cells; big toes point to the middle line,
    # so A, whose big toe is on the right as seen from above, is the left foot
    leans = [
        real(signs(np.loadtxt(data_dir / "footpressure" / name, delimiter=","), 8.46591, "right"))[1]
        for name in ("walkway_print1_sideA.csv", "walkway_print2_sideB.csv", "walkway_print3_sideA.csv")
    ]
    assert leans[0] < -0.3
    assert leans[1] > 0.3
    assert leans[2] < -0.3


@pytest.mark.data
def test_left_and_right_templates_are_told_apart(data_dir: Path) -> None:
    for side, other in (("left", "right"), ("right", "left")):
        grid = np.loadtxt(data_dir / "footpressure" / f"template_{side}.csv", delimiter=",")
        own, wrong = (real(signs(grid, TEMPLATE_MM, name))[1] for name in (side, other))  # type: ignore[arg-type]
        assert own > 0.5
        assert wrong == pytest.approx(-own, abs=1e-9)


def test_arch_index_is_a_share_of_area_that_keeps_the_forefoot() -> None:
    # check-values foot-3 and 2.4: 25 of 110 cm^2; without the forefoot 25 of 75, lengths give 1/3 for all
    assert arch_index(50.0, 25.0, 35.0) == pytest.approx(0.22727, abs=1e-5)
    assert arch_index(50.0, 25.0, 35.0) != pytest.approx(25.0 / 75.0, abs=1e-2)
    assert arch_index(30.0, 30.0, 30.0) == pytest.approx(1.0 / 3.0)


@pytest.mark.data
def test_no_cell_of_real_prints_is_taken_for_dead_or_stuck(
    data_dir: Path, peaks: dict[tuple[int, int], list[FloatArray]]
) -> None:
    # 60 peak prints, and a barefoot step of 100 Hz in kPa (Pataky et al. 2008 and 2011)
    with np.load(data_dir / "footpressure" / "step_barefoot_5mm_100hz.npz") as step:
        movie = max((step[name] for name in step.files), key=lambda found: found.ndim)
    prints = [peak[None] for own in peaks.values() for peak in own]
    assert len(prints) == 60
    for cells in [*prints, movie]:
        for turned in (cells, cells[:, ::-1, ::-1]):
            mat = MatRecording(
                cells=turned.astype(np.float32),
                unit="counts",
                pitch_x_mm=PEAK_MM,
                pitch_y_mm=PEAK_MM,
                rate_hz=100.0 if len(turned) > 1 else None,
                time_s=np.arange(len(turned)) / 100.0,
            )
            assert suspect_cells(mat) == ()


def test_margin_of_a_moving_centre_of_mass_is_the_worked_one() -> None:
    # check-values xcom-1: Hof et al. 2005, J Biomech 38:1
    headed = extrapolated_com_m(0.050, 0.10, 1.0)
    assert headed == pytest.approx(0.08193, abs=1e-5)
    assert 0.150 - headed == pytest.approx(0.06807, abs=1e-5)
