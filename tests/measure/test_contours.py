"""Contour lines go where the height is, close, and keep high ground to their left."""

import numpy as np
import pytest
from skimage.measure import find_contours

from evenground.measure.contours import contour_lines, simplified
from evenground.measure.recording import FloatArray


def area(line: FloatArray) -> float:
    """Signed area, + counter-clockwise."""
    x, y = line.T
    return float(0.5 * (x @ np.roll(y, -1) - y @ np.roll(x, -1)))


def test_one_high_cell_has_a_diamond_around_it() -> None:
    grid = np.zeros((5, 5))
    grid[2, 3] = 1.0
    (line,) = contour_lines(grid, 0.5)
    assert sorted(map(tuple, line.tolist())) == [(2.5, 2.0), (3.0, 1.5), (3.0, 2.5), (3.5, 2.0)]
    assert area(line) == pytest.approx(0.5)


def test_a_hole_turns_the_other_way() -> None:
    grid = np.ones((7, 7))
    grid[3, 3] = 0.0
    areas = sorted(area(line) for line in contour_lines(grid, 0.5))
    assert areas == pytest.approx([-0.5, 7.0**2 - 0.5])  # 6 + 2 * 0.5 wide, a corner of an eighth off each


def test_lines_are_those_of_another_program() -> None:
    # scikit-image 0.2x, find_contours: the same corners, low ground padded around
    grid = np.random.default_rng(2).random((30, 40))
    ours = {round(abs(area(line)), 9) for line in contour_lines(grid, 0.6)}
    theirs: list[FloatArray] = find_contours(  # type: ignore[no-untyped-call]
        np.pad(grid, 1), 0.6, fully_connected="low"
    )
    assert ours == {round(abs(area(line[:-1, ::-1])), 9) for line in theirs}


def test_fewer_points_stay_within_the_tolerance_of_the_line() -> None:
    turn = np.linspace(0.0, 2.0 * np.pi, 400, endpoint=False)
    circle = 100.0 * np.column_stack([np.cos(turn), np.sin(turn)])
    fewer = simplified(circle, 1.0)
    assert 12 < len(fewer) < 60
    # a chord that is off by d at its middle takes at most 2 d / r of the area away
    assert area(circle) * (1.0 - 2.0 * 1.0 / 100.0) < area(fewer) <= area(circle)
