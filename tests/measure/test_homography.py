"""The plane of a picture, against scikit-image on the same points, and what cannot be a plane."""

import numpy as np
import pytest
from skimage.transform import ProjectiveTransform, SimilarityTransform

from evenground.measure.homography import NoPlaneError, fit_plane, fit_similarity, on_plane

RNG = np.random.default_rng(20261125)
TRUE = np.array([[0.21, 0.02, -40.0], [-0.01, 0.19, -25.0], [2e-5, -4e-5, 1.0]])


@pytest.mark.parametrize("count", [4, 12, 40])
def test_plane_is_scikit_images_on_the_same_points(count: int) -> None:
    # scikit-image's ProjectiveTransform.estimate, an implementation of its own of the same normalised method.
    seen = RNG.uniform(0.0, 3000.0, (count, 2))
    plane = on_plane(TRUE, seen) + RNG.normal(0.0, 0.3 if count > 4 else 0.0, (count, 2))
    peer = ProjectiveTransform.from_estimate(seen, plane)  # type: ignore[no-untyped-call]
    grid = RNG.uniform(0.0, 3000.0, (50, 2))
    assert on_plane(fit_plane(seen, plane), grid) == pytest.approx(peer(grid), abs=1e-5)


def test_similarity_is_scikit_images_and_tells_a_tilt_by_its_misfit() -> None:
    seen = np.array([[100.0, 100.0], [956.0, 120.0], [940.0, 660.0], [90.0, 640.0]])
    plane = np.array([[0.0, 0.0], [85.6, 0.0], [85.6, 53.98], [0.0, 53.98]])
    peer = SimilarityTransform.from_estimate(seen, plane)
    ours, misfit = fit_similarity(seen, plane)
    assert ours == pytest.approx(peer.params, abs=1e-9)
    assert misfit == pytest.approx(
        float(np.sqrt(np.mean(peer.residuals(seen, plane) ** 2))) / peer.scale, rel=1e-9
    )


def test_four_points_map_exactly_and_back() -> None:
    seen = np.array([[0.0, 0.0], [1000.0, 30.0], [960.0, 700.0], [20.0, 640.0]])
    plane = on_plane(TRUE, seen)
    there = fit_plane(seen, plane)
    assert on_plane(np.asarray(np.linalg.inv(there), float), on_plane(there, seen)) == pytest.approx(
        seen, abs=1e-8
    )


@pytest.mark.parametrize(
    "points", [np.zeros((3, 2)), np.column_stack([np.arange(6.0), 2.0 * np.arange(6.0)])]
)
def test_too_few_points_or_points_on_a_line_are_no_plane(points: np.ndarray) -> None:
    with pytest.raises(NoPlaneError, match="do not tell where the plane lies"):
        fit_plane(points, np.random.default_rng(1).uniform(size=points.shape))
