"""The proof of the stated chances at a seeded twentieth: each player is dear. `make prove` runs it whole."""

from typing import Any

import pytest
from bench.prove_stance import calibration, never_called_square, prove


@pytest.fixture(scope="module")
def rows() -> list[dict[str, Any]]:
    return prove(100, 20261125)


def test_every_claim_holds_within_its_binomial_band(rows: list[dict[str, Any]]) -> None:
    assert len(rows) == 20
    assert [r for r in rows if not r["held"]] == []


def test_a_studio_that_overstates_would_be_caught() -> None:
    import numpy as np

    rng = np.random.default_rng(4)
    true = rng.random(600)
    said = np.clip(true + 0.25, 0.0, 1.0)
    pairs = np.column_stack([said, rng.random(600) < true])
    assert not all(r["held"] for r in calibration("overstated", pairs, 6, full=True))


def test_no_player_at_all_would_not_pass_as_never_square() -> None:
    with pytest.warns(RuntimeWarning):
        assert not never_called_square([], full=True)["held"]
