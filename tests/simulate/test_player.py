"""A simulated visit: readings around their truth, the same for the same seed, left the mirror of right."""

from dataclasses import replace
from functools import cache
from itertools import pairwise

import numpy as np
import pytest

from evenground.estimate import from_repeats
from evenground.floor import Handed
from evenground.simulate.mirror import mirrored_recording, mirrored_visit
from evenground.simulate.player import simulate_player
from evenground.simulate.player_scenario import Scenario, SimulatedVisit
from evenground.visit import CHECKS, FAMILIES

QUICK = Scenario(placements=1, placement_s=2.0)


@cache
def made(seed: int, handed: Handed = "right", **changes: object) -> SimulatedVisit:
    return simulate_player(seed, handed=handed, scenario=replace(QUICK, **changes))  # type: ignore[arg-type]


def test_same_seed_gives_the_same_visit_and_another_seed_another() -> None:
    again = simulate_player(5, scenario=QUICK)
    assert again.visit == made(5).visit
    assert again.truth == made(5).truth
    assert all((r.cells == made(5).recordings[n].cells).all() for n, r in again.recordings.items())
    assert made(6).visit != made(5).visit


def test_left_handed_visit_is_the_mirror_image_of_the_right_handed_one() -> None:
    right, left = made(5), made(5, "left")
    assert left.visit == mirrored_visit(right.visit)
    for name, recording in right.recordings.items():
        assert (left.recordings[name].cells == mirrored_recording(recording).cells).all()
    assert left.truth.hands["left"] == right.truth.hands["right"]
    assert left.truth.curves == right.truth.curves
    assert (
        left.truth.ground["fitted"].load_left_percent
        == 100.0 - right.truth.ground["fitted"].load_left_percent
    )


def test_every_check_of_the_hour_has_readings() -> None:
    visit = made(5).visit
    fields = ["screening", "as_arrived", "body", "hands", "own_clubs", "ball", "ground", "hip_line"]
    fields += ["posture", "turn", "grip", "aim"]
    assert len(fields) == len(CHECKS)
    assert all(getattr(visit, name) for name in fields)


def test_skipped_check_has_no_readings_but_a_reason() -> None:
    scenario = replace(QUICK, skipped={"turn": "no time", "ground": "mat broken"})
    visit = simulate_player(5, scenario=scenario).visit
    assert (visit.turn, visit.ground) == ((), ())
    assert visit.skipped == {"turn": "no time", "ground": "mat broken"}


def test_check_skipped_for_one_family_keeps_the_others() -> None:
    scenario = replace(QUICK, skipped={"ball": "no time"}, skipped_family={"ball": "woods"})
    visit = simulate_player(5, scenario=scenario).visit
    assert {b.family for b in visit.ball} == {"putter", "irons"}


def test_hip_line_trials_follow_the_protocol() -> None:
    check = made(3, reference="women").visit.hip_line
    assert check is not None
    search = [t for t in check.trials if not t.confirms]
    assert [t.trial for t in check.trials] == list(range(1, len(check.trials) + 1))
    assert [t.family for t in search[:6]] == ["irons"] * 3 + ["putter"] * 3
    assert search[-1].width_mm == search[0].width_mm
    assert len(search) <= QUICK.budget
    confirming = [t.width_mm for t in check.trials if t.confirms and t.family == "irons"]
    assert len(confirming) == 6
    a, b = confirming[:2]
    assert a != b
    assert confirming == [a, b, b, a, a, b]


def test_player_never_square_is_outside_the_margin_everywhere() -> None:
    for seed in range(5):
        curves = made(seed, curve="never square", confirm=False).truth.curves
        assert min(min(c.hip_line_deg) for c in curves.values()) > 1.0


def test_turning_the_whole_stance_moves_hip_and_heel_line_alike() -> None:
    plain, turned = made(5).visit.hip_line, made(5, stance_turned_deg=4.0).visit.hip_line
    assert plain is not None
    assert turned is not None
    first, moved = plain.trials[0], turned.trials[0]
    assert first.heel_line_deg is not None
    assert moved.heel_line_deg is not None
    assert moved.hip_line_deg - first.hip_line_deg == pytest.approx(4.0, abs=0.11)  # both read to 0.1 deg
    assert moved.heel_line_deg - first.heel_line_deg == pytest.approx(4.0, abs=0.11)


def test_typed_readings_scatter_around_their_truth() -> None:
    apart: dict[str, list[float]] = {"posture": [], "ball": [], "hand": [], "turn": []}
    for seed in range(40):
        one = simulate_player(seed, scenario=replace(QUICK, placements=0, confirm=False, budget=6))
        posture = [p.trunk_deg for p in one.visit.posture if p.family == "irons" and p.trunk_deg is not None]
        apart["posture"].append(
            from_repeats(posture, unit="deg").value - one.truth.posture["irons"].trunk_deg
        )
        ball = next(b for b in one.visit.ball if b.family == "irons").from_toe_line_mm
        apart["ball"].append(sum(ball) / 3 - one.truth.ball_from_toe_line_mm["irons"])
        apart["hand"].append(one.visit.hands[0].length_mm - one.truth.hands["left"].length_mm)
        apart["turn"].append(one.visit.turn[0].turn_deg - one.truth.turn.lead_deg)
    for what, errors in apart.items():
        mean = from_repeats(errors, unit="", what=what)
        assert mean.interval(0.999).holds(0.0), what  # forty players: one false alarm in 250 for all four


def test_stature_is_a_whole_quarter_inch_and_club_lengths_whole_eighths() -> None:
    visit = made(5).visit
    assert visit.body is not None
    stature = visit.body.mean_mm("stature")
    assert stature is not None
    lengths = [c.length_mm for c in visit.own_clubs if c.length_mm is not None]
    for mm, step in [(stature, 4), *((mm, 8) for mm in lengths)]:
        assert mm / 25.4 * step == pytest.approx(round(mm / 25.4 * step), abs=1e-6)


def test_one_own_club_has_a_butt_that_nobody_measured() -> None:
    assert [c.mark for c in made(5).visit.own_clubs if c.butt_upper_mm is None] == ["hybrid"]


def test_families_stand_wider_from_putter_to_woods() -> None:
    for seed in range(10):
        own = made(seed, placements=0, confirm=False, budget=6).truth.own_stance
        widths = [own[f].width_mm for f in FAMILIES]
        assert all(a < b for a, b in pairwise(widths))


def test_recordings_hold_whole_counts_and_the_placements_own_truth() -> None:
    one = made(5)
    assert set(one.recordings) == set(one.truth.placements) == {p.recording for p in one.visit.ground}
    for recording in one.recordings.values():
        assert recording.unit == "counts"
        assert (recording.cells == np.round(recording.cells)).all()
