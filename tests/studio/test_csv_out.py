"""Tables for spreadsheets: no cell is ever a formula, and everything else stays as it was."""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenground.studio.csv_out import csv_response, neutral

# Characters by which a cell becomes a formula: OWASP, "CSV Injection" (community page), read 2026.
FORMULAS = [
    "=1+1",
    "+1+1",
    "-1+1",
    "@SUM(A1)",
    "\t=1",
    "\r=1",
    " =1+1",
    "＝1+1",
    "=cmd|' /C calc'!A0",
    "\u200b=1",
]


@pytest.mark.parametrize("cell", FORMULAS)
def test_a_cell_that_would_calculate_gets_an_apostrophe(cell: str) -> None:
    assert neutral(cell) == f"'{cell}"


@pytest.mark.parametrize(
    ("cell", "text"), [("Odo", "Odo"), (-3, "-3"), (1.5, "1.5"), (None, ""), ("O'Dell = x", "O'Dell = x")]
)
def test_names_and_numbers_stay_as_they_are(cell: str | float | None, text: str) -> None:
    assert neutral(cell) == text


@given(st.lists(st.text(), min_size=1, max_size=4))
def test_no_cell_of_any_table_begins_like_a_formula(cells: list[str]) -> None:
    body = csv_response("x.csv", ["a"] * len(cells), [cells]).content.decode("utf-8-sig")
    rows = list(csv.reader(io.StringIO(body, newline="")))
    assert not [c for c in rows[1] if c.strip()[:1] in set("=+-@") and c.strip()]
