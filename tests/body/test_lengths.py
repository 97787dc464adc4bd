"""Segment lengths: the survey's lines where only the stature is known, and better with every size taken."""

import pytest

from evenground.body.lengths import StatureMissingError, side_lengths
from evenground.body.survey import Reference, line_on_stature

REFERENCES: tuple[Reference, ...] = ("women", "men")


@pytest.mark.parametrize("reference", REFERENCES)
@pytest.mark.parametrize("stature_mm", [1560.0, 1690.0, 1820.0])
def test_the_stature_alone_gives_the_survey_s_line(reference: Reference, stature_mm: float) -> None:
    found = side_lengths({"stature": stature_mm}, reference)
    foot, ankle = (line_on_stature(n, reference) for n in ("foot_length", "ankle_height"))
    assert foot is not None
    assert ankle is not None
    # A tape's 5 mm of error pull a prediction toward the mean by (5 / 65)^2 of its way: under 1 mm.
    assert found.foot_mm.value == pytest.approx(foot.at(stature_mm), abs=0.5)
    assert found.foot_mm.se == pytest.approx(foot.see_mm, rel=0.02)
    assert found.ankle_height_mm.value == pytest.approx(ankle.at(stature_mm), abs=0.5)


@pytest.mark.parametrize("reference", REFERENCES)
def test_segments_add_up_to_the_stature(reference: Reference) -> None:
    f = side_lengths({"stature": 1700.0, "crotch_height": 800.0}, reference)
    parts = (f.ankle_height_mm, f.shank_mm, f.thigh_mm, f.trunk_mm, f.neck_mm, f.head_mm)
    assert sum(p.value for p in parts) == pytest.approx(1700.0)
    assert f.upper_arm_mm.value > f.forearm_mm.value


def test_a_long_leg_lengthens_the_thigh_that_nobody_measured() -> None:
    plain = side_lengths({"stature": 1750.0}, "men")
    long_leg = side_lengths({"stature": 1750.0, "crotch_height": 890.0}, "men")
    assert long_leg.thigh_mm.value > plain.thigh_mm.value + 5.0
    assert long_leg.thigh_mm.se < plain.thigh_mm.se


def test_without_a_table_the_error_grows() -> None:
    men, women, either = (side_lengths({"stature": 1700.0}, r) for r in ("men", "women", None))
    assert either.trunk_mm.value == pytest.approx((men.trunk_mm.value + women.trunk_mm.value) / 2.0)
    assert either.trunk_mm.se > max(men.trunk_mm.se, women.trunk_mm.se)


def test_what_was_measured_is_kept_and_the_rest_is_named() -> None:
    found = side_lengths({"stature": 1700.0, "foot_length": 250.0, "arm_length": 560.0}, "women")
    assert (found.foot_mm.value, found.foot_mm.se) == (250.0, 2.0)
    assert found.upper_arm_mm.value + found.forearm_mm.value == pytest.approx(560.0)
    assert "foot_length" not in found.predicted
    assert "trochanter_height" in found.predicted


def test_without_the_stature_nothing_is_told() -> None:
    with pytest.raises(StatureMissingError, match="shoulder height"):
        side_lengths({"foot_length": 250.0}, "men")
