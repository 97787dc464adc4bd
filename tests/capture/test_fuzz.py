"""A seeded two-hundredth of the damaged files of `bench/prove_fuzz.py`: C3D files take a process each."""

from bench.prove_fuzz import prove


def test_damaged_files_end_as_a_result_or_one_clear_error() -> None:
    rows = prove(10, 20261125)
    assert [row for row in rows if not row["held"]] == []
