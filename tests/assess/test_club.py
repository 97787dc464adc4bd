"""Grips within a visit: which hand is where on each club, and whose model says what it wants."""

from dataclasses import replace
from typing import Any

import pytest

from evenground.assess.book import Book
from evenground.assess.club import assess_grips
from evenground.capture.bundle import read_bundle
from evenground.example import example_bundle
from evenground.visit import BodyCheck, HandSize, OwnClub, StudioGripModel, StudioSnapshot, Visit

BUNDLE = read_bundle(example_bundle())
LEFT = HandSize(side="left", length_mm=190.0, palm_length_mm=110.0, se_mm=1.0)
RIGHT = HandSize(side="right", length_mm=200.0, palm_length_mm=110.0, se_mm=1.0)
IRON = OwnClub(mark="iron", family="irons", butt_upper_mm=15.2, butt_lower_mm=14.6)
LEFT_MM = 22.86 + 0.028 * (190 - 193.3) + 0.070 * (80 - 76.8)
RIGHT_MM = 22.86 + 0.028 * (200 - 193.3) + 0.070 * (90 - 76.8)


def book(studio: StudioSnapshot = BUNDLE.studio, club: OwnClub = IRON, **changes: Any) -> Book:
    visit: Visit = replace(BUNDLE.visit, hands=(LEFT, RIGHT), own_clubs=(club,), **changes)
    made = Book(visit=visit, studio=studio, open_blob=BUNDLE.open_blob, digests=BUNDLE.digests)
    assess_grips(made)
    return made


def wanted(made: Book, kind: str = "grip.build.iron") -> tuple[float | None, float | None]:
    value = made.value(kind)
    found = value if kind == "grip.wanted" else value.wanted  # type: ignore[union-attr]
    return tuple(None if e is None else round(e.value, 6) for e in (found.upper_mm, found.lower_mm))  # type: ignore[return-value,union-attr]


def test_a_right_handed_player_s_left_hand_is_the_upper_one_and_a_left_handed_player_s_the_lower() -> None:
    assert wanted(book()) == pytest.approx((LEFT_MM, RIGHT_MM - 1.8))
    left = replace(BUNDLE.visit.player, handed="left")
    assert wanted(book(player=left)) == pytest.approx((RIGHT_MM, LEFT_MM - 1.8))


def test_a_cross_handed_club_is_built_the_other_way_round_and_the_rest_of_the_bag_is_not() -> None:
    made = book(club=replace(IRON, grip_style="cross-handed"))
    assert wanted(made) == pytest.approx((RIGHT_MM, LEFT_MM - 1.8))
    assert wanted(made, "grip.wanted") == pytest.approx((LEFT_MM, RIGHT_MM - 1.8))


def test_a_glove_taken_off_for_one_club_makes_its_grip_thicker_under_that_hand() -> None:
    assert wanted(book(club=replace(IRON, glove="none"))) == pytest.approx((LEFT_MM + 1.0, RIGHT_MM - 1.8))
    thick = replace(IRON, glove="none", glove_mm=0.8)  # two layers of a thicker leather
    assert wanted(book(club=thick)) == pytest.approx((LEFT_MM + 1.6, RIGHT_MM - 1.8))


@pytest.mark.parametrize(("arm", "size"), [("left arm", RIGHT_MM), ("right hand", LEFT_MM)])
def test_a_player_with_one_hand_holds_every_club_with_it_at_the_upper_place(arm: str, size: float) -> None:
    made = book(body=BodyCheck(limbs={arm: "absent"}))  # type: ignore[dict-item]
    for kind in ("grip.build.iron", "grip.wanted"):
        upper, lower = wanted(made, kind)
        assert upper == pytest.approx(size)
        assert lower is None
    best = made.value("grip.build.iron").builds[0]  # type: ignore[union-attr]
    assert best.layers is None or best.layers.upper == best.layers.lower


def test_a_sore_hand_is_carried_to_every_build() -> None:
    sore = replace(BUNDLE.visit, hands=(replace(LEFT, sore=True), RIGHT), own_clubs=(IRON,))
    made = Book(visit=sore, studio=BUNDLE.studio, open_blob=BUNDLE.open_blob, digests=BUNDLE.digests)
    assess_grips(made)
    assert any("comfort outranks size" in note for note in made.value("grip.build.iron").notes)  # type: ignore[union-attr]


def test_the_studio_s_own_model_takes_the_place_of_the_default() -> None:
    model = StudioGripModel(
        at_reference_mm=25.0, hand_slope=0.0, finger_slope=0.0, taper_mm=1.0, se_mm=0.6, hands=20, players=10
    )
    made = book(replace(BUNDLE.studio, grip_model=model))
    assert wanted(made) == wanted(made, "grip.wanted") == (25.0, 24.0)


def test_what_a_finding_stands_on_changes_its_key() -> None:
    keys = [
        {f.kind: f.key for f in made.found}["grip.build.iron"]
        for made in (
            book(),
            book(club=replace(IRON, glove="none")),
            book(body=BodyCheck(limbs={"left arm": "absent"})),
        )
    ]
    assert len(set(keys)) == 3
