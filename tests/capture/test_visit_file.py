"""`visit.toml`: every table read, every mistake named with its field and what is allowed."""

import tomllib
from datetime import date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenground.capture.fields import UnreadableFieldError, checked, read_toml
from evenground.capture.visit_file import VisitFile, WidthConventionError, WidthTooSmallError, visit_from
from evenground.visit import CHECKS, BodySize, HandSize, HipLineTrial, Placement, Shoes, Visit
from tests.capture.bundle_samples import VISIT, swapped

INCH_MM = 25.4  # exact by definition: NIST SP 811, appendix B.8
POUND_KG = 0.45359237  # exact by definition: NIST SP 811, appendix B.8
LEAST = 'format = 1\nvisit = "v"\ndate = 2026-05-09\n[player]\nname = "Wren"\nhanded = "right"\n'


def visit(text: str) -> Visit:
    return visit_from(read_toml(text.encode(), VisitFile, file="visit.toml"))


def refused(text: str) -> str:
    with pytest.raises(UnreadableFieldError) as caught:
        visit(text)
    said = str(caught.value)
    assert said.startswith("visit.toml")
    assert "\n" not in said
    return said


def test_whole_sample_lands_in_the_shapes() -> None:
    read = visit(VISIT)
    assert read.day == date(2026, 5, 9)
    assert read.player.handed == "left"
    assert read.screening == "cleared"
    assert read.shoes == Shoes(name="spikeless", length_mm=285.0, heel_breadth_mm=69.85)
    assert read.hands == (HandSize(side="right", length_mm=185.0, palm_length_mm=105.0, se_mm=1.5),)
    assert read.own_clubs[0].length_mm == pytest.approx(37 * INCH_MM)
    assert read.ball[0].inside_lead_heel_mm == (60.0, 64.0)
    assert read.ground == (Placement(recording="mat/one.parquet", footwear="golf shoes", stance="fitted"),)
    assert read.posture[0].trunk_deg == 38.0
    assert read.turn[0].turn_deg == 52.0
    assert read.grip is not None
    assert read.grip.trials[0].hip_line_deg == 2.5
    assert read.aim is not None
    assert read.aim.trials[0].offset_mm == -14.0
    assert dict(read.skipped) == {"turn": "no time"}


def test_body_takes_one_reading_repeats_and_typed_text() -> None:
    body = visit(VISIT).body
    assert body is not None
    assert body.sizes == (
        BodySize(name="stature", readings_mm=(1778.0,)),  # 70 x 25.4
        BodySize(name="arm_length", readings_mm=(742.0, 745.0)),
    )
    assert body.mass_kg == pytest.approx((11 * 14 + 4) * POUND_KG)
    assert body.limbs == {"left leg": "prosthetic"}


def test_body_takes_repeats_as_text() -> None:
    body = visit(LEAST + '[body]\nstature = ["178 cm", "5 ft 10 in"]\n').body
    assert body is not None
    assert body.mean_mm("stature") == pytest.approx((1780 + 70 * INCH_MM) / 2)


def test_least_a_visit_needs_is_a_name_a_day_and_a_hand() -> None:
    read = visit(LEAST)
    assert (read.screening, read.shoes, read.hip_line, read.ground) == (None, None, None, ())


def test_trials_are_put_into_the_order_they_were_taken() -> None:
    read = visit(VISIT).hip_line
    assert read is not None
    assert read.trials == (
        HipLineTrial(trial=1, width_mm=300.0, hip_line_deg=6.0),
        HipLineTrial(trial=2, width_mm=400.0, hip_line_deg=-3.5),
    )


@pytest.mark.parametrize(
    ("convention", "heels_mm"), [("heel centres", 320), ("inside", 390), ("outside", 250)]
)
def test_widths_between_shoe_edges_become_heel_centres(convention: str, heels_mm: float) -> None:
    # By hand: with heels 70 mm broad the inside edges are 2 x 35 mm nearer together than the centres.
    text = swapped('"heel centres"', f'"{convention}"').replace(
        'heel_breadth = "2 3/4 in"', "heel_breadth_mm = 70"
    )
    read = visit(text)
    assert read.as_arrived[0].width_mm == heels_mm
    assert read.hip_line is not None
    assert [t.width_mm for t in read.hip_line.trials] == [heels_mm - 20, heels_mm + 80]


@given(st.floats(140, 900), st.floats(31, 120))
def test_one_stance_typed_in_three_conventions_is_one_stance(width_mm: float, breadth_mm: float) -> None:
    typed = {"heel centres": width_mm, "inside": width_mm - breadth_mm, "outside": width_mm + breadth_mm}
    entry = '[[as_arrived]]\nfamily = "irons"\nwidth_mm = {}\n'
    reads = [
        visit(
            f'width_convention = "{name}"\n{LEAST}[shoes]\nheel_breadth_mm = {breadth_mm!r}\n'
            + entry.format(repr(max(mm, 50.5)))
        ).as_arrived[0]
        for name, mm in typed.items()
        if mm > 50.5  # narrower is refused at the door whatever the convention
    ]
    assert all(a.width_mm == pytest.approx(width_mm) for a in reads)


@pytest.mark.parametrize("convention", ["inside", "outside"])
def test_widths_between_edges_need_the_shoes(convention: str) -> None:
    text = swapped('"heel centres"', f'"{convention}"').replace('heel_breadth = "2 3/4 in"\n', "")
    with pytest.raises(WidthConventionError, match=f"between {convention} edges.*Give shoes.heel_breadth_mm"):
        visit(text)


def test_convention_without_any_width_needs_no_shoes() -> None:
    assert visit(f'width_convention = "inside"\n{LEAST}').as_arrived == ()


def test_outside_width_that_leaves_no_room_between_the_heels_is_refused() -> None:
    text = swapped('"heel centres"', '"outside"').replace("width_mm = 300", "width_mm = 100")
    with pytest.raises(WidthTooSmallError, match=r"hip_line, trials 2, width_mm: 100 mm gives 30\.15 mm"):
        visit(text)


MISTAKES = {
    "unknown table": (VISIT + "\n[putting]\nx = 1\n", ["putting", "not known", "Known here"]),
    "unknown key": (
        swapped("trunk_deg = 38", "trunk_angle = 38"),
        ["posture 1, trunk_angle", "Did you mean trunk"],
    ),
    "missing name": (swapped('name = "Wren Halloway"\n', ""), ["player, name", "missing"]),
    "missing date": (swapped("date = 2026-05-09\n", ""), ["date", "missing"]),
    "other format": (swapped("format = 1", "format = 2"), ["format", "2", "Allowed: 1"]),
    "family": (
        swapped('toward = "trail"', 'toward = "back"'),
        ["turn 1, toward", '"back"', "'lead' or 'trail'"],
    ),
    "handed": (
        swapped('handed = "left"', 'handed = "both"'),
        ["player, handed", '"both"', "'right' or 'left'"],
    ),
    "screening": (swapped('"cleared"', '"yes"'), ["safety, screening", "'cleared' or 'measuring only'"]),
    "text number": (
        swapped("width_mm = 320", 'width_mm = "320"'),
        ["as_arrived 1, width_mm", '"320"', "in mm"],
    ),
    "number text": (swapped('"37 in"', "37"), ["own_clubs 1, length", "37 has no unit"]),
    "wrong unit": (swapped('"37 in"', '"37 kg"'), ["own_clubs 1, length", "37 kg"]),
    "metres as mm": (
        swapped("width_mm = 320", "width_mm = 0.32"),
        ["as_arrived 1, width_mm", "0.32", "more than 50 mm"],
    ),
    "given twice": (
        swapped('length = "37 in"', 'length = "37 in"\nlength_mm = 940'),
        ["length and length_mm"],
    ),
    "nan": (swapped("turn_deg = 52", "turn_deg = nan"), ["turn 1, turn_deg", "nan"]),
    "infinity": (swapped("turn_deg = 52", "turn_deg = -inf"), ["turn 1, turn_deg", "inf"]),
    "true for a number": (swapped("turn_deg = 52", "turn_deg = true"), ["turn 1, turn_deg", "true"]),
    "text for a count": (swapped("trial = 2", 'trial = "2"'), ["hip_line, trials 1, trial", "whole number"]),
    "true for a count": (swapped("trial = 2", "trial = true"), ["hip_line, trials 1, trial", "whole number"]),
    "half a count": (swapped("trial = 2", "trial = 2.5"), ["hip_line, trials 1, trial", "whole number"]),
    "no trial number": (swapped("trial = 2\n", ""), ["hip_line, trials 1, trial", "missing"]),
    "text for yes": (swapped("glove = true", 'glove = "yes"'), ["grip, glove", '"yes"', "true or false"]),
    "one for yes": (swapped("glove = true", "glove = 1"), ["grip, glove", "1", "true or false"]),
    "table for a list": (swapped("[[turn]]", "[turn]"), ["turn", "list in square brackets"]),
    "list for a table": (swapped("[aim]\n", "[[aim]]\n"), ["aim", "a table is needed"]),
    "palm over hand": (
        swapped("palm_length_mm = 105", "palm_length_mm = 179").replace("length_mm = 185", "length_mm = 170"),
        ["hands, right", "palm length 179 mm is not shorter than the hand's length 170 mm"],
    ),
    "limb": (swapped('"left leg"', '"tail"'), ["body, limbs", "tail"]),
    "skipped": (swapped('turn = "no time"', 'lunch = "no time"'), ["skipped", "lunch"]),
    "empty reason": (swapped('"no time"', '""'), ["skipped, turn"]),
    "day": (swapped("date = 2026-05-09", 'date = "next week"'), ["date", "2026-05-09"]),
    "time too": (swapped("date = 2026-05-09", "date = 2026-05-09T10:30:00"), ["date"]),
    "two irons": (
        VISIT.replace("[body]", '[[as_arrived]]\nfamily = "irons"\nwidth_mm = 330\n\n[body]', 1),
        ["The family irons stands 2 times in as_arrived"],
    ),
    "two balls": (
        VISIT.replace("[[ground]]", '[[ball]]\nfamily = "irons"\ninside_lead_heel_mm = [1]\n\n[[ground]]', 1),
        ["family irons stands 2 times in ball"],
    ),
    "two marks": (
        VISIT.replace("[[ball]]", '[[own_clubs]]\nmark = "7 iron"\nfamily = "irons"\n\n[[ball]]', 1),
        ["mark 7 iron stands 2 times in own_clubs"],
    ),
    "two trials": (
        swapped("trial = 2", "trial = 1\n").replace("trial = 1\nwidth_mm = 300", "trial = 1\nwidth_mm = 300"),
        ["trial 1 stands 2 times in hip_line.trials"],
    ),
}


@pytest.mark.parametrize(("text", "parts"), MISTAKES.values(), ids=MISTAKES.keys())
def test_mistake_is_named_with_its_field_and_what_is_allowed(text: str, parts: list[str]) -> None:
    said = refused(text)
    for part in parts:
        assert part in said


def test_several_mistakes_say_how_many_more_there_are() -> None:
    assert "1 more" in refused(
        swapped("turn_deg = 52", "turn_deg = 999").replace("trunk_deg = 38", "trunk_deg = 999")
    )


def test_every_check_of_the_hour_may_be_skipped_with_a_reason() -> None:
    skipped = "".join(f'"{check}" = "rain"\n' for check in CHECKS)
    assert set(visit(f"{LEAST}[skipped]\n{skipped}").skipped) == set(CHECKS)


def leaves(table: object, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    if isinstance(table, dict):
        return [leaf for k, v in table.items() for leaf in leaves(v, (*path, k))]
    if isinstance(table, list):
        return [leaf for i, v in enumerate(table) for leaf in leaves(v, (*path, i))]
    return [path]


JUNK = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.text(max_size=50),
    st.lists(st.integers(), max_size=3),
    st.dictionaries(st.text(max_size=5), st.integers(), max_size=2),
)
SAMPLE = tomllib.loads(VISIT)


@given(st.sampled_from(leaves(SAMPLE)), JUNK)
def test_any_value_anywhere_is_read_or_refused_in_one_sentence(
    path: tuple[str | int, ...], junk: object
) -> None:
    data = tomllib.loads(VISIT)
    place: Any = data
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = junk
    said = outcome(data)
    assert said == "read" or (said.startswith("visit.toml") and "\n" not in said)


def outcome(data: dict[str, Any]) -> str:
    try:
        visit_from(checked(VisitFile, data, file="visit.toml"))
    except (UnreadableFieldError, WidthConventionError, WidthTooSmallError) as exc:
        return str(exc)
    return "read"


TURNED = (
    '[[turn]]\ntoward = "lead"\nturn_deg = 50\nwidth_mm = 300\n[[turn]]\ntoward = "trail"\nturn_deg = 52\n'
)


def test_widths_of_turns_are_converted_like_all_others() -> None:
    shoes = "[shoes]\nheel_breadth_mm = 70\n"
    inside = visit(f'width_convention = "inside"\n{LEAST}{shoes}{TURNED}')
    assert [t.width_mm for t in inside.turn] == [370.0, None]
    assert [t.width_mm for t in visit(f"{LEAST}{TURNED}").turn] == [300.0, None]
    with pytest.raises(WidthConventionError):
        visit(f'width_convention = "inside"\n{LEAST}{TURNED}')
    narrow = TURNED.replace("300", "110")
    with pytest.raises(WidthTooSmallError, match="turn 1, width_mm: 110 mm gives 40 mm between heel centres"):
        visit(f'width_convention = "outside"\n{LEAST}{shoes}{narrow}')


@pytest.mark.parametrize(
    ("table", "said"),
    [
        ("[[aim.trials]]\ntrial = 1\noffset_mm = 3\ndot_mm = 3\n", "offset_mm and dot_mm is given"),
        ("[[aim.trials]]\ntrial = 1\n", "none is given"),
        ("[[aim.eyes]]\n", "Neither offset_mm nor direction_deg is given"),
        ('[[aim.full_swing]]\ntrial = 1\nclub = "7 iron"\ntarget_m = 140\n', "none is given"),
        ("[[aim.trials]]\ntrial = 1\nface_deg = 80\n", "face_deg"),
    ],
)
def test_an_aim_is_read_in_one_way(table: str, said: str) -> None:
    assert said in refused(f"{LEAST}[aim]\ndistance_m = 2\n{table}")


def test_every_way_of_aiming_lands_in_the_shapes() -> None:
    told = (
        '[aim]\ndistance = "6 ft"\nway = "laser dot"\ndot_at_m = 3\nface_share = 0.9\n'
        '[[aim.trials]]\ntrial = 1\ndot = "1 1/4 in"\n[[aim.eyes]]\ndirection_deg = 2\n'
        '[[aim.full_swing]]\ntrial = 1\nclub = "driver"\ntarget_m = 220\nface = "1.5°"\n'
    )
    aim = visit(f"{LEAST}{told}").aim
    assert aim is not None
    assert (aim.distance_m, aim.way, aim.dot_at_m, aim.face_share) == (1.8288, "laser dot", 3.0, 0.9)
    assert aim.trials[0].dot_mm == 31.75
    assert aim.eyes[0].direction_deg == 2.0
    assert (aim.full_swing[0].club, aim.full_swing[0].face_deg) == ("driver", 1.5)
