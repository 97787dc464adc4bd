"""Heels half up and things at toes: errors that hold, said, and refused when they are too large."""

from dataclasses import replace

import numpy as np
import pytest

from evenground.measure.ground import describe
from evenground.measure.ground_types import Ground
from evenground.simulate.foot import PRINTS, PrintKind
from evenground.simulate.mat import Mat, SimulatedStance, Standing, simulate_mat
from evenground.simulate.things import Thing
from tests.sure import sure

MAT = Mat(rows=104, columns=152, pitch_x_mm=5.0, pitch_y_mm=5.0, noise_kpa=0.0)
CLUB = Thing(at_mm=(130.0, 255.0), turned_deg=90.0, force_n=15.0)


def stood(standing: Standing) -> tuple[Ground, SimulatedStance]:
    made = simulate_mat(standing, MAT, None, rng=np.random.default_rng(1))
    return describe(made.recording, handed="right"), made


def codes(ground: Ground) -> set[str]:
    return {flag.code for flag in ground.grade.flags}


@pytest.mark.parametrize("kind", list(PRINTS))
@pytest.mark.parametrize("up", [0.3, 0.5, 0.7])
def test_a_heel_half_up_lies_where_its_error_says(kind: PrintKind, up: float) -> None:
    # the truth keeps the heel where it was while it was down; 1.05 for a flat arch, whose heel part takes in
    # some of the arch as it rises: 1.02 of the half-width at 0.7
    turned = Standing(kind=kind, toe_out_left_deg=30.0, toe_out_right_deg=30.0, heel_up=(0.0, up))
    ground, made = stood(turned)
    width = sure(ground.stance_width_mm.heel_centres)
    assert abs(width.value - made.truth.heel_centres_mm) < 1.05 * width.half_width()
    assert width.se < 1.1  # so that the test above can fail


def test_the_error_of_a_heel_grows_as_it_rises_and_then_it_is_refused() -> None:
    seen = [stood(Standing(kind="flat arch", toe_out_right_deg=30.0, heel_up=(0.0, up)))[0] for up in UPS]
    errors = [sure(ground.stance_width_mm.heel_centres).se for ground in seen]
    assert errors == sorted(errors)
    assert errors[-1] > 3.0 * errors[0]
    assert [ground.grade.usable for ground in seen] == [True, True, True, False]
    assert "heel-up" in codes(seen[-1])


UPS = (0.0, 0.4, 0.7, 0.9)


@pytest.mark.parametrize("side", [-1.0, 1.0])
def test_a_club_that_touches_the_toes_is_said_and_held_by_the_errors(side: float) -> None:
    club = replace(CLUB, at_mm=(side * CLUB.at_mm[0], CLUB.at_mm[1]), turned_deg=side * CLUB.turned_deg)
    ground, made = stood(Standing(width_mm=220.0, things=(club,)))
    foot = ground.feet.right if side > 0.0 else ground.feet.left
    truth = made.truth.toe_out_right_deg if side > 0.0 else made.truth.toe_out_left_deg
    toe_out = sure(foot.toe_out_deg)
    assert [f.where for f in ground.grade.flags if f.code == "uneven-toes"] == [
        "right foot" if side > 0.0 else "left foot"
    ]
    assert abs(toe_out.value - truth) > 1.0
    assert toe_out.interval().holds(truth)
    assert sure(ground.feet.left.load_percent).interval().holds(made.truth.load_left_percent)


def test_feet_alike_have_no_uneven_toes_and_small_errors() -> None:
    ground, _ = stood(Standing(width_mm=220.0))
    assert "uneven-toes" not in codes(ground)
    assert sure(ground.stance_width_mm.heel_centres).se < 0.2
    assert sure(ground.feet.right.toe_out_deg).se < 0.1


def test_left_and_right_have_the_same_errors() -> None:
    one = stood(Standing(heel_up=(0.6, 0.0), toe_out_left_deg=25.0))[0]
    other = stood(Standing(heel_up=(0.0, 0.6), toe_out_right_deg=25.0))[0]
    assert sure(one.feet.left.toe_out_deg).se == pytest.approx(
        sure(other.feet.right.toe_out_deg).se, rel=1e-3
    )
