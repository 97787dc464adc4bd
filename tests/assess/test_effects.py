from dataclasses import replace
from datetime import date

import pytest

from evenground.assess.effects import effects_of
from evenground.visit import (
    AimCheck,
    AimTrial,
    GripCheck,
    GripTrial,
    HipLineCheck,
    HipLineTrial,
    Player,
    StudioErrors,
    StudioSnapshot,
    TurnReading,
    Visit,
)

TRIALS = tuple(
    HipLineTrial(trial=i, width_mm=w, hip_line_deg=d)
    for i, (w, d) in enumerate([(300, 1.0), (400, 4.2), (300, 0.6), (400, 3.9), (350, 2.4), (350, 2.9)], 1)
)
VISIT = Visit(
    visit="2026-03-09-a",
    day=date(2026, 3, 9),
    player=Player(name="Ilvy Tarrowmere", handed="right"),
    screening="cleared",
    hip_line=HipLineCheck(landmark="front", trials=TRIALS),
)


def test_the_width_of_a_visit_moves_its_hip_line_and_the_shoes_were_never_varied() -> None:
    found = effects_of(VISIT, StudioSnapshot()).found["hip line"]
    assert found.effects[0].condition == "width_mm"
    assert found.effects[0].change is not None
    assert found.effects[0].change.value == pytest.approx(3.2, abs=0.4)
    assert ("footwear", "golf shoes") in found.never_varied


def test_the_studios_error_is_taken_into_the_effects() -> None:
    errors = StudioErrors(hip_line_deg=1.3)
    assert effects_of(VISIT, StudioSnapshot(errors=errors)).found["hip line"].noise_sd == pytest.approx(1.3)


def test_trials_after_the_routine_count_only_when_the_screening_cleared_the_player() -> None:
    late = tuple(replace(t, trial=t.trial + 6, phase="after", hip_line_deg=9.0 + t.trial % 2) for t in TRIALS)
    check = replace(VISIT.hip_line or HipLineCheck(landmark="", trials=()), trials=(*TRIALS, *late))
    both = [
        effects_of(replace(VISIT, hip_line=check, screening=s), StudioSnapshot()).found["hip line"].trials
        for s in ("cleared", "measuring only")
    ]
    assert both == [12, 6]


def test_grips_are_told_within_their_pairs() -> None:
    grip = GripCheck(
        trials=tuple(
            GripTrial(
                pair=k,
                club="7 iron",
                grip="proposed" if more else "own",
                hip_line_deg=4.0 * k + more * (0.5 + 0.1 * k),
            )
            for k in (1, 2, 3)
            for more in (0, 1)
        )
    )
    found = effects_of(replace(VISIT, grip=grip), StudioSnapshot()).found["hip line, hand on the club"]
    assert found.placements == 3
    assert found.effects[0].change is not None
    assert found.effects[0].change.value == pytest.approx(0.7)


def test_a_turn_that_pain_stopped_counts_for_nothing() -> None:
    turns = tuple(TurnReading(toward=s, turn_deg=50.0 + k) for k in (0.0, 2.0) for s in ("lead", "trail"))
    hurt = TurnReading(toward="lead", turn_deg=10.0, stopped_by_pain=True)
    found = effects_of(replace(VISIT, turn=(*turns, hurt)), StudioSnapshot()).found["turn"]
    assert found.trials == 4


@pytest.mark.parametrize(("handed", "sign"), [("right", 1.0), ("left", -1.0)])
def test_an_aim_further_right_is_open_for_a_right_handed_player_alone(handed: str, sign: float) -> None:
    aims = [(10.0, "as arrived"), (12.0, "as arrived"), (45.0, "line"), (47.0, "line"), (46.0, "line")]
    check = AimCheck(
        distance_m=2.0,
        trials=tuple(AimTrial(trial=i, offset_mm=o, condition=c) for i, (o, c) in enumerate(aims, 1)),
    )
    player = replace(VISIT.player, handed=handed)  # type: ignore[arg-type]
    found = effects_of(replace(VISIT, player=player, aim=check), StudioSnapshot()).found["aim"]
    change = next(e.change for e in found.effects if e.condition == "condition")
    assert change is not None
    assert change.value * sign < 0.0  # from line, which is commoner, back to as arrived


def test_a_response_read_too_seldom_says_why() -> None:
    one = replace(VISIT.hip_line or HipLineCheck(landmark="", trials=()), trials=TRIALS[:1])
    told = effects_of(replace(VISIT, hip_line=one), StudioSnapshot())
    assert told.found == {}
    assert "cannot tell" in told.not_told["hip line"]
