"""Body sizes against the public survey (ANSUR II, Gordon et al. 2014) and published formulas.

Rows ant, hjc, tem and shoe of the check values; predictions and alarms against real people of the survey.
"""

from pathlib import Path

import numpy as np
import pytest
from bench.prove_body import INTAKE, SIDED, FloatArray, alarms, found, people, ranges_hold, sides_found

from evenground.body.hip_joints import hip_joints, spacing_by_share
from evenground.body.ranges import expected_mm
from evenground.body.shoes import ShoeSystem, size_for
from evenground.body.sizes import MASS
from evenground.body.survey import Reference
from evenground.body.technical_error import technical_error
from evenground.estimate import Estimate


def known(value: float) -> Estimate:
    return Estimate(value=value, se=0.0, unit="mm")


@pytest.mark.parametrize(
    ("name", "mm"),
    [("wrist_height", 870.3), ("hand_length", 197.6), ("foot_length", 277.2), ("biacromial_breadth", 422.1)],
)
def test_ant_1_what_a_stature_of_1800_expects(name: str, mm: float) -> None:
    expected = expected_mm(name, 1800.0, "men")
    assert expected is not None
    assert expected.value == pytest.approx(mm, abs=0.2)


def test_hjc_1_spacing_from_the_width_alone() -> None:
    # Bell et al. 1990: 0.72 of 240 mm; Harrington et al. 2007, one variable: 2 (0.33 * 240 + 7.3).
    assert spacing_by_share(known(240.0)).value == pytest.approx(172.8, abs=0.05)
    assert hip_joints(known(240.0)).spacing_mm.value == pytest.approx(173.0, abs=0.05)


def test_hjc_2_joints_from_width_depth_and_leg() -> None:
    hips = hip_joints(known(240.0), pelvic_depth_mm=known(155.0), leg_length_mm=known(900.0))
    assert hips.spacing_mm.value == pytest.approx(179.4, abs=0.05)
    assert hips.behind_mm is not None
    assert hips.behind_mm.value == pytest.approx(47.1, abs=0.05)
    assert hips.below_mm.value == pytest.approx(81.5, abs=0.05)
    assert hip_joints(known(240.0)).below_mm.value == pytest.approx(82.9, abs=0.05)
    assert hips.spacing_mm.se == pytest.approx(12.3 * 2**0.5)  # Mantovani et al. 2016, two joints


def test_tem_1_five_pairs() -> None:
    # Formula: Anthropometry, Apparel Sizing and Design, ch. 2; numbers worked out in the check values.
    found = technical_error([(191, 193), (184, 183), (203, 204), (177, 179), (196, 195)])
    assert found.tem_mm == pytest.approx(1.0488, abs=1e-3)
    assert found.relative_percent == pytest.approx(0.551, abs=1e-3)
    assert found.reliability == pytest.approx(0.9878, abs=1e-3)


# ISO 19407's EU interval and a public explainer's UK and US formulas on a last 15 mm longer than the foot.
@pytest.mark.parametrize(
    ("foot_mm", "sizes"),
    [
        (240, {"EU": 38.25, "UK": 5.12, "US men": 6.12}),
        (250, {"EU": 39.75, "UK": 6.30, "US men": 7.30}),
        (265, {"EU": 42.00, "UK": 8.07, "US men": 9.07}),
        (271, {"EU": 42.90, "UK": 8.78, "US men": 9.78}),
        (285, {"EU": 45.00, "UK": 10.43, "US men": 11.43}),
    ],
)
def test_shoe_1_sizes_of_a_foot(foot_mm: float, sizes: dict[ShoeSystem, float]) -> None:
    for system, size in sizes.items():
        assert size_for(foot_mm, system) == pytest.approx(size, abs=0.01)


@pytest.fixture(scope="module")
def survey(data_dir: Path) -> dict[Reference, FloatArray]:
    return people(data_dir)


@pytest.mark.data
@pytest.mark.parametrize("taken", [("stature", "wrist_height", "hip_breadth", MASS), (*INTAKE, MASS)])
def test_predicted_ranges_hold_a_thousand_people_who_are_not_in_the_table(
    survey: dict[Reference, FloatArray], taken: tuple[str, ...]
) -> None:
    """500 women and 500 men at random; the table is made of the others, readings carry a studio's errors."""
    assert 0.94 <= ranges_hold(survey, taken, np.random.default_rng(20260611)) <= 0.96


@pytest.mark.data
def test_two_real_people_in_a_hundred_at_most_are_warned_about(survey: dict[Reference, FloatArray]) -> None:
    """A tenth of `bench/prove_body.py`: 600 people, with the one-sided band of so few."""
    share = alarms(survey, 600, np.random.default_rng(20260612))
    assert share <= 0.02 + 1.64 * (0.02 * 0.98 / 600) ** 0.5


@pytest.mark.data
@pytest.mark.parametrize("fault", ["inches as cm", "arm and leg swapped"])
def test_planted_faults_are_found_in_real_people(survey: dict[Reference, FloatArray], fault: str) -> None:
    assert found(survey, fault, 100, np.random.default_rng(20260613)) >= 0.95


@pytest.mark.data
@pytest.mark.parametrize("name", SIDED)
def test_a_side_ten_percent_off_is_found_and_healthy_sides_are_not(
    survey: dict[Reference, FloatArray], name: str
) -> None:
    rng = np.random.default_rng(20260614)
    assert sides_found(survey, name, 300, rng).named >= 0.95
    assert sides_found(survey, name, 300, rng, off=1.0).named <= 0.02
