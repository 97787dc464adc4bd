"""Widths that a teacher types for the card: ranges as people write them, and nothing else."""

import pytest

from evenground.errors import CaptureError
from evenground.studio.deciding import width_range_from

MM_AN_INCH = 25.4  # exact, international inch (1959)


@pytest.mark.parametrize(
    "typed",
    ["455 to 475 mm", "455-475", "455 \N{EN DASH} 475", "455 - 475 mm", "45.5 cm to 47.5 cm", " 455  TO 475"],
)
def test_a_width_may_be_typed_as_people_write_it(typed: str) -> None:
    assert width_range_from(typed, "metric") == (455.0, 475.0, "455 to 475 mm")


@pytest.mark.parametrize("typed", ["16 to 17", '16" to 17"', "16 in to 17 in", "16 - 17 in"])
def test_inches_are_read_where_the_studio_likes_them(typed: str) -> None:
    low, high, shown = width_range_from(typed, "inch quarters")
    assert low == pytest.approx(16 * MM_AN_INCH)
    assert high == pytest.approx(17 * MM_AN_INCH)
    assert shown == "16 to 17 in"


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("460", "is not a range"),
        ("", "is not a range"),
        ("1 to 2 to 3", "is not a range"),
        ("475 to 455 mm", "runs from the wider to the narrower"),
        ("460 to 461 mm", "is narrower than a foot can be set"),
        ("300 to 900 mm", "is wider than one stance"),
        ("wide to wider", "cannot be read as a length"),
        ("455 to 475 kg", "cannot be read as a length"),
        ("4 to 14 mm", "width"),
    ],
)
def test_what_is_no_range_to_stand_in_is_refused_in_one_sentence(typed: str, says: str) -> None:
    with pytest.raises(CaptureError, match=says):
        width_range_from(typed, "metric")
