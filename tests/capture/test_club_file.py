"""Club lists: the same clubs from TOML and CSV, sizes as numbers or text, one sentence for what is wrong."""

import pickle
from pathlib import Path

import pytest

from evenground.capture.club_file import read_clubs
from evenground.errors import EvengroundError

PAGE = Path(__file__).parents[2] / "docs" / "formats" / "clubs.md"
TEXT = PAGE.read_text("utf-8")
CSV = TEXT.partition("```csv\n")[2].partition("```")[0]
TOML = TEXT.partition("```toml\n")[2].partition("```")[0]


def written(folder: Path, text: str, name: str = "clubs.csv") -> Path:
    path = folder / name
    path.write_text(text, "utf-8")
    return path


def test_both_samples_of_the_page_hold_the_same_clubs(tmp_path: Path) -> None:
    from_csv = read_clubs(written(tmp_path, CSV))
    assert from_csv == read_clubs(written(tmp_path, TOML, "clubs.toml"))
    assert [c.mark for c in from_csv] == ["putter", "7 iron"]
    assert from_csv[1].length_mm == pytest.approx(37 * 25.4)
    assert from_csv[1].butt_lower_mm is None
    assert from_csv[0].grip_style == "cross-handed"


def test_semicolons_and_empty_lines_are_read_too(tmp_path: Path) -> None:
    text = "mark;family;lie_deg\n\n7 iron;irons;62.5\n;;\n"
    (club,) = read_clubs(written(tmp_path, text))
    assert (club.mark, club.lie_deg) == ("7 iron", 62.5)


def test_a_mark_may_be_a_number(tmp_path: Path) -> None:
    assert read_clubs(written(tmp_path, "mark,family\n7,irons\n"))[0].mark == "7"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("mark,family\n", "There is no club in the file"),
        ("mark,family,length_mm\n7,irons,37 in\n", 'line 2, length_mm: "37 in" is not a number in mm'),
        ("mark,family,length\n7,irons,37\n", "it has no unit"),
        ("mark,family,length_mm\n7,irons,37\n", "It has to be more than 400 mm"),
        ("mark,family\n7,hybrids\n", "Allowed: 'putter', 'irons' or 'woods'"),
        ("mark,family\n7,irons\n7,woods\n", 'line 3, mark: The mark "7" already stands in line 2'),
        ("mark,family,loft\n7,irons,30\n", "This key is not known"),
        ("mark,family\n7,irons,62\n", "cell 3: This key is not known"),
        ("family\nirons\n", "mark: This is missing"),
        ("mark,family,lie_deg\n7,irons,true\n", "is not a number in deg"),
        ("mark,family,lie_deg\n7,irons,NaN\n", "Here a finite number is needed"),
        (
            '[[own_clubs]]\nmark = "a"\nfamily = "irons"\n[[own_clubs]]\nmark = "a"\nfamily = "woods"\n',
            "2 times",
        ),
    ],
)
def test_what_is_wrong_is_told_in_one_sentence(tmp_path: Path, text: str, said: str) -> None:
    with pytest.raises(EvengroundError) as caught:
        read_clubs(written(tmp_path, text))
    assert said in str(caught.value)
    assert "\n" not in str(caught.value)
    assert str(pickle.loads(pickle.dumps(caught.value))) == str(caught.value)  # noqa: S301 - our own bytes
