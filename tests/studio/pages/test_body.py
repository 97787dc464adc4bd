"""The body page: a sentence beside the field at once, predictions marked, sides apart, the figure."""

import re

from tests.studio.pages.conftest import Desk


def typed_in(desk: Desk, **sizes: str) -> str:
    desk.type("player", "reference", "men")
    for name, text in sizes.items():
        desk.type("body size", "size_mm", text, name=name, repeat=1)
    return desk.client.get(f"{desk.at}body/").content.decode()  # without waiting for findings


def line_of(page: str, label: str) -> str:
    found = re.search(rf'<th scope="row">{label}</th>.*?</tr>', page, re.DOTALL)
    assert found is not None
    return found[0]


def test_a_slip_is_told_beside_its_field_before_any_findings(desk: Desk) -> None:
    page = typed_in(desk, stature="1800", wrist_height="780")
    assert "Wrist height 780 mm is 4.0 SD too short for the stature" in line_of(page, "wrist height")
    assert "SD too" not in line_of(page, "stature")


def test_another_unit_is_told_beside_its_field(desk: Desk) -> None:
    page = typed_in(desk, stature="178")
    assert "looks like centimetres" in line_of(page, "stature")


def test_a_size_that_nobody_took_is_marked_predicted(desk: Desk) -> None:
    page = typed_in(desk, stature="1800")
    assert re.search(r"predicted 870 ± 4\d mm", line_of(page, "wrist height"))
    assert "predicted" not in line_of(page, "stature")
    assert desk.shown("body size", "size_mm", name="wrist_height", repeat=1) is None


def test_the_figure_shows_measured_and_predicted_sizes(desk: Desk) -> None:
    page = typed_in(desk, stature="1800", biacromial_breadth="420")
    (figure,) = re.findall(r'<svg class="drawing is-body".*?</svg>', page, re.DOTALL)
    said = re.findall(r'<text class="t-(\w+)"[^>]*>([^<]*)</text>', figure)
    assert {("ink", "1800 ± 10 mm"), ("ink", "420 ± 12 mm"), ("soft", "hip breadth")} <= set(said)
    assert [style for style, text in said if text == "predicted"] == ["soft"] * 5


def test_without_a_survey_table_nothing_is_predicted_and_that_is_said(desk: Desk) -> None:
    desk.type("body size", "size_mm", "1800", name="stature", repeat=1)
    page = desk.page("body")
    assert "No survey table is named" in page
    assert "predicted 8" not in page
    assert "is-body" not in page


def test_left_and_right_are_kept_apart_and_compared(desk: Desk) -> None:
    for side, text in (("left", "265"), ("right", "292")):
        desk.type("body size", "size_mm", text, name="foot_length", repeat=1, side=side)
    assert [(s.side, s.readings_mm) for s in desk.scene.visit.body.sizes] == [  # type: ignore[union-attr]
        ("left", (265.0,)),
        ("right", (292.0,)),
    ]
    page = desk.page("body")
    assert "left 265 mm and right 292 mm are 27 mm apart" in page
    desk.type("body size", "size_mm", "1800", name="stature", repeat=1, side="left")
    (left_out,) = desk.scene.folded.unfinished
    assert left_out.reason == "Stature has no left and right; leave the side out."


def test_one_more_reading_of_each_side_is_asked_for_and_has_its_fields(desk: Desk) -> None:
    for name in ("stature", "wrist_height", "hip_breadth"):
        for repeat in (1, 2):
            desk.type(
                "body size", "size_mm", "360" if name == "hip_breadth" else "1630", name=name, repeat=repeat
            )
    desk.type("body mass", "mass_kg", "68")
    for repeat, right in ((1, "97"), (2, "98")):
        desk.type("body size", "size_mm", "93", name="foot_breadth", repeat=repeat, side="left")
        desk.type("body size", "size_mm", right, name="foot_breadth", repeat=repeat, side="right")
    page = desk.page("body")
    assert "Measure foot breadth once more, left and right." in page
    assert "take one more reading of each" in page
    assert "left foot breadth, reading 3" in page
    assert "left foot breadth, reading 4" not in page


def test_a_shoe_size_without_its_system_is_refused_in_a_sentence(desk: Desk) -> None:
    answer = desk.type("shoe size", "shoe_size", "42")
    assert answer.status_code == 422
    assert "Write it with its system: EU 42" in answer.json()["sentence"]
    assert desk.type("shoe size", "shoe_size", "EU 42").status_code == 200


def test_sides_survive_the_way_out_and_back(desk: Desk) -> None:
    from evenground.capture.bundle_writer import visit_toml
    from evenground.capture.fields import read_toml
    from evenground.capture.visit_file import VisitFile, visit_from

    for side in ("left", "right"):
        desk.type("body size", "size_mm", "265", name="foot_length", repeat=1, side=side)
    desk.type("shoe size", "shoe_size", "UK 8 1/2")
    visit = desk.scene.visit
    again = visit_from(read_toml(visit_toml(visit).encode(), VisitFile, file="visit.toml"))
    assert again == visit
