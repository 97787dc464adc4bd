"""A visit's photo from the side: measured as the landmarks file is, and one reading of the posture."""

import math
from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evenground.errors import MeasureError
from evenground.estimate import Estimate
from evenground.measure.posture import posture_angles
from evenground.measure.posture_view import SIDE_POINTS, SeenView, measure_view, posture_seen
from evenground.measure.side_view import measure_side
from evenground.simulate.figure import PosedFigure, landmarks_plain, pose_figure
from evenground.visit import PostureReading, PostureView


def view_of(figure: PosedFigure) -> PostureView:
    """A posed figure as a teacher places it on a photo."""
    plain = landmarks_plain(figure)
    ends = {f"length_{end}": plain["scale"][end] for end in ("start", "end")}
    ends |= {f"plumb_{end}": at for end, at in plain["plumb"].items()}
    placed = {name: (float(x), float(y)) for name, (x, y) in {**plain["points"], **ends}.items()}
    return PostureView(view="a", family="irons", side="left", length_mm=1000.0, placed=placed)


@pytest.fixture
def figure() -> PosedFigure:
    return pose_figure(np.random.default_rng(20261125))


def test_a_view_says_what_the_same_landmarks_say_in_a_file(figure: PosedFigure) -> None:
    found = measure_view(view_of(figure)).angles
    same = measure_side(figure.photo)
    assert found.trunk_deg is not None
    assert same.trunk_deg is not None
    assert found.trunk_deg.value == pytest.approx(same.trunk_deg.value, abs=1e-9)
    assert found.centre_of_mass_percent is not None
    assert abs(found.centre_of_mass_percent.value - figure.balance_percent) < (
        found.centre_of_mass_percent.half_width()
    )


def test_what_was_moved_counts_and_what_was_found_stays(figure: PosedFigure) -> None:
    view = view_of(figure)
    off = replace(view, found={"hip": (0.0, 0.0)})
    assert measure_view(off).angles == measure_view(view).angles
    assert off.found == {"hip": (0.0, 0.0)}


def test_the_knee_is_that_of_the_side_that_faced_the_camera(figure: PosedFigure) -> None:
    view = view_of(figure)
    found = measure_view(view)
    right = posture_seen(view, found, "right").reading
    left = posture_seen(view, found, "left").reading
    assert right.knee_flex_lead_deg is not None
    assert right.knee_flex_trail_deg is None
    assert (left.knee_flex_trail_deg, left.knee_flex_lead_deg) == (right.knee_flex_lead_deg, None)


def test_a_photo_counts_as_one_reading_beside_the_typed_ones(figure: PosedFigure) -> None:
    view = view_of(figure)
    seen = posture_seen(view, measure_view(view), "right")
    typed = PostureReading(family="irons", trunk_deg=40.0)
    both = posture_angles([typed], seen=[seen]).trunk_deg
    assert both is not None
    assert both.n == 2
    assert both.value == pytest.approx((40.0 + (seen.reading.trunk_deg or 0.0)) / 2.0)
    alone = posture_angles([], seen=[seen]).trunk_deg
    assert alone is not None
    assert alone.se == pytest.approx(seen.se_deg["trunk_deg"])


def test_the_mat_stands_beside_the_photo_and_is_the_referee(figure: PosedFigure) -> None:
    view, near = view_of(figure), Estimate(value=figure.balance_percent, se=2.0, unit="% of foot")
    far = replace(near, value=figure.balance_percent - 40.0)
    agrees, differs = (_mat(measure_view(view, mat_percent=m)) for m in (near, far))
    assert agrees
    assert not differs


def _mat(found: SeenView) -> bool:
    assert found.mat is not None
    return found.mat.agree


@pytest.mark.parametrize("missing", ["heel", "length_end"])
def test_without_foot_or_scale_it_says_what_to_place(figure: PosedFigure, missing: str) -> None:
    view = view_of(figure)
    placed = {name: at for name, at in view.placed.items() if name != missing}
    with pytest.raises(MeasureError) as refused:
        measure_view(replace(view, placed=placed))
    assert "Mark" in str(refused.value)


def test_a_plumb_line_with_one_end_or_without_a_length_is_none(figure: PosedFigure) -> None:
    view = view_of(figure)
    one = {n: at for n, at in view.placed.items() if n != "plumb_top"}
    none = {**view.placed, "plumb_top": view.placed["plumb_bottom"]}
    notes = [measure_view(replace(view, placed=placed)).angles.notes for placed in (one, none)]
    assert all("No plumb line" in " ".join(said) for said in notes)


spots = st.dictionaries(
    st.sampled_from(SIDE_POINTS), st.tuples(st.integers(-3, 40), st.integers(-3, 40)), min_size=12
)


@given(spots)
@settings(max_examples=40, deadline=None)
def test_points_wherever_they_lie_give_finite_figures_or_a_sentence(
    placed: dict[str, tuple[int, int]],
) -> None:
    view = PostureView(view="a", family="irons", side="left", length_mm=900.0, placed=placed)
    try:
        angles = measure_view(view).angles
    except MeasureError:
        return  # a sentence, and not a warning or a fault of the program
    found = [v for f in fields(angles) if isinstance(v := getattr(angles, f.name), Estimate)]
    assert all(math.isfinite(e.value) and math.isfinite(e.se) for e in found)
