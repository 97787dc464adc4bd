"""Rosters as people keep them, and codes that catch a slip."""

from datetime import date

import pytest

from evenground.studio.pairing import ALPHABET
from evenground.studio.roster import MOST, RosterError, code_from, make_code, read_roster

TODAY = date(2026, 5, 9)


@pytest.mark.parametrize(
    "text",
    [
        "Wren Halloway, left, 1988",
        "Wren Halloway;L;1988\n\n",
        "Wren Halloway\tleft-handed\t1988",
        "\ufeffName,Handed,Birth year\r\nWren Halloway,left,1988\r\n",
        "name,birth year,hand\nWren Halloway,1988,left",
    ],
)
def test_a_roster_is_read_however_its_columns_are_kept(text: str) -> None:
    (line,) = read_roster(text, TODAY)
    assert (line.name, line.handed, line.birth_year) == ("Wren Halloway", "left", 1988)


@pytest.mark.parametrize(
    ("text", "line", "says"),
    [
        ("", 1, "holds no player"),
        ("Wren, left\nOdo, both", 2, "neither right nor left"),
        ("Wren, left, 88", 1, "no birth year"),
        ("Wren, left, 2049", 1, "no birth year"),
        ("Wren, left\n, right", 2, "name is missing"),
        ("\n".join(f"Player {n}" for n in range(MOST + 1)), MOST + 1, "at most"),
    ],
)
def test_a_line_that_cannot_be_taken_is_named(text: str, line: int, says: str) -> None:
    with pytest.raises(RosterError, match=says) as caught:
        read_roster(text, TODAY)
    assert caught.value.where == f"line {line}"


def test_a_code_is_known_however_it_is_typed() -> None:
    code = make_code()
    assert code_from(f" {code[:2].lower()}-{code[2:]} ") == code


def test_one_wrong_sign_is_always_caught() -> None:
    code = make_code()
    for at in range(len(code)):
        for sign in ALPHABET.replace(code[at], ""):
            assert code_from(code[:at] + sign + code[at + 1 :]) is None


@pytest.mark.parametrize("text", ["", "ABCD", "ABCDEFGH", "\N{SNOWMAN}", "1O0IL"])
def test_what_is_no_code_is_none(text: str) -> None:
    assert code_from(text) is None
