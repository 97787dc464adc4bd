"""A seeded tenth of the proof that ranges of practice and held load cover, and false alarms stay rare."""

import pytest
from bench.prove_practice import prove


@pytest.fixture(scope="module")
def claims() -> list[dict[str, object]]:
    return prove(200, 20260509)


@pytest.mark.parametrize("row", range(4))
def test_a_tenth_of_the_players_is_within_binomial_bands_of_the_promise(
    claims: list[dict[str, object]], row: int
) -> None:
    assert claims[row]["held"], claims[row]
