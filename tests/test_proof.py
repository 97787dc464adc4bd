"""The proof page: it says what was found, no more, and what did not hold stands out."""

import json
from pathlib import Path

import pytest
from bench import prove

ROWS = [
    {"claim": "intervals hold the truth", "seen": "0.95", "limit": "0.93 to 0.97", "held": True},
    {"claim": "nothing is lost", "seen": "1 of 200", "limit": "0", "held": False},
]
TOLD = {"count": 20, "seed": 3, "day": "2026-01-02", "code": "0123456789", "seconds": 4, "rows": ROWS}
VERSIONS = {"python": "3.11", "numpy": "2", "scipy": "1"}


def test_the_page_says_what_the_kept_results_say() -> None:
    assert prove.PAGE.read_text("utf-8") == prove.page(prove.kept())


def test_a_claim_that_did_not_hold_stands_out_and_every_topic_says_how_it_was_run() -> None:
    page = prove.page({"prove_mat": {**TOLD, **VERSIONS}})
    assert "| mat | 20 | 3 | 2026-01-02 | 0123456789 | 3.11, 2, 1 |" in page
    assert "| mat | intervals hold the truth | 0.95 | 0.93 to 0.97 | yes |" in page
    assert "| mat | nothing is lost | 1 of 200 | 0 | **no** |" in page


def test_one_topic_run_again_leaves_the_others(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(prove, "RESULTS", tmp_path)
    for name in ("prove_aim", "prove_ground"):
        prove.keep(name, {**TOLD, **VERSIONS})
    prove.keep("prove_aim", {**TOLD, **VERSIONS, "seed": 4})
    assert [(name, told["seed"]) for name, told in prove.kept().items()] == [
        ("prove_aim", 4),
        ("prove_ground", 3),
    ]
    assert json.loads((tmp_path / "ground.json").read_text("utf-8"))["rows"] == ROWS


def test_the_state_of_the_code_changes_with_a_line_and_with_a_name(tmp_path: Path) -> None:
    (tmp_path / "a.py").write_text("x = 1\n", "utf-8")
    first = prove.code_state(tmp_path)
    (tmp_path / "a.py").write_text("x = 2\n", "utf-8")
    second = prove.code_state(tmp_path)
    (tmp_path / "a.py").rename(tmp_path / "b.py")
    assert len({first, second, prove.code_state(tmp_path)}) == 3
