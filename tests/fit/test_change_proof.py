"""The proof of studies, effects and change at a seeded tenth, models at half, curves at a quarter of that."""

from bench.prove_change import coverage, prove, unchanged


def test_every_claim_holds_within_its_binomial_band() -> None:
    rows = prove(200, 20261125)
    assert len(rows) == 17
    assert [r for r in rows if not r["held"]] == []


def test_ranges_that_are_too_short_would_be_caught() -> None:
    assert not coverage("x", [True] * 160 + [False] * 40)["held"]


def test_changes_called_out_of_noise_would_be_caught() -> None:
    assert not unchanged("x", ["changed"] * 30 + ["cannot tell"] * 170)["held"]
    assert unchanged("x", ["changed"] * 10 + ["cannot tell"] * 190)["held"]
