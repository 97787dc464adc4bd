"""Photos from the side in a visit: findings of their own, part of the posture, and beside the mat."""

from dataclasses import replace
from io import BytesIO
from typing import Any

import numpy as np
import pytest

from evenground.assess.recipe import assess
from evenground.capture.bundle import read_bundle
from evenground.example import example_bundle
from evenground.findings import Findings
from evenground.simulate.figure import pose_figure
from evenground.visit import PostureView, StudioSnapshot, Visit
from tests.measure.test_posture_view import view_of


@pytest.fixture(scope="module")
def view() -> PostureView:
    return view_of(pose_figure(np.random.default_rng(5)))


def found_in(visit: Visit, **more: object) -> Findings:
    """Findings of a visit without recordings."""
    bare = replace(visit, ground=(), hip_line=None, own_clubs=(), grip=None, **more)  # type: ignore[arg-type]
    return assess(bare, StudioSnapshot(), lambda _: BytesIO())


def value(found: Findings, kind: str) -> Any:
    """The value of a finding that has to be there."""
    (finding,) = [f for f in found.findings if f.kind == kind]
    return finding.value


@pytest.fixture(scope="module")
def visit() -> Visit:
    return replace(read_bundle(example_bundle()).visit, posture=())


def test_a_visit_with_a_photo_alone_has_a_posture_on_its_card(visit: Visit, view: PostureView) -> None:
    found = found_in(visit, posture_views=(view,))
    assert value(found, "posture.irons").trunk_deg.n == 1
    line = next(line for line in found.card if line.key == "posture")
    assert line.answer == "as measured"
    assert "posture view.irons.left" in line.findings


def test_left_and_right_are_findings_of_their_own_and_each_gives_its_knee(
    visit: Visit, view: PostureView
) -> None:
    other = replace(view, view="b", side="right")
    found = found_in(visit, posture_views=(view, other, replace(view, view="c")))
    kinds = [f.kind for f in found.findings if f.kind.startswith("posture view")]
    assert kinds == ["posture view.irons.left", "posture view.irons.right", "posture view.irons.left.2"]
    posture = value(found, "posture.irons")
    assert (posture.knee_flex_lead_deg.n, posture.knee_flex_trail_deg.n, posture.trunk_deg.n) == (2, 1, 3)


def test_a_photo_that_is_not_finished_is_named_with_what_it_lacks(visit: Visit, view: PostureView) -> None:
    placed = {name: at for name, at in view.placed.items() if name != "heel"}
    found = found_in(visit, posture_views=(replace(view, placed=placed),))
    assert any("heel not marked" in said for said in found.not_measured)
    assert found.value("posture.irons") is None


def test_the_mat_of_the_visit_stands_beside_the_photo(view: PostureView) -> None:
    bundle = read_bundle(example_bundle())
    found = assess(replace(bundle.visit, posture_views=(view,)), bundle.studio, bundle.open_blob)
    mat = value(found, "posture view.irons.left").mat
    assert 30.0 < mat.mat_percent.value < 70.0
    assert mat.agree in (True, False)
