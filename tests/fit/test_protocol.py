"""What to do next, check by check, and what fits the hour."""

from dataclasses import replace
from datetime import date

import pytest

from evenground.fit.hour import HOUR
from evenground.fit.protocol import agenda, progress_of_step, visit_step
from evenground.fit.protocol_types import Known
from evenground.visit import (
    FAMILIES,
    AimCheck,
    AimTrial,
    AsArrived,
    BallPlace,
    BodyCheck,
    BodySize,
    Check,
    GripCheck,
    GripTrial,
    HipLineCheck,
    HipLineTrial,
    OwnClub,
    Placement,
    Player,
    PostureReading,
    StudioErrors,
    TurnReading,
    Visit,
)

BARE = Visit(visit="a visit", day=date(2026, 5, 9), player=Player(name="Odd Marrow", handed="left"))
CLEARED = replace(BARE, screening="cleared")
KNOWN = Known(seed=11)


def step_words(visit: Visit, check: Check, known: Known = KNOWN) -> str:
    return visit_step(visit, check, known).what


def turns(*sides_and_deg: tuple[str, float]) -> tuple[TurnReading, ...]:
    return tuple(TurnReading(toward=s, turn_deg=d) for s, d in sides_and_deg)  # type: ignore[arg-type]


def test_a_bare_visit_begins_with_the_screening_and_holds_the_whole_hour() -> None:
    told = agenda(BARE, KNOWN)
    assert (told.next, told.minutes_open, told.minutes_left) == ("safety", 60, None)
    assert told.checks["safety"].step.state == "next"


def test_the_own_stance_comes_before_everything_else_that_is_measured() -> None:
    told = agenda(CLEARED, KNOWN)
    assert told.next == "as arrived"
    assert "before any coaching" in told.checks["as arrived"].step.why


def test_the_ball_is_asked_for_before_ground_and_hip_line() -> None:
    own = tuple(AsArrived(family=f, width_mm=300.0) for f in FAMILIES)
    sizes = tuple(
        BodySize(name=n, readings_mm=(1700.0, 1702.0)) for n in ("stature", "wrist_height", "hip_breadth")
    )
    visit = replace(
        CLEARED,
        as_arrived=own,
        body=BodyCheck(sizes=sizes, mass_kg=70.0),
        skipped={"hands": "no time", "own clubs": "no time"},
    )
    assert agenda(visit, KNOWN).next == "ball"


def test_when_time_is_short_the_cheapest_checks_are_named_to_leave_out() -> None:
    told = agenda(CLEARED, KNOWN, elapsed_min=50)
    # 58 minutes are open and 10 are left: what goes saves at least 48, or nothing more can go.
    assert told.minutes_left == 10
    assert told.leave_out[:3] == ("turn", "grip", "own clubs")
    assert "hip line" not in told.leave_out
    assert agenda(CLEARED, KNOWN, elapsed_min=0).leave_out == ()


def test_a_skip_says_what_it_costs_and_a_series_ended_early_says_what_it_left() -> None:
    left = visit_step(replace(CLEARED, skipped={"aim": "no time"}), "aim", KNOWN)
    assert (left.state, left.what, left.why) == ("skipped", "Left out: no time.", HOUR["aim"].price)
    tired = replace(
        CLEARED, turn=turns(("lead", 60.0), ("trail", 50.0), ("lead", 61.0)), skipped={"turn": "tired"}
    )
    ended = visit_step(tired, "turn", KNOWN)
    assert (ended.state, ended.what, ended.ended) == ("done", "Ended early: tired.", "tired")
    # sqrt(3 / 1) = 1.7 and sqrt(3 / 2) = 1.2
    assert "away from the target: 1 of 3, its error about 1.7 times as large" in ended.why
    assert "toward the target: 2 of 3, its error about 1.2 times as large" in ended.why


def test_turn_is_not_asked_of_a_player_who_is_measuring_only() -> None:
    step = visit_step(replace(BARE, screening="measuring only"), "turn", KNOWN)
    assert step.state == "not asked"
    assert visit_step(BARE, "turn", KNOWN).state == "waiting"


def test_sides_take_turns_in_rounds_and_the_series_ends_where_it_began() -> None:
    visit, asked = CLEARED, []
    while (step := visit_step(visit, "turn", KNOWN)).state != "done":
        asked.append(step.setting["toward"])
        visit = replace(visit, turn=(*visit.turn, *turns((asked[-1], 50.0))))
    assert len(asked) == 6
    assert {tuple(sorted(asked[i : i + 2])) for i in (0, 2, 4)} == {("lead", "trail")}
    assert asked[0] == asked[-1]
    firsts = {visit_step(CLEARED, "turn", replace(KNOWN, seed=s)).setting["toward"] for s in range(12)}
    assert firsts == {"lead", "trail"}


def test_two_turns_that_differ_are_settled_before_anything_new() -> None:
    visit = replace(CLEARED, turn=turns(("lead", 60.0), ("trail", 50.0), ("trail", 57.0)))
    step = visit_step(visit, "turn", KNOWN)
    assert step.repeats
    assert step.setting["toward"] == "trail"
    assert "the two readings differ by 7.0 deg" in step.why
    calmer = replace(KNOWN, errors=StudioErrors(turn_deg=4.0))
    assert not visit_step(visit, "turn", calmer).repeats


def test_a_turn_that_pain_stopped_ends_the_series() -> None:
    visit = replace(CLEARED, turn=(TurnReading(toward="lead", turn_deg=20.0, stopped_by_pain=True),))
    step = visit_step(visit, "turn", KNOWN)
    assert (step.state, step.what) == ("done", "End here.")


def placements(*standings: tuple[str, str]) -> tuple[Placement, ...]:
    return tuple(
        Placement(recording=f"{i}.parquet", stance=s, footwear=f)  # type: ignore[arg-type]
        for i, (s, f) in enumerate(standings)
    )


def test_the_mat_wants_the_own_stance_first_and_changes_shoes_once() -> None:
    visit, asked = CLEARED, []
    while (step := visit_step(visit, "ground", KNOWN)).state != "done":
        asked.append((step.setting["stance"], step.setting["footwear"]))
        visit = replace(visit, ground=placements(*asked))
    assert asked == [
        *[("as arrived", "golf shoes")] * 3,
        *[("fitted", "barefoot")] * 3,
        *[("fitted", "golf shoes")] * 3,
    ]


def test_a_placement_that_cannot_be_used_is_asked_for_again_with_its_reason() -> None:
    visit = replace(CLEARED, ground=placements(("as arrived", "golf shoes"), ("as arrived", "golf shoes")))
    step = visit_step(visit, "ground", replace(KNOWN, unusable={"1.parquet": "One foot is off the mat."}))
    assert step.what.startswith("Placement 2 of 3: golf shoes")
    assert step.why == "The last one cannot be used: One foot is off the mat."


def test_rest_is_due_after_every_fourth_standing_trial() -> None:
    four = placements(*[("as arrived", "golf shoes")] * 3, ("fitted", "barefoot"))
    assert visit_step(replace(CLEARED, ground=four), "ground", KNOWN).rest
    assert not visit_step(replace(CLEARED, ground=four[:3]), "ground", KNOWN).rest


def hip_line(*trials: tuple[float, float]) -> HipLineCheck:
    return HipLineCheck(
        landmark="back of the pelvis",
        trials=tuple(HipLineTrial(trial=i, width_mm=w, hip_line_deg=a) for i, (w, a) in enumerate(trials, 1)),
    )


def test_the_bar_is_asked_for_before_the_first_width() -> None:
    assert step_words(CLEARED, "hip line") == "Say what the bar touches."
    assert step_words(replace(CLEARED, hip_line=hip_line()), "hip line").startswith("Set the feet to ")


def test_a_width_whose_readings_differ_is_repeated_and_the_reason_says_by_how_much() -> None:
    visit = replace(CLEARED, hip_line=hip_line((430.0, 1.0), (430.0, 4.1)))
    known = replace(KNOWN, errors=StudioErrors(hip_line_deg=1.0))
    step = visit_step(visit, "hip line", known)
    assert (step.what, step.repeats) == ("Repeat 430 mm.", True)
    assert step.why.startswith("The two readings differ by 3.1 deg")
    assert step.ending == "Three widths are the least: no stance width is proposed."
    inches = visit_step(visit, "hip line", replace(known, system="inch quarters"))
    assert inches.what == "Repeat 17 in."


def test_a_ball_placed_twice_a_hand_apart_is_placed_again() -> None:
    ball = (BallPlace(family="irons", inside_lead_heel_mm=(100.0, 190.0), from_toe_line_mm=()),)
    step = visit_step(replace(CLEARED, ball=ball), "ball", KNOWN)
    assert (step.what, step.repeats) == ("Place the ball for the irons again.", True)
    assert "differ by 90 mm" in step.why


def test_a_size_read_twice_with_a_slip_is_read_a_third_time() -> None:
    sizes = (BodySize(name="stature", readings_mm=(1780.0, 1708.0)),)
    step = visit_step(replace(CLEARED, body=BodyCheck(sizes=sizes)), "body", KNOWN)
    assert step.what == "Measure stature a third time."
    assert "differ by 72 mm" in step.why


def test_three_addresses_are_enough() -> None:
    taken = tuple(PostureReading(family="irons", trunk_deg=35.0) for _ in range(3))
    assert step_words(replace(CLEARED, posture=taken[:2]), "posture").startswith("Address 3 of 3")
    assert visit_step(replace(CLEARED, posture=taken), "posture", KNOWN).state == "done"


def grips(*trials: tuple[int, str]) -> GripCheck:
    return GripCheck(
        trials=tuple(
            GripTrial(pair=n, club="7 iron", grip=g, hip_line_deg=1.0)  # type: ignore[arg-type]
            for n, g in trials
        )
    )


def test_a_half_pair_is_completed_and_pairs_take_turns() -> None:
    visit = replace(CLEARED, own_clubs=(OwnClub(mark="7 iron", family="irons"),))
    first = visit_step(visit, "grip", KNOWN).setting["grip"]
    half = visit_step(replace(visit, grip=grips((1, first))), "grip", KNOWN)
    assert half.setting["pair"] == "1"
    assert half.setting["grip"] != first
    next_pair = visit_step(replace(visit, grip=grips((1, "own"), (1, "proposed"))), "grip", KNOWN)
    assert (next_pair.setting["pair"], next_pair.setting["grip"] != first) == ("2", True)
    three = grips(*[(n, g) for n in (1, 2, 3) for g in ("own", "proposed")])
    assert visit_step(replace(visit, grip=three), "grip", KNOWN).state == "done"
    more = visit_step(replace(visit, grip=three), "grip", replace(KNOWN, grip_more={"7 iron": 4}))
    assert more.why == "The pairs so far do not tell: 4 more are expected to."


def aims(*conditions: str) -> AimCheck:
    return AimCheck(
        distance_m=2.0,
        trials=tuple(AimTrial(trial=i, offset_mm=1.0, condition=c) for i, c in enumerate(conditions, 1)),
    )


def test_ten_aims_as_arrived_come_before_any_other_condition() -> None:
    begun = replace(CLEARED, aim=aims(*["as arrived"] * 4, "line on the ball"))
    assert step_words(begun, "aim") == "Aim 5 of 10, as arrived."
    whole = replace(CLEARED, aim=aims(*["as arrived"] * 10, "line on the ball"))
    assert step_words(whole, "aim") == "Aim 2 of 10, line on the ball."


@pytest.mark.parametrize("check", sorted(HOUR))
def test_every_step_names_its_check_and_has_a_sentence(check: Check) -> None:
    step = visit_step(CLEARED, check, KNOWN)
    assert step.check == check
    assert step.what.endswith(".")
    assert step.why
    assert progress_of_step(step).state == step.state
