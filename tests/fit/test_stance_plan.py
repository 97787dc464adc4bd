"""The hip-line check step by step: what to set next."""

import numpy as np

from evenground.fit.stance import fit_stance
from evenground.fit.stance_plan import PlannedTrial, plan_trial
from evenground.fit.stance_types import StanceFit, StanceOptions
from evenground.visit import Family, HipLineTrial, Phase

ARRIVED: dict[Family, float] = {"irons": 350.0}


def hip_deg(width_mm: float) -> float:
    """A player whose hips are square at 430 mm, two degrees open 100 mm below it."""
    return (430.0 - width_mm) / 50.0


def fitted(trials: list[HipLineTrial]) -> StanceFit | None:
    searching = [t for t in trials if not t.confirms]
    if len(searching) < 3:
        return None
    return fit_stance(
        searching,
        options=StanceOptions(noise_deg=1.0),
        stature_mm=1780.0,
        as_arrived_mm=ARRIVED,
        rng=np.random.default_rng(4),
    )


def planned(trials: list[HipLineTrial], *, seed: int = 7, phase: Phase = "before") -> PlannedTrial | None:
    return plan_trial(
        trials, fitted(trials), stature_mm=1780.0, as_arrived_mm=ARRIVED, phase=phase, seed=seed
    )


def walked() -> tuple[list[PlannedTrial], list[HipLineTrial]]:
    """Do what is planned until nothing is left."""
    plans: list[PlannedTrial] = []
    trials: list[HipLineTrial] = []
    while (plan := planned(trials)) is not None and len(trials) < 30:
        plans.append(plan)
        trials.append(
            HipLineTrial(
                trial=len(trials) + 1,
                width_mm=plan.width_mm,
                hip_line_deg=hip_deg(plan.width_mm),
                family=plan.family,
                confirms=plan.confirms,
            )
        )
    return plans, trials


def test_three_different_widths_come_first() -> None:
    plans, _ = walked()
    assert [p.part for p in plans[:4]] == ["first widths"] * 3 + ["search"]
    assert len({p.width_mm for p in plans[:3]}) == 3


def test_the_first_widths_keep_their_order_on_every_screen() -> None:
    assert planned([]) == planned([])
    assert len({planned([], seed=s).width_mm for s in range(8)}) == 3  # type: ignore[union-attr]


def test_a_search_that_found_a_width_ends_in_six_mixed_placements() -> None:
    plans, trials = walked()
    confirming = [p for p in plans if p.confirms]
    assert [p.place for p in confirming] == [1, 2, 3, 4, 5, 6]
    chosen = [p.width_mm for p in confirming if p.width_mm != 350.0]
    assert len(chosen) == 3
    assert abs(chosen[0] - 430.0) <= 30.0
    assert planned(trials) is None


def test_after_the_routine_the_chosen_width_comes_first() -> None:
    _, trials = walked()
    plan = planned(trials, phase="after")
    assert plan is not None
    assert (plan.phase, plan.part, plan.confirms) == ("after", "after the routine", False)
    assert abs(plan.width_mm - 430.0) <= 30.0


def test_two_readings_that_differ_are_repeated_before_the_search_goes_on() -> None:
    angles = ((300.0, 2.6), (430.0, 1.0), (560.0, -2.6), (430.0, 7.1))
    trials = [HipLineTrial(trial=i, width_mm=w, hip_line_deg=a) for i, (w, a) in enumerate(angles, 1)]
    plan = planned(trials)
    assert plan is not None
    assert (plan.part, plan.width_mm) == ("repeat", 430.0)
    assert plan.reason == "The two readings differ by 6.1 deg: a third tells which of them to doubt."
    third = HipLineTrial(trial=5, width_mm=430.0, hip_line_deg=1.4)
    settled = planned([*trials, third])
    assert settled is None or settled.part != "repeat"


def test_two_readings_within_the_usual_error_are_not_repeated() -> None:
    angles = ((300.0, 2.6), (430.0, 1.0), (560.0, -2.6), (430.0, 4.1))
    trials = [HipLineTrial(trial=i, width_mm=w, hip_line_deg=a) for i, (w, a) in enumerate(angles, 1)]
    plan = planned(trials)
    assert plan is None or plan.part != "repeat"


def test_after_a_rest_the_chosen_width_comes_first_too() -> None:
    _, trials = walked()
    plan = planned(trials, phase="rested")
    assert plan is not None
    assert (plan.phase, plan.part) == ("rested", "after a rest")
