"""The mirror image of visits and recordings: twice is nothing, and only sides change."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings

from evenground.fit.aim_angle import aimed_deg
from evenground.measure.ground import describe
from evenground.simulate.mat import Mat, Standing, Swaying, simulate_mat
from evenground.simulate.mirror import mirrored_recording, mirrored_stance, mirrored_visit, other_handed
from evenground.visit import AimCheck, AimTrial, EyeLine, FullSwingAim, Visit
from tests.strategies import visits
from tests.sure import sure

MAT = Mat(rows=44, columns=84, pitch_x_mm=10.0, pitch_y_mm=10.0, noise_kpa=0.2)
LEFT_HEAVY = Standing(
    width_mm=340.0,
    left_ahead_mm=15.0,
    toe_out_left_deg=22.0,
    toe_out_right_deg=7.0,
    load_left_percent=58.0,
    shod=True,
)
SIMULATED = simulate_mat(LEFT_HEAVY, MAT, Swaying(duration_s=4.0), rng=np.random.default_rng(4))


@settings(max_examples=25)
@given(visits)
def test_mirroring_a_visit_twice_gives_it_back(visit: Visit) -> None:
    assert mirrored_visit(mirrored_visit(visit)) == visit


@settings(max_examples=25)
@given(visits)
def test_mirror_changes_the_hand_and_nothing_that_is_stored_open_or_by_lead_and_trail(visit: Visit) -> None:
    mirrored = mirrored_visit(visit)
    assert mirrored.player.handed != visit.player.handed
    kept = {
        f: getattr(visit, f) for f in ("as_arrived", "own_clubs", "ball", "ground", "hip_line", "posture")
    }
    assert {f: getattr(mirrored, f) for f in kept} == kept
    assert (mirrored.turn, mirrored.grip, mirrored.skipped) == (visit.turn, visit.grip, visit.skipped)
    assert {h.side: h.length_mm for h in mirrored.hands} == {
        "left" if h.side == "right" else "right": h.length_mm for h in visit.hands
    }


def test_mirrored_aim_is_as_far_to_the_other_side() -> None:
    from tests.capture.test_bundle_writer import SAMPLE

    assert SAMPLE.aim is not None
    mirrored = mirrored_visit(SAMPLE).aim
    assert mirrored is not None
    assert [t.offset_mm for t in mirrored.trials] == [14.0]
    assert [t.offset_mm for t in SAMPLE.aim.trials] == [-14.0]


def test_a_mirrored_player_aims_to_the_other_side_and_is_as_open() -> None:
    from tests.capture.test_bundle_writer import SAMPLE

    aim = AimCheck(
        distance_m=2.0,
        trials=(AimTrial(trial=1, dot_mm=30.0), AimTrial(trial=2, face_deg=1.5)),
        eyes=(EyeLine(offset_mm=-20.0, direction_deg=2.0),),
        full_swing=(FullSwingAim(trial=1, club="driver", target_m=200.0, offset_mm=10.0),),
    )
    visit = replace(SAMPLE, aim=aim)
    mirrored = mirrored_visit(visit).aim
    assert mirrored is not None
    assert (mirrored.trials[0].dot_mm, mirrored.trials[1].face_deg) == (-30.0, 1.5)
    assert mirrored.eyes == aim.eyes
    assert mirrored.full_swing[0].offset_mm == -10.0
    right, left = AimTrial(trial=1, offset_mm=9.0), AimTrial(trial=1, offset_mm=-9.0)
    other = other_handed(visit.player.handed)
    assert aimed_deg(left, mirrored, other) == aimed_deg(right, aim, visit.player.handed)


def test_mirroring_a_recording_twice_gives_it_back() -> None:
    turned = replace(SIMULATED.recording, turned_deg=3.0)
    again = mirrored_recording(mirrored_recording(turned))
    assert (again.cells == turned.cells).all()
    assert again.turned_deg == 3.0


def test_mirrored_recording_measures_as_the_mirrored_truth() -> None:
    plain = describe(SIMULATED.recording, handed="right", mass_kg=75.0)
    mirrored = describe(mirrored_recording(SIMULATED.recording), handed="left", mass_kg=75.0)
    truth = mirrored_stance(SIMULATED.truth)
    for name in ("load_percent", "toe_out_deg", "cop_percent_length", "length_mm"):
        one, other = getattr(mirrored.feet.left, name), getattr(plain.feet.right, name)
        assert (one.value, one.se) == pytest.approx((other.value, other.se), rel=1e-4), (
            name
        )  # float32 sums in another order
    assert abs(sure(mirrored.feet.right.load_percent).value - truth.load_right_percent) < 2.0  # sway of 4 s
    assert abs(sure(mirrored.feet.right.toe_out_deg).value - truth.toe_out_right_deg) < 1.0
    assert truth.load_right_percent == 58.0
    assert (sure(mirrored.fore_aft_offset_mm).value > 0.0) == (truth.fore_aft_offset_mm > 0.0)
    assert sure(mirrored.load_line_deg).value == pytest.approx(sure(plain.load_line_deg).value, rel=1e-4)
