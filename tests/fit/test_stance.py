"""The whole search: answers, carried-over families, phases, next width, stop."""

from dataclasses import replace

import numpy as np
import pytest

from evenground.fit.stance import fit_stance
from evenground.fit.stance_types import StanceFit, StanceOptions
from evenground.plain import to_plain
from evenground.visit import FAMILIES, Family, HipLineTrial, Phase

LINE = [(300.0, -4.1), (500.0, 5.2), (400.0, 0.3), (380.0, -0.4), (390.0, 0.1), (410.0, 0.6), (300.0, -3.8)]
FAR = [(300.0, 9.5), (500.0, 11.0), (400.0, 10.2), (240.0, 9.0), (580.0, 10.5), (340.0, 9.8), (300.0, 10.0)]


def trials(
    rows: list[tuple[float, float]], *, family: Family | None = None, phase: Phase = "before", start: int = 1
) -> list[HipLineTrial]:
    return [
        HipLineTrial(trial=start + i, width_mm=w, hip_line_deg=a, family=family, phase=phase)
        for i, (w, a) in enumerate(rows)
    ]


def fit(given: list[HipLineTrial], *, options: StanceOptions | None = None, seed: int = 1) -> StanceFit:
    return fit_stance(
        given,
        options=options or StanceOptions(noise_deg=1.0),
        stature_mm=1780.0,
        as_arrived_mm={},
        rng=np.random.default_rng(seed),
    )


def test_the_plain_form_has_the_keys_that_others_rely_on() -> None:
    plain = to_plain(fit(trials(LINE[:4])))
    assert set(plain["families"]) == {"putter", "irons", "woods"}
    for answer in plain["families"].values():
        assert {"answer", "width_mm", "probability", "carried_over"} <= set(answer)
    assert set(plain["families"]["irons"]["width_mm"]) == {"value", "se", "dof", "n", "unit"}
    assert all(len(band) == 3 for band in plain["square_bands_mm"])
    assert set(plain["drift_deg_per_trial"]) == {"value", "se", "dof", "n", "unit"}
    assert {"width_mm", "gain", "reason"} <= set(plain["next"])
    assert set(plain["stop"]) == {"done", "reason"}
    assert set(plain["curve"][0]) == {"width_mm", "mean_deg", "sd_deg", "p_square"}


def test_a_clear_crossing_is_square_where_it_crosses() -> None:
    answer = fit(trials(LINE)).families["irons"]
    assert answer.answer == "square"
    assert answer.width_mm is not None
    assert answer.width_mm.value == pytest.approx(390.0, abs=20.0)
    assert answer.width_mm.se < 40.0


def test_hips_open_at_every_width_have_no_square_width() -> None:
    found = fit(trials(FAR))
    assert {a.answer for a in found.families.values()} == {"none"}
    assert all(a.width_mm is None for a in found.families.values())
    assert found.square_bands_mm == ()


def test_a_noisy_studio_hears_cannot_tell_and_not_square() -> None:
    answers = fit(trials(LINE[:4]), options=StanceOptions(noise_deg=4.5)).families
    assert answers["irons"].answer == "cannot tell"
    assert answers["irons"].width_mm is None


def test_two_square_widths_make_two_bands() -> None:
    rows = [(240.0, 6.0), (320.0, 0.0), (410.0, -7.0), (500.0, 0.0), (580.0, 6.0)]
    rows += [(w, a) for w, a in rows for _ in range(3)]
    bands = fit(trials(rows), options=StanceOptions(noise_deg=1.0, budget_before=50)).square_bands_mm
    assert len(bands) == 2
    assert bands[0][0] <= 320.0 <= bands[0][1] < 410.0 < bands[1][0] <= 500.0 <= bands[1][1]


def test_trials_without_a_family_serve_all_and_nothing_is_carried_over() -> None:
    found = fit(trials(LINE))
    assert not any(a.carried_over for a in found.families.values())
    assert "one-curve-for-all" in {f.code for f in found.flags}


def test_a_family_without_trials_borrows_with_more_doubt_and_says_so() -> None:
    found = fit(trials(LINE, family="irons"))
    own, borrowed = found.families["irons"], found.families["woods"]
    assert (own.carried_over, borrowed.carried_over) == (False, True)
    assert borrowed.borrowed_from == "irons"
    assert borrowed.probability < own.probability
    curves = {c.families[0]: c.curve for c in found.conditions}
    for mine, theirs in zip(curves["irons"], curves["woods"], strict=True):
        assert theirs.mean_deg == pytest.approx(mine.mean_deg, abs=1e-9)
        assert theirs.sd_deg > mine.sd_deg


def test_families_with_trials_of_their_own_keep_their_own_curves() -> None:
    putter = trials([(w - 100.0, a) for w, a in LINE], family="putter", start=8)
    found = fit(trials(LINE, family="irons") + putter)
    widths = {f: found.families[f].best_width_mm for f in ("putter", "irons")}
    assert widths["irons"] - widths["putter"] == pytest.approx(100.0, abs=30.0)
    assert found.families["woods"].borrowed_from == "irons"
    assert not found.families["putter"].carried_over


def test_one_own_trial_is_used_beside_the_neighbours_curve() -> None:
    one = HipLineTrial(trial=8, width_mm=400.0, hip_line_deg=6.0, family="woods")
    alone = fit(trials(LINE, family="irons"))
    found = fit([*trials(LINE, family="irons"), one])
    at = [p.width_mm for p in found.curve].index(400.0)
    before, after = (
        next(c.curve for c in f.conditions if c.families == ("woods",))[at].mean_deg for f in (alone, found)
    )
    assert after > before + 1.0
    assert not found.families["woods"].carried_over
    assert "leans-on-neighbour" in {f.code for f in found.flags}


def test_widths_keep_their_order_unless_told_otherwise() -> None:
    wide_putter = trials([(w + 60.0, a) for w, a in LINE], family="putter", start=8)
    given = trials(LINE, family="irons") + wide_putter
    kept = fit(given).families
    free = fit(given, options=StanceOptions(noise_deg=1.0, keep_order=False)).families
    assert kept["putter"].best_width_mm <= kept["irons"].best_width_mm <= kept["woods"].best_width_mm
    assert free["putter"].best_width_mm > free["irons"].best_width_mm


def test_mirrored_trials_mirror_the_curve_and_keep_every_answer() -> None:
    one = fit(trials(LINE[:5]))
    other = fit([replace(t, hip_line_deg=-t.hip_line_deg) for t in trials(LINE[:5])])
    assert to_plain(other.families) == to_plain(one.families)
    assert other.next == one.next
    assert [p.mean_deg for p in other.curve] == pytest.approx([-p.mean_deg for p in one.curve], abs=1e-9)


def test_trials_may_come_in_any_order_of_lines() -> None:
    assert to_plain(fit(trials(LINE)[::-1])) == to_plain(fit(trials(LINE)))


def test_the_same_seed_gives_the_same_answer() -> None:
    assert fit(trials(LINE[:4]), seed=7) == fit(trials(LINE[:4]), seed=7)


def test_the_series_closes_on_its_first_width_before_it_stops() -> None:
    unclosed = fit(trials(LINE[:6]))
    assert not unclosed.stop.done
    assert unclosed.next is not None
    assert unclosed.next.width_mm == 300.0
    assert "first width" in unclosed.next.reason
    closed = fit(trials(LINE))
    assert closed.stop.done
    assert closed.next is None


def test_the_last_trial_of_the_budget_is_the_closing_one() -> None:
    vague = [
        (300.0, -6.0),
        (500.0, 6.0),
        (400.0, 3.0),
        (350.0, -5.0),
        (450.0, 8.0),
        (380.0, -3.0),
        (420.0, 4.0),
    ]
    options = StanceOptions(noise_deg=4.5)
    last = fit(trials(vague), options=options)
    assert last.next is not None
    assert last.next.width_mm == 300.0
    over = fit(trials([*vague, (300.0, -5.0)]), options=options)
    assert over.stop.done
    assert over.next is None
    assert "8 trials" in over.stop.reason


def test_an_unsettled_series_proposes_a_width_in_a_window_with_its_gain() -> None:
    found = fit(trials([(300.0, -4.0), (540.0, 6.0), (410.0, 2.5)]), options=StanceOptions(noise_deg=2.0))
    assert found.next is not None
    assert found.next.gain >= 0.02
    assert 300.0 < found.next.width_mm < 410.0
    assert f"{found.next.width_mm:.0f} mm" in found.next.reason


def test_the_next_trial_is_asked_of_a_family_that_is_being_measured() -> None:
    found = fit(trials(LINE[:3], family="irons"), options=StanceOptions(noise_deg=2.0))
    assert found.next is not None
    assert found.next.family == "irons"
    window = found.families["irons"].window_mm
    assert window.low_mm <= found.next.width_mm <= window.high_mm


def test_answers_come_from_before_the_routine_and_the_change_is_given_with_its_error() -> None:
    after = trials([(w, a + 5.0) for w, a in LINE[:4]], phase="after")
    found = fit(trials(LINE) + after)
    assert found.phase == "before"
    assert found.families["irons"].best_width_mm == pytest.approx(390.0, abs=20.0)
    assert {c.phase for c in found.conditions} == {"before", "after"}
    change = found.change[0].change_deg
    assert change.value == pytest.approx(5.0, abs=2.0 * change.se + 0.5)
    assert found.change[0].p_square_after < 0.1 < 0.9 < found.change[0].p_square_before


def test_answers_can_be_taken_from_after_the_routine() -> None:
    after = trials([(w, a + 3.0) for w, a in LINE], phase="after")
    options = StanceOptions(noise_deg=1.0, use_phase="after")
    found = fit(trials(LINE) + after, options=options)
    assert found.phase == "after"
    assert found.families["irons"].best_width_mm < 360.0


def test_a_series_after_the_routine_has_its_own_budget() -> None:
    found = fit(trials(LINE) + trials(LINE[:4], phase="after"))
    assert found.stop.done
    assert "4 trials" in found.stop.reason


def test_missing_stature_is_flagged_and_the_default_stated() -> None:
    found = fit_stance(
        trials(LINE), options=StanceOptions(), stature_mm=None, as_arrived_mm={}, rng=np.random.default_rng(1)
    )
    assert found.stature_assumed
    assert found.stature_mm == 1700.0
    assert any("1700 mm" in f.text for f in found.flags)


def test_trials_that_confirm_a_width_do_not_enter_the_search() -> None:
    extra = HipLineTrial(trial=9, width_mm=390.0, hip_line_deg=30.0, confirms=True)
    assert to_plain(fit([*trials(LINE), extra])) == to_plain(fit(trials(LINE)))


def test_every_probability_is_one() -> None:
    found = fit(trials(LINE[:5]))
    values = [p.p_square for p in found.curve]
    values += [p for a in found.families.values() for p in (a.probability, a.any_square)]
    assert all(0.0 <= v <= 1.0 for v in values)
    assert all(found.families[f].any_square >= found.families[f].probability for f in FAMILIES)
