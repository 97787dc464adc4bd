"""Windows of widths for bodies as the survey has them: wide enough for everybody, whatever the hips."""

import pytest

from evenground.body.ranges import check_body
from evenground.body.survey import Reference, normal_of
from evenground.fit.stance_answer import width_windows
from evenground.visit import FAMILIES, BodyCheck, BodySize


@pytest.mark.parametrize("reference", ["women", "men"])
def test_an_average_adult_gets_windows_of_120_mm_and_a_putter_width_of_220(reference: Reference) -> None:
    # Mean stature of ANSUR II (Gordon et al. 2014): 1628.5 mm women, 1756.2 mm men.
    stature = normal_of("stature", reference)
    assert stature is not None
    windows = width_windows(stature.mean_mm, {})
    assert all(windows[f].high_mm - windows[f].low_mm >= 120.0 for f in FAMILIES)
    assert windows["putter"].low_mm <= 220.0 <= windows["putter"].high_mm


@pytest.mark.parametrize("stature_mm", [900.0, 1300.0, 1483.0, 1927.0, 2030.0])
def test_nobody_s_window_is_narrower_than_120_mm(stature_mm: float) -> None:
    windows = width_windows(stature_mm, {})
    assert all(w.high_mm - w.low_mm >= 120.0 - 1e-9 for w in windows.values())


def test_whoever_comes_with_220_mm_keeps_it_within_reach() -> None:
    assert width_windows(2000.0, {"putter": 220.0})["putter"].low_mm <= 220.0


def test_hips_wider_than_the_shoulders_change_no_window_and_raise_no_warning() -> None:
    sizes = {"stature": 1628.0, "biacromial_breadth": 350.0, "hip_breadth": 390.0}
    body = BodyCheck(
        sizes=tuple(BodySize(name=n, readings_mm=(mm,)) for n, mm in sizes.items()), mass_kg=78.0
    )
    assert check_body(body, reference="women").warnings == ()
    stature = body.mean_mm("stature")
    assert stature is not None
    assert width_windows(stature, {}) == width_windows(1628.0, {})
