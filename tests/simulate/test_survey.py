"""Bodies drawn as the survey spreads them."""

import numpy as np
import pytest

from evenground.simulate.survey import SIZES, Reference, draw_body, survey

SEXES = pytest.mark.parametrize("reference", ["women", "men"])


@SEXES
def test_correlations_can_be_those_of_real_sizes(reference: Reference) -> None:
    table = survey(reference)
    assert (table.correlation == table.correlation.T).all()
    assert (np.diag(table.correlation) == 1.0).all()
    assert np.linalg.eigvalsh(table.correlation).min() > 0.0


@SEXES
def test_drawn_bodies_spread_as_the_survey_does(reference: Reference) -> None:
    rng = np.random.default_rng(20260509)
    table = survey(reference)
    bodies = [draw_body(rng, reference) for _ in range(2000)]
    drawn = np.array([[body[name] for name in SIZES] for body in bodies])
    # Four errors of n draws: of a mean SD / sqrt(n), of an SD 1 / sqrt(2 n), of a correlation 1 / sqrt(n).
    # That nothing lies past 3.5 SD narrows the SD by under 1 % more.
    assert (np.abs(drawn.mean(axis=0) - table.mean) < 4.0 * table.sd / 2000**0.5).all()
    assert drawn.std(axis=0) == pytest.approx(table.sd, rel=4.0 / 4000**0.5 + 0.01)
    assert np.corrcoef(drawn.T) == pytest.approx(table.correlation, abs=4.0 / 2000**0.5)


@SEXES
def test_palm_is_always_shorter_than_the_hand(reference: Reference) -> None:
    for seed in range(200):
        body = draw_body(np.random.default_rng(seed), reference)
        assert body["palm_length_mm"] < body["hand_length_mm"]
