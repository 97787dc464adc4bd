"""Sizes together: the fast path against plain conditional normals; gaps, errors, and sums in the table."""

import numpy as np
import pytest
from scipy.stats import chi2, multivariate_normal, norm

from evenground.body.joint import distance_limit, off_limit_sd, plausibility, predict
from evenground.body.sizes import tape_sd
from evenground.body.survey import survey_table
from evenground.estimate import Estimate

NAMES = ("stature", "wrist_height", "hip_breadth", "foot_length", "mass")


def readings(count: int, seed: int) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    table = survey_table("men")
    places = table.at(NAMES)
    rng = np.random.default_rng(seed)
    return rng.multivariate_normal(table.mean[places], table.covariance[np.ix_(places, places)], count)


def test_each_size_given_the_others_is_the_plain_conditional_normal() -> None:
    sizes = readings(20, 20260601)
    sizes[3, 1] = sizes[7, 0] = sizes[7, 4] = np.nan
    table = survey_table("men")
    fit = plausibility(sizes, NAMES, table)
    places = table.at(NAMES)
    errors = np.array([tape_sd(n) for n in NAMES])
    mean, cov = table.mean[places], table.covariance[np.ix_(places, places)] + np.diag(errors**2)
    for row, body in enumerate(sizes):
        known = np.flatnonzero(~np.isnan(body))
        for k in known:
            rest = known[known != k]
            weights = np.linalg.solve(cov[np.ix_(rest, rest)], cov[rest, k])
            expected = mean[k] + weights @ (body[rest] - mean[rest])
            sd = np.sqrt(cov[k, k] - weights @ cov[rest, k])
            assert fit.expected[row, k] == pytest.approx(expected, rel=1e-9)
            assert fit.sd[row, k] == pytest.approx(sd, rel=1e-9)
            assert fit.off_sd[row, k] == pytest.approx((body[k] - expected) / sd, abs=1e-7)
        apart = body[known] - mean[known]
        plain = apart @ np.linalg.solve(cov[np.ix_(known, known)], apart)
        assert fit.distance[row] == pytest.approx(plain, rel=1e-9)
    assert np.isnan(fit.off_sd[3, 1])
    assert fit.taken.tolist().count(5) == 18


def test_distance_is_the_density_s() -> None:
    sizes = readings(5, 20260602)
    table = survey_table("men")
    places = table.at(NAMES)
    none = np.zeros(len(NAMES))
    fit = plausibility(sizes, NAMES, table, se=none)
    density = multivariate_normal(table.mean[places], table.covariance[np.ix_(places, places)])
    middle = density.logpdf(table.mean[places])
    assert fit.distance == pytest.approx(-2.0 * (density.logpdf(sizes) - middle), rel=1e-6)


def test_limits_are_the_normal_s_and_chi_square_s() -> None:
    assert off_limit_sd(12) == pytest.approx(norm.isf(0.005 / 24))
    assert distance_limit(12) == pytest.approx(chi2.isf(1e-3, 12))


def test_an_arm_s_parts_add_up_to_the_predicted_arm() -> None:
    known = {"stature": Estimate(value=1820.0, se=0.0, unit="mm")}
    got = predict(known, survey_table("men"))
    parts = got["upper_arm_length"].value + got["forearm_length"].value
    assert got["arm_length"].value == pytest.approx(parts, abs=0.1)


def test_a_sum_among_the_known_is_no_singular_surprise() -> None:
    known = {
        n: Estimate(value=v, se=0.0, unit="mm")
        for n, v in (("arm_length", 600.0), ("upper_arm_length", 334.0), ("forearm_length", 266.0))
    }
    got = predict(known, survey_table("men"))
    assert 1600.0 < got["stature"].value < 1900.0
    assert got["stature"].se > 10.0


def test_an_error_of_a_known_size_pulls_towards_the_mean_and_widens() -> None:
    table = survey_table("women")
    sharp = predict({"stature": Estimate(value=1750.0, se=0.0, unit="mm")}, table)["foot_length"]
    vague = predict({"stature": Estimate(value=1750.0, se=60.0, unit="mm")}, table)["foot_length"]
    assert 246.3 < vague.value < sharp.value
    assert vague.se > sharp.se


def test_nothing_known_is_the_survey_itself() -> None:
    got = predict({}, survey_table("women"))
    assert (got["stature"].value, got["stature"].se) == pytest.approx((1628.473, 64.2))
