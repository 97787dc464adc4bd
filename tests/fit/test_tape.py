"""The tape as finished grips tell it."""

import math
import pickle
from dataclasses import replace

import numpy as np
import pytest
import statsmodels.api as sm  # type: ignore[import-untyped]  # it has no types

from evenground.estimate import Estimate
from evenground.fit.grip import installed_mm
from evenground.fit.grip_types import HandLaw
from evenground.fit.tape import AsBuilt, NothingBuiltError, law_mm, learn_tape
from evenground.stock import Tape

TAPE = Tape(double_sided_mm=0.127, build_up_mm=0.127, layer_mass_g=1.5, most_layers=8)
LAW = HandLaw(station_mm=50.8, layers=4, rubber_mm2=22.86**2 - 14.73**2, shaft_mm=15.2, other_se_mm=0.16)


def back(size_mm: float, law: HandLaw = LAW, piece: str = "a", se: float = 0.2) -> AsBuilt:
    return AsBuilt(piece=piece, law=law, measured_mm=Estimate(value=size_mm, se=se, unit="mm"))


def test_the_law_is_that_of_the_build() -> None:
    assert law_mm(LAW, 0.1, 0.2) == pytest.approx(installed_mm(22.86, 14.73, 15.2, tape_mm=0.7))


def test_what_came_back_as_expected_leaves_the_tape_and_narrows_its_error() -> None:
    learned = learn_tape(TAPE, [back(law_mm(LAW, 0.127, 0.127))])
    assert learned.fits
    assert learned.double_sided_mm.value == pytest.approx(0.127, abs=1e-9)
    assert learned.build_up_mm.value == pytest.approx(0.127, abs=1e-9)
    assert learned.build_up_mm.se < 0.0127


@pytest.mark.parametrize(("off", "sign"), [(0.3, 1), (-0.3, -1)])
def test_thicker_than_ordered_means_thicker_tape(off: float, sign: int) -> None:
    learned = learn_tape(TAPE, [back(law_mm(LAW, 0.127, 0.127) + off)])
    assert sign * (learned.build_up_mm.value - 0.127) > 0.001
    assert sign * (learned.double_sided_mm.value - 0.127) > 0.0
    assert learned.tape.build_up_mm == learned.build_up_mm.value
    assert learned.tape.build_up_se_mm == learned.build_up_mm.se


def test_many_grips_find_the_true_tape() -> None:
    rng = np.random.default_rng(20260401)
    readings = []
    for i in range(400):
        law = replace(LAW, layers=int(rng.integers(1, 8)))
        readings.append(
            back(law_mm(law, 0.14, 0.11) + rng.normal(0, math.hypot(0.16, 0.2)), law, piece=str(i))
        )
    learned = learn_tape(TAPE, readings)
    assert learned.build_up_mm.se < 0.004  # a third of the tenth of a layer that is unknown at first
    assert learned.double_sided_mm.value == pytest.approx(0.14, abs=3 * learned.double_sided_mm.se)
    assert learned.build_up_mm.value == pytest.approx(0.11, abs=3 * learned.build_up_mm.se)
    assert learned.pieces == 400


def test_it_is_weighted_least_squares_of_readings_and_prior() -> None:
    # statsmodels' WLS on the law made straight at the answer, with the prior as two rows more.
    laws = [replace(LAW, layers=n) for n in (1, 3, 6)]
    readings = [
        back(law_mm(law, 0.127, 0.127) + off, law, piece=str(off))
        for law, off in zip(laws, (0.1, 0.35, 0.3), strict=True)
    ]
    learned = learn_tape(TAPE, readings)
    at = (learned.double_sided_mm.value, learned.build_up_mm.value)
    rows, seen = [], []
    for r in readings:
        inside = r.law.shaft_mm + 2 * (at[0] + (r.law.layers - 1) * at[1])
        row = [2 * inside / law_mm(r.law, *at) * k for k in (1, r.law.layers - 1)]
        rows.append(row)
        seen.append(r.measured_mm.value - law_mm(r.law, *at) + row[0] * at[0] + row[1] * at[1])
    weights = [1 / (0.2**2 + 0.16**2)] * 3 + [1 / 0.0127**2] * 2
    fit = sm.WLS([*seen, 0.127, 0.127], [*rows, [1, 0], [0, 1]], weights=weights).fit()
    assert at == pytest.approx(tuple(fit.params), rel=1e-6)
    ses = np.sqrt(np.diag(fit.normalized_cov_params))
    assert (learned.double_sided_mm.se, learned.build_up_mm.se) == pytest.approx(tuple(ses), rel=1e-6)


def test_both_hands_of_one_grip_count_for_less_than_two_grips() -> None:
    size = law_mm(LAW, 0.127, 0.127)
    one = learn_tape(TAPE, [back(size, piece="a"), back(size, piece="a")])
    two = learn_tape(TAPE, [back(size, piece="a"), back(size, piece="b")])
    assert two.build_up_mm.se < one.build_up_mm.se


def test_a_size_that_no_tape_explains_is_told_and_changes_nothing() -> None:
    learned = learn_tape(TAPE, [back(law_mm(LAW, 0.127, 0.127) + 2.0)])
    assert not learned.fits
    assert learned.tape == TAPE
    assert learned.chance < 0.001


def test_nothing_to_learn_from_is_refused() -> None:
    with pytest.raises(NothingBuiltError, match="No finished grip was measured") as caught:
        learn_tape(TAPE, [])
    assert str(pickle.loads(pickle.dumps(caught.value))) == str(caught.value)  # noqa: S301 - our own bytes
