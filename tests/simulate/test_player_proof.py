"""The proof of the whole chain at a small count; `make prove` runs it at the full one."""

from bench.prove_player import prove


def test_chain_holds_its_claims_on_simulated_players() -> None:
    rows = prove(40, 20260509)
    assert len(rows) == 4
    assert [row for row in rows if not row["held"]] == []
