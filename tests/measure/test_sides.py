"""Heel from toes and left from right, by shape: what stands the wrong way round is noticed."""

from dataclasses import replace

import numpy as np
import pytest

from evenground.measure.contact import StanceAcrossError
from evenground.measure.ground import Ground, describe
from evenground.measure.recording import MatRecording
from evenground.measure.sides import TurnedStanceError
from evenground.simulate.foot import PrintKind
from evenground.simulate.mat import Mat, Standing, simulate_mat
from evenground.simulate.things import Thing

MAT = Mat(rows=60, columns=80, noise_kpa=0.3)
SHAPED: tuple[PrintKind, ...] = ("bare", "high arch", "flat arch", "toes apart", "sock")


def stood(kind: PrintKind = "bare", **changed: float) -> MatRecording:
    standing = replace(Standing(kind=kind, width_mm=280.0, load_left_percent=55.0), **changed)  # type: ignore[arg-type]
    return simulate_mat(standing, MAT, None, rng=np.random.default_rng(6)).recording


def turned(recording: MatRecording, quarters: int) -> MatRecording:
    cells = np.ascontiguousarray(np.rot90(recording.cells, quarters, axes=(1, 2)))
    return replace(recording, cells=cells)


def codes(ground: Ground) -> set[str]:
    return {flag.code for flag in ground.grade.flags} - {"snapshot"}


@pytest.mark.parametrize("kind", [*SHAPED, "shod"])
def test_a_stance_that_is_as_it_should_be_raises_no_doubt(kind: PrintKind) -> None:
    ground = describe(stood(kind), handed="right")
    assert ground.grade.usable
    assert not codes(ground)


@pytest.mark.parametrize("kind", SHAPED)
def test_shapes_agree_with_places_where_they_say_anything(kind: PrintKind) -> None:
    assert describe(stood(kind), handed="right").noticed == (
        "Left and right are told by place, and the shapes agree.",
    )


def test_a_shoe_is_said_to_be_named_by_its_place_alone() -> None:
    (said,) = describe(stood("shod"), handed="right").noticed
    assert said == "Left and right are told by place; neither shape says which it is."


@pytest.mark.parametrize("kind", [*SHAPED, "shod"])
def test_a_picture_turned_by_half_a_turn_is_refused(kind: PrintKind) -> None:
    with pytest.raises(TurnedStanceError, match="both feet point backwards"):
        describe(turned(stood(kind), 2), handed="right")


@pytest.mark.parametrize("kind", [*SHAPED, "shod"])
def test_rows_the_other_way_round_are_refused(kind: PrintKind) -> None:
    plain = stood(kind)
    flipped = replace(plain, cells=np.ascontiguousarray(plain.cells[:, ::-1]))
    with pytest.raises(TurnedStanceError, match="first_row"):
        describe(flipped, handed="right")


@pytest.mark.parametrize("quarters", [1, 3])
@pytest.mark.parametrize("kind", ["bare", "flat arch"])
def test_feet_across_the_mat_are_refused(kind: PrintKind, quarters: int) -> None:
    with pytest.raises(StanceAcrossError, match="quarter"):
        describe(turned(stood(kind), quarters), handed="right")


def feet_swapped(kind: PrintKind) -> MatRecording:
    """The left foot where the right one belongs and the other way round, toes ahead."""
    plain = stood(kind)
    half = plain.cells.shape[2] // 2
    cells = np.concatenate([plain.cells[:, :, half:], plain.cells[:, :, :half]], axis=2)
    return replace(plain, cells=cells)


@pytest.mark.parametrize("kind", SHAPED)
def test_crossed_legs_are_noticed(kind: PrintKind) -> None:
    ground = describe(feet_swapped(kind), handed="right")
    assert "crossed" in codes(ground)
    assert not ground.grade.usable


def test_a_shoe_that_looks_the_same_either_way_is_never_called_crossed() -> None:
    assert "crossed" not in codes(describe(feet_swapped("shod"), handed="right"))


def test_somebody_elses_foot_in_place_of_ones_own_is_noticed() -> None:
    standing = Standing(
        missing="left",
        things=(Thing(kind="right foot", at_mm=(-140.0, -35.0), length_mm=250.0, force_n=300.0),),
    )
    made = simulate_mat(standing, MAT, None, rng=np.random.default_rng(6)).recording
    ground = describe(made, handed="right")
    assert "other-foot" in codes(ground)
    assert not ground.grade.usable


@pytest.mark.parametrize(("turn", "flagged"), [(20.0, False), (32.0, True), (-32.0, True)])
def test_a_stance_turned_as_a_whole_is_said_to_be(turn: float, flagged: bool) -> None:
    ground = describe(stood(stance_turned_deg=turn), handed="right")
    assert ("stance-turned" in codes(ground)) is flagged
