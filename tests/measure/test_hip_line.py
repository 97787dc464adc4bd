"""Hip-line readings against the target line and the heel line, and paired grip trials."""

import dataclasses

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenground.measure.hip_line import NoPairsError, grip_difference, hip_lines
from evenground.visit import GripTrial, HipLineCheck, HipLineTrial

angles = st.floats(-30.0, 30.0)


def check_of(*trials: HipLineTrial) -> HipLineCheck:
    return HipLineCheck(landmark="front hip bones", trials=trials)


@given(angles, angles, st.floats(-10.0, 10.0))
def test_turning_the_whole_stance_moves_the_hip_line_against_the_target_line_only(
    hip_deg: float, heel_deg: float, by_deg: float
) -> None:
    trial = HipLineTrial(trial=1, width_mm=400.0, hip_line_deg=hip_deg, heel_line_deg=heel_deg)
    turned = dataclasses.replace(trial, hip_line_deg=hip_deg + by_deg, heel_line_deg=heel_deg + by_deg)
    before, after = (hip_lines(check_of(t)).readings[0] for t in (trial, turned))
    assert after.against_target_deg == pytest.approx(before.against_target_deg + by_deg, abs=1e-9)
    assert after.against_heel_line_deg == pytest.approx(before.against_heel_line_deg, abs=1e-9)


def test_a_reading_without_a_heel_line_has_no_angle_against_it() -> None:
    told = hip_lines(check_of(HipLineTrial(trial=4, width_mm=380.0, hip_line_deg=2.0)))
    assert told.readings[0].against_heel_line_deg is None
    assert told.readings[0].against_target_deg == 2.0


def pairs(*differences: float) -> list[GripTrial]:
    trials = []
    for number, difference in enumerate(differences, 1):
        own = 1.0 + number
        trials.append(GripTrial(pair=number, club="7", grip="own", hip_line_deg=own))
        trials.append(GripTrial(pair=number, club="7", grip="proposed", hip_line_deg=own + difference))
    return trials


def test_a_grip_difference_is_proposed_minus_own_over_complete_pairs() -> None:
    # Three differences 1, 2, 3: mean 2, SD 1, standard error 1/sqrt(3), 2 degrees of freedom (by hand).
    unpaired = GripTrial(pair=9, club="7", grip="own", hip_line_deg=50.0)
    found = grip_difference([*pairs(1.0, 2.0, 3.0), unpaired], "7")
    assert found.difference_deg.value == pytest.approx(2.0)
    assert found.difference_deg.se == pytest.approx(3.0**-0.5)
    assert (found.difference_deg.dof, found.difference_deg.n) == (2, 3)


def test_drift_between_pairs_leaves_the_difference_alone() -> None:
    steady = grip_difference(pairs(1.5, 1.5, 1.5), "7")
    assert steady.difference_deg.value == pytest.approx(1.5)
    assert steady.difference_deg.se == pytest.approx(0.0, abs=1e-12)


def test_one_pair_of_grip_trials_is_refused_with_what_to_do() -> None:
    with pytest.raises(
        NoPairsError, match=r"1 complete pair of trials cannot show a difference.*Give each pair"
    ):
        grip_difference(pairs(1.0), "7")
