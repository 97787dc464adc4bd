"""The own clubs page: lists pasted or loaded, one table, one picture, a sentence for what does not fit."""

import re
from pathlib import Path

from tests.studio.pages.conftest import Desk

PAGE = (Path(__file__).parents[3] / "docs" / "formats" / "clubs.md").read_text("utf-8")
CSV = PAGE.partition("```csv\n")[2].partition("```")[0]
TOML = PAGE.partition("```toml\n")[2].partition("```")[0]


def test_a_club_list_is_loaded_and_loaded_again_once_corrected(desk: Desk) -> None:
    assert desk.send("table", check="own clubs", text=CSV).status_code == 200
    clubs = desk.scene.visit.own_clubs
    assert [(c.mark, c.length_mm) for c in clubs] == [("putter", 863.6), ("7 iron", 939.8)]
    desk.send("table", check="own clubs", text=CSV.replace("37 in", "36 1/2 in"))
    assert [c.length_mm for c in desk.scene.visit.own_clubs] == [863.6, 927.1]


def test_toml_and_a_table_out_of_a_spreadsheet_give_the_same_clubs(desk: Desk) -> None:
    desk.send("table", check="own clubs", text=TOML)
    first = desk.scene.visit.own_clubs
    desk.send("table", check="own clubs", text=CSV.replace(",", "\t"))
    assert desk.scene.visit.own_clubs == first


def test_a_wrong_line_saves_nothing_and_is_told(desk: Desk) -> None:
    before = desk.seq
    answer = desk.send("table", check="own clubs", text=CSV.replace("62.5", "625"))
    assert answer.status_code == 422
    assert "Line 3, lie_deg: 625 is not allowed" in answer.json()["sentence"]
    assert desk.seq == before


def test_the_page_shows_the_bag_as_one_table_and_one_picture(desk: Desk) -> None:
    desk.send("table", check="own clubs", text=CSV)
    for field, text in (("cap_height_mm", "800"), ("counterweight_g", "20"), ("glove", "lead")):
        desk.type("own club", field, text, club="7 iron")
    page = desk.page("own-clubs")
    (table,) = re.findall(r'<table class="figures">.*?</table>', page, re.DOTALL)
    assert re.search(r'<th scope="row">7 iron</th><td>940 ± 3 mm</td>', table)
    assert "C9.2" in table  # 212.1 in oz, 0.8 points under D0
    assert "flatter than its lie, the toe up" in page
    assert "20 g 0 mm below the cap would make it 445 g" in page
    assert len(re.findall(r'class="drawing is-bag"', page)) == 1


def test_a_club_that_breaks_a_rule_says_which(desk: Desk) -> None:
    desk.send("table", check="own clubs", text=CSV)
    desk.type("own club", "grip_shape", "not round", club="7 iron")
    assert "grip shape does not conform: not round, and not on a putter" in desk.page("own-clubs")
