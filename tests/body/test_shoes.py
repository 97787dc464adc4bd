"""Shoe sizes: read with their system, turned into a foot and back, refused when they could be any shoe."""

import pickle

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenground.body.shoes import ShoeSystem, UnreadableShoeSizeError, foot_length, shoe_size, size_for


@pytest.mark.parametrize(
    ("text", "foot_mm"),
    [
        ("EU 42", 265.0),
        ("eu 42 2/3", 42.6667 * 20 / 3 - 15),
        ("UK 8½", (8.5 + 25) / 3 * 25.4 - 15),
        ("US men 9", (9 + 24) / 3 * 25.4 - 15),
        ("us w 7,5", (7.5 + 22.5) / 3 * 25.4 - 15),
        ("Mondopoint 270", 270.0),
        ("265 mm", 265.0),
    ],
)
def test_a_size_is_read_with_its_system(text: str, foot_mm: float) -> None:
    assert foot_length(shoe_size(text)).value == pytest.approx(foot_mm, abs=0.01)


@pytest.mark.parametrize("text", ["9", "42", "EU", "EU 90", "UK -3", "US 9", "42 EU", "mm 265 x", ""])
def test_what_could_be_any_shoe_is_refused_in_one_sentence(text: str) -> None:
    with pytest.raises(UnreadableShoeSizeError, match="Write it with its system: EU 42") as caught:
        shoe_size(text)
    assert str(pickle.loads(pickle.dumps(caught.value))) == str(caught.value)  # noqa: S301 - our own bytes


@given(st.sampled_from(["EU", "UK", "US men", "US women", "mm"]), st.floats(200, 320))
def test_a_foot_s_size_is_made_for_that_foot(system: ShoeSystem, foot_mm: float) -> None:
    size = size_for(foot_mm, system)
    text = f"{size:.2f} mm" if system == "mm" else f"{system} {size:.2f}"
    assert foot_length(shoe_size(text)).value == pytest.approx(foot_mm, abs=0.05)  # two decimals of a size


def test_a_shoe_is_worth_no_more_than_a_whole_size() -> None:
    assert foot_length(shoe_size("EU 42")).se == pytest.approx(6.667, abs=0.001)
    assert foot_length(shoe_size("UK 8")).se == pytest.approx(8.467, abs=0.001)
