"""One split told three ways."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenground.measure.load_split import NothingLoadedError, load_split

forces = st.floats(1.0, 2000.0)


@given(forces, forces)
def test_swapping_the_feet_mirrors_every_figure(left_n: float, right_n: float) -> None:
    one, other = load_split(left_n, right_n), load_split(right_n, left_n)
    assert one.left_percent + other.left_percent == pytest.approx(100.0)
    assert one.difference_percent == pytest.approx(-other.difference_percent, abs=1e-9)
    assert one.symmetry_index_percent == pytest.approx(-other.symmetry_index_percent, abs=1e-9)


@pytest.mark.parametrize(("left_n", "right_n"), [(0.0, 0.0), (-1.0, 400.0), (float("nan"), 1.0)])
def test_no_load_is_refused_and_never_half_and_half(left_n: float, right_n: float) -> None:
    with pytest.raises(NothingLoadedError, match="no load to share out"):
        load_split(left_n, right_n)
