"""Hip-line readings against the target line and the heel line."""

import dataclasses

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenground.measure.hip_line import hip_lines
from evenground.visit import HipLineCheck, HipLineTrial

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
