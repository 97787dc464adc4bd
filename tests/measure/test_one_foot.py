"""One foot by design: described as it is, and no other invented."""

from dataclasses import replace

import numpy as np
import pytest

from evenground.floor import Side
from evenground.measure.contact import NoFeetError, OneFootError, TwoFeetError
from evenground.measure.ground_types import no_foot
from evenground.measure.one_foot import NobodyStandsError, describe_by_limbs, describe_lone_foot
from evenground.measure.pooling import pool_placements
from evenground.plain import to_plain
from evenground.simulate.foot import PrintKind
from evenground.simulate.mat import Mat, SimulatedStance, Standing, Swaying, simulate_mat
from evenground.simulate.things import Thing
from tests.sure import sure

MAT = Mat(rows=90, columns=80, pitch_x_mm=5.0, pitch_y_mm=5.0, noise_kpa=0.3)
STANDING = Standing(width_mm=180.0, toe_out_left_deg=14.0, toe_out_right_deg=22.0, missing="left")
STICK = Thing(at_mm=(-120.0, 60.0), length_mm=40.0, breadth_mm=40.0, force_n=120.0)


def made(standing: Standing = STANDING, swaying: Swaying | None = None) -> SimulatedStance:
    return simulate_mat(standing, MAT, swaying, rng=np.random.default_rng(3))


@pytest.mark.parametrize("missing", ["left", "right"])
@pytest.mark.parametrize("kind", ["bare", "shod", "high arch"])
def test_the_foot_that_is_there_is_described(missing: Side, kind: PrintKind) -> None:
    stance = made(replace(STANDING, missing=missing, kind=kind))
    ground, truth = describe_lone_foot(stance.recording, missing=missing, mass_kg=75.0), stance.truth
    other = "right" if missing == "left" else "left"
    own, gone = getattr(ground.feet, other), getattr(ground.feet, missing)
    assert gone == no_foot()
    assert ground.grade.usable
    # the limit for a toe-out is 2 deg
    assert own.toe_out_deg.value == pytest.approx(getattr(truth, f"toe_out_{other}_deg"), abs=0.3)
    assert own.cop_percent_length.interval().holds(getattr(truth, f"cop_{other}_percent_length"))
    assert sure(ground.total_force_n).value == pytest.approx(75.0 * 9.80665, rel=0.005)


def test_nothing_is_said_that_takes_two_feet() -> None:
    plain = to_plain(describe_lone_foot(made(swaying=Swaying(duration_s=3.0)).recording, missing="left"))
    for name in ("fore_aft_offset_mm", "heel_line_deg", "load_line_deg", "sway"):
        assert plain[name] is None, name
    assert plain["stance_width_mm"] == {"heel_centres": None, "inside": None, "outside": None}
    assert plain["feet"]["right"]["load_percent"] is None
    assert plain["feet"]["right"]["toe_out_deg"]["se"] > 0.0


def test_a_stick_is_left_out_of_the_foot_and_its_share_said() -> None:
    without = describe_lone_foot(made().recording, missing="left")
    helped = describe_lone_foot(made(replace(STANDING, things=(STICK,))).recording, missing="left")
    assert sure(helped.feet.right.toe_out_deg).value == pytest.approx(
        sure(without.feet.right.toe_out_deg).value, abs=0.05
    )
    said = next(flag.text for flag in helped.grade.flags if flag.code == "other-support")
    assert " 14 % of the load" in said  # 120 of 120 + 735 N
    assert helped.grade.usable


def test_two_feet_contradict_an_absent_one() -> None:
    with pytest.raises(TwoFeetError, match="the left one is absent"):
        describe_lone_foot(made(replace(STANDING, missing=None)).recording, missing="left")


def test_a_stick_alone_is_no_foot() -> None:
    standing = replace(STANDING, things=(STICK,), mass_kg=0.01)
    with pytest.raises(NoFeetError):
        describe_lone_foot(made(standing).recording, missing="left")


def test_the_wrong_foot_absent_is_noticed_by_the_shape() -> None:
    ground = describe_lone_foot(made().recording, missing="right")
    assert "other-foot" in {flag.code for flag in ground.grade.flags}
    assert not ground.grade.usable


def test_a_prosthesis_that_prints_like_a_shoe_is_described_and_said_to_be_one() -> None:
    both = made(replace(STANDING, missing=None, kind="shod"))
    ground = describe_by_limbs(both.recording, {"left": "prosthetic"}, handed="right")
    assert sure(ground.stance_width_mm.heel_centres).value == pytest.approx(180.0, abs=1.0)
    assert [f.where for f in ground.grade.flags if f.code == "prosthetic-foot"] == ["left foot"]


def test_a_prosthesis_that_is_a_peg_leaves_one_foot() -> None:
    peg = made(replace(STANDING, things=(STICK,)))
    ground = describe_by_limbs(peg.recording, {"left": "prosthetic"}, handed="right")
    assert ground.feet.left == no_foot()
    assert ground.feet.right.toe_out_deg is not None


def test_one_foot_without_a_reason_is_still_refused() -> None:
    with pytest.raises(OneFootError, match="absent or prosthetic"):
        describe_by_limbs(made().recording, {}, handed="right")


def test_no_foot_at_all_stands_on_no_mat() -> None:
    with pytest.raises(NobodyStandsError):
        describe_by_limbs(made().recording, {"left": "absent", "right": "absent"}, handed="right")


def test_placements_of_one_foot_pool_into_one_foot() -> None:
    grounds = [
        describe_lone_foot(made(replace(STANDING, toe_out_right_deg=t)).recording, missing="left")
        for t in (20.0, 22.0, 25.0)
    ]
    pooled = pool_placements(grounds)
    assert pooled.feet.left == no_foot()
    assert sure(pooled.feet.right.toe_out_deg).n == 3
    assert pooled.noticed[0].startswith("One foot by design")
