"""Several conditions in one model, the rest-only control, the teacher's list, a least turn."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from numpy.testing import assert_allclose

from evenground.fit.stance import fit_stance
from evenground.fit.stance_check import StanceOptionError
from evenground.fit.stance_conditions import condition_loads, varied_conditions
from evenground.fit.stance_next import first_widths
from evenground.fit.stance_turn import TooFewTurnsError, turn_line
from evenground.fit.stance_types import StanceFit, StanceOptions
from evenground.visit import HipLineTrial, TurnReading

WIDTHS = (280.0, 410.0, 540.0, 345.0, 475.0, 310.0, 440.0, 380.0)


def hip_deg(width_mm: float) -> float:
    """Square at 430 mm."""
    return (430.0 - width_mm) / 50.0


def trials(
    extra: Callable[[int], tuple[float, dict[str, Any]]] = lambda _: (0.0, {}), *, noise_deg: float = 0.3
) -> list[HipLineTrial]:
    """A trial at each width; `extra` adds to the angle and says under which condition."""
    rng = np.random.default_rng(3)
    found = []
    for i, width in enumerate(WIDTHS, 1):
        more, fields = extra(i)
        angle = hip_deg(width) + more + noise_deg * rng.standard_normal()
        found.append(HipLineTrial(trial=i, width_mm=width, hip_line_deg=angle, **fields))
    return found


def fit(taken: Sequence[HipLineTrial], *, turns: Sequence[TurnReading] = (), **options: Any) -> StanceFit:
    return fit_stance(
        taken,
        options=StanceOptions(**{"noise_deg": 1.0, "budget_before": 40, **options}),
        stature_mm=1780.0,
        as_arrived_mm={},
        rng=np.random.default_rng(5),
        turns=turns,
    )


def test_shoes_that_open_the_hips_are_told_apart_from_the_width() -> None:
    taken = trials(
        lambda i: (3.0 * (i % 2), {"footwear": "barefoot" if i % 2 else "golf shoes"}), noise_deg=0.3
    )
    found = fit([*taken, replace(taken[1], trial=9)])
    (effect,) = found.effects
    assert (effect.name, effect.reference, effect.level) == ("footwear", "golf shoes", "barefoot")
    assert effect.effect_deg.interval().holds(3.0)
    assert effect.effect_deg.value == pytest.approx(3.0, abs=1.0)  # four trials each, SD 1 assumed
    assert found.families["irons"].best_width_mm == pytest.approx(430.0, abs=30.0)
    assert "the answers hold for golf shoes" in " ".join(f.text for f in found.flags)


def test_a_toe_out_that_turns_the_hips_is_told_for_ten_degrees() -> None:
    found = fit(trials(lambda i: (0.15 * (10.0 * (i % 3)), {"toe_out_deg": 10.0 * (i % 3)})))
    (effect,) = found.effects
    assert (effect.name, effect.level) == ("toe-out", "10 deg more")
    assert effect.effect_deg.value == pytest.approx(1.5, abs=0.5)
    assert effect.effect_deg.interval().holds(1.5)


def test_a_condition_that_does_nothing_has_an_interval_with_zero_in_it() -> None:
    found = fit(trials(lambda i: (0.0, {"hands": "on the club" if i % 2 else "hanging"})))
    assert found.effects[0].effect_deg.interval().holds(0.0)


def test_what_was_not_varied_leaves_every_number_as_it_was() -> None:
    plain = fit(trials())
    told = fit(trials(lambda _: (0.0, {"footwear": "barefoot", "ball_mm": 120.0})))
    assert told == plain
    assert plain.effects == ()


def test_a_mirrored_series_mirrors_every_effect() -> None:
    taken = trials(lambda i: (2.0 * (i % 2), {"ball_mm": 100.0 + 50.0 * (i % 2)}))
    one = fit(taken)
    other = fit([replace(t, hip_line_deg=-t.hip_line_deg) for t in taken])
    assert other.effects[0].effect_deg.value == pytest.approx(-one.effects[0].effect_deg.value, abs=1e-9)
    assert other.effects[0].effect_deg.se == pytest.approx(one.effects[0].effect_deg.se, abs=1e-9)


def test_the_reference_is_what_most_trials_have_and_carries_no_load() -> None:
    taken = trials(lambda i: (0.0, {"footwear": "barefoot" if i < 3 else "golf shoes"}))
    (condition,) = varied_conditions(taken)
    assert (condition.reference, condition.trials) == ("golf shoes", 2)
    assert_allclose([condition_loads((condition,), t)[0] for t in taken], [1, 1, 0, 0, 0, 0, 0, 0])


def test_a_word_on_some_trials_only_is_compared_with_how_the_check_was_set_up() -> None:
    taken = trials(lambda i: (0.0, {"footwear": "barefoot"} if i < 3 else {}))
    (condition,) = varied_conditions(taken)
    assert (condition.reference, condition.level) == ("as set up", "barefoot")


def before_and(phase: str, change_deg: float) -> list[HipLineTrial]:
    before = trials()
    later = [
        HipLineTrial(trial=20 + i, width_mm=w, hip_line_deg=hip_deg(w) + change_deg, phase=phase)  # type: ignore[arg-type]
        for i, w in enumerate((430.0, 350.0, 500.0, 430.0))
    ]
    return [*before, *later]


def test_a_rest_is_worked_out_as_the_routine_is_and_stands_beside_it() -> None:
    routine, rest = fit(before_and("after", 2.5)), fit(before_and("rested", 2.5))
    assert (routine.control, rest.change) == ((), ())
    for one, other in zip(routine.change, rest.control, strict=True):
        assert one.change_deg.value == pytest.approx(other.change_deg.value, abs=1e-9)
        assert one.change_deg.se == pytest.approx(other.change_deg.se, abs=1e-9)
    assert rest.control[0].shows


def test_with_both_the_routine_is_told_beyond_the_rest() -> None:
    rested = [t for t in before_and("rested", 1.0) if t.phase == "rested"]
    after = [replace(t, trial=t.trial + 10) for t in before_and("after", 3.0) if t.phase == "after"]
    found = fit([*before_and("rested", 1.0), *after])
    assert len(rested) == 4
    change, control = found.change[0], found.control[0]
    assert change.beyond_rest_deg is not None
    assert change.beyond_rest_deg.value == pytest.approx(
        change.change_deg.value - control.change_deg.value, abs=1e-6
    )
    assert change.beyond_rest_deg.value == pytest.approx(2.0, abs=0.5)


def test_answers_never_come_from_the_rested_phase_unless_nothing_else_was_taken() -> None:
    assert fit(before_and("rested", 4.0)).phase == "before"


def test_only_widths_of_the_teachers_list_are_chosen_and_asked_for() -> None:
    listed = (318.0, 406.0, 457.0)
    taken = [replace(t, width_mm=listed[t.trial % 3]) for t in trials()]
    found = fit(taken, allowed_mm=listed, noise_deg=3.0)
    assert {a.best_width_mm for a in found.families.values()} <= set(listed)
    assert found.next is not None
    assert found.next.width_mm in listed
    assert any(f.code == "own-list" for f in found.flags)
    firsts = first_widths(1780.0, step_mm=10.0, rng=np.random.default_rng(1), allowed_mm=listed)
    assert sorted(firsts) == sorted(listed)


def test_a_list_that_misses_a_window_stretches_it_to_the_nearest_width() -> None:
    found = fit(trials(), allowed_mm=(600.0,))
    assert {a.best_width_mm for a in found.families.values()} == {600.0}


def test_a_listed_width_that_nobody_stands_at_is_refused() -> None:
    with pytest.raises(StanceOptionError, match="16"):
        fit(trials(), allowed_mm=(16.0, 410.0))


def turned(*pairs: tuple[float, float]) -> list[TurnReading]:
    return [TurnReading(toward="trail", turn_deg=d, width_mm=w) for w, d in pairs]


# A player who loses 10 deg of turn over 100 mm of width: 60 deg at 300 mm, 40 at 500.
TURNS = turned((300.0, 60.0), (500.0, 40.0), (300.0, 60.4), (500.0, 39.6), (400.0, 50.0))


def test_a_least_turn_moves_the_width_to_where_both_are_to_be_had() -> None:
    taken = trials()
    free = fit(taken, turns=TURNS)
    bound = fit(taken, turns=TURNS, turn_at_least_deg=52.0)
    assert free.families["irons"].best_width_mm > bound.families["irons"].best_width_mm
    assert bound.families["irons"].probability < free.families["irons"].probability
    assert all(b.p_square <= f.p_square + 1e-12 for f, b in zip(free.curve, bound.curve, strict=True))
    assert "deg of turn away from the target" in " ".join(f.text for f in bound.flags)


def test_a_least_turn_that_is_always_there_changes_nothing_that_can_be_seen() -> None:
    taken = trials()
    free, bound = fit(taken, turns=TURNS), fit(taken, turns=TURNS, turn_at_least_deg=5.0)
    assert bound.families["irons"].best_width_mm == free.families["irons"].best_width_mm
    assert bound.families["irons"].probability == pytest.approx(free.families["irons"].probability, abs=0.02)


def test_a_least_turn_without_turns_at_a_width_is_refused_in_a_sentence() -> None:
    with pytest.raises(TooFewTurnsError, match="Turn twice or more to that side"):
        fit(trials(), turn_at_least_deg=50.0)


def test_turns_stopped_by_pain_or_of_the_other_side_do_not_count() -> None:
    other = [replace(t, toward="lead") for t in TURNS]
    stopped = [replace(t, stopped_by_pain=True) for t in TURNS]
    with pytest.raises(TooFewTurnsError):
        turn_line([*other, *stopped], at_least_deg=50.0, toward="trail")


def test_the_turn_line_is_the_bayesian_straight_line_of_another_library() -> None:
    # scikit-learn's kernel form of the same prior: a level with SD 1e3 and slope SD 5 deg per 100 mm.
    from sklearn.gaussian_process import GaussianProcessRegressor
    from sklearn.gaussian_process.kernels import ConstantKernel, DotProduct

    line = turn_line(TURNS, at_least_deg=50.0, toward="trail")
    x = np.array([[(t.width_mm or 0.0) - line.centre_mm] for t in TURNS]) / 100.0
    kernel = ConstantKernel(1e6, "fixed") + ConstantKernel(25.0, "fixed") * DotProduct(0.0, "fixed")
    other = GaussianProcessRegressor(kernel, alpha=2.1**2, optimizer=None).fit(x, [t.turn_deg for t in TURNS])
    at = np.array([280.0, 410.0, 520.0])
    mean, sd = other.predict(((at - line.centre_mm) / 100.0)[:, None], return_std=True)
    from scipy.special import ndtr

    assert_allclose(line.chance(at), ndtr((mean - 50.0) / sd), atol=1e-3)


def test_drawn_lines_leave_turn_as_often_as_the_chance_says() -> None:
    line = turn_line(TURNS, at_least_deg=50.0, toward="trail")
    at = np.array([350.0, 400.0, 450.0])
    drawn = line.draws(at, 20_000, np.random.default_rng(2))
    assert_allclose(drawn.mean(0), line.chance(at), atol=0.015)  # four SDs of a share of 20,000


def test_what_the_others_expect_is_what_a_fit_without_the_trial_predicts() -> None:
    # Slow twin: each trial really left out, same sets.
    from evenground.fit.stance_layout import lay_out
    from evenground.fit.stance_model import fit_trials
    from evenground.fit.stance_slips import left_out

    taken = trials(noise_deg=1.0)
    options = StanceOptions()
    layout, points, y = lay_out(taken, options=options, centre_mm=400.0)
    mean, sd = left_out(fit_trials(layout.prior, points, y), y)
    for i in range(len(taken)):
        keep = np.arange(len(taken)) != i
        part = replace(
            points, width_mm=points.width_mm[keep], late=points.late[keep], loads=points.loads[keep]
        )
        if points.own_sd is not None:
            part = replace(part, own_sd=points.own_sd[keep])
        fitted = fit_trials(layout.prior, part, y[keep])
        one = replace(
            points, width_mm=points.width_mm[[i]], late=points.late[[i]], loads=points.loads[[i]], own_sd=None
        )
        seen = fitted.project(one)
        middle = fitted.weight @ seen.mean[:, 0]
        variance = fitted.variance(seen)[:, 0] + fitted.noise_sd**2
        spread = fitted.weight @ (variance + (seen.mean[:, 0] - middle) ** 2)
        assert mean[i] == pytest.approx(middle, abs=1e-6)
        assert sd[i] == pytest.approx(spread**0.5, abs=1e-6)
