"""Repeat-measure statistics against published tables, certified values and another library."""

import csv
import importlib
import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from evenground.measure.agreement import agreement, within_persons
from evenground.measure.anova import one_way, two_way
from evenground.measure.icc import icc_forms
from evenground.measure.mixed import fit_mixed
from evenground.measure.study import study
from evenground.measure.suspects import Reading

pytestmark = pytest.mark.data


def library(name: str) -> Any:
    """An outside library without type stubs."""
    return importlib.import_module(name)


@pytest.fixture(scope="session")
def expected(data_dir: Path) -> dict[str, dict[str, float]]:
    found: dict[str, Any] = tomllib.loads((data_dir / "stats" / "expected.toml").read_text("utf-8"))
    return found


def rows_of(data_dir: Path, name: str) -> list[dict[str, str]]:
    with (data_dir / "stats" / f"{name}.csv").open(newline="", encoding="utf-8") as stream:
        return list(csv.DictReader(stream))


# Shrout & Fleiss 1979, Psychol Bull 86:420-428, six targets by four judges: .17 .29 .71 .44 .62 .91 as
# printed; more digits recomputed from the table (expected.toml, check value icc-1). Seen second-hand. The
# ranges are those that two statistics packages agree on (check-values 9.2), to two digits.
PRINTED = {"1,1": 0.17, "2,1": 0.29, "3,1": 0.71, "1,k": 0.44, "2,k": 0.62, "3,k": 0.91}
RANGES = {
    "1,1": (-0.13, 0.72),
    "2,1": (0.02, 0.76),
    "3,1": (0.34, 0.95),
    "1,k": (-0.88, 0.91),
    "2,k": (0.07, 0.93),
    "3,k": (0.68, 0.99),
}


@pytest.fixture(scope="session")
def ratings(data_dir: Path) -> np.ndarray[Any, Any]:
    rows = rows_of(data_dir, "shrout_fleiss_1979")
    return np.array([float(r["rating"]) for r in rows]).reshape(6, 4)


def test_each_form_of_icc_reproduces_the_classic_example(
    ratings: np.ndarray[Any, Any], expected: dict[str, dict[str, float]]
) -> None:
    for icc in icc_forms(ratings):
        digits = expected["shrout_fleiss_1979"][f"icc_{icc.form.replace(',', '_')}"]
        assert icc.value == pytest.approx(digits, abs=5e-10)
        assert icc.value == pytest.approx(PRINTED[icc.form], abs=0.005)  # half the last printed digit
        low, high = RANGES[icc.form]
        assert icc.interval.low == pytest.approx(low, abs=0.01)
        assert icc.interval.high == pytest.approx(high, abs=0.01)


def test_mean_squares_of_the_classic_example(
    ratings: np.ndarray[Any, Any], expected: dict[str, dict[str, float]]
) -> None:
    squares, printed = two_way(ratings[:, :, None]), expected["shrout_fleiss_1979"]
    assert squares.persons.mean == pytest.approx(printed["between_targets_ms"], abs=1e-9)
    assert squares.observers.mean == pytest.approx(printed["between_judges_ms"], abs=1e-9)
    assert squares.cells.mean == pytest.approx(printed["residual_ms"], abs=1e-9)
    within = (squares.observers.sum + squares.cells.sum) / 18
    assert within == pytest.approx(printed["within_target_ms"], abs=1e-9)


def test_sem_of_the_classic_example_is_that_of_one_judge_and_of_any(ratings: np.ndarray[Any, Any]) -> None:
    # Check-values 9.2: SEM consistency 1.0097, agreement 2.5028, smallest real change 2.7987.
    readings = [
        Reading(person=f"p{i}", observer=f"j{j}", repeat=1, value=float(ratings[i, j]))
        for i in range(6)
        for j in range(4)
    ]
    found = study(readings, unit="", rng=np.random.default_rng(1))
    assert found.sem.value == pytest.approx(1.0097, abs=1e-4)
    assert found.real_change == pytest.approx(2.7987, abs=2e-4)
    assert found.observers is not None
    assert found.observers.any_sd.value == pytest.approx(2.5028, abs=1e-4)


# Bland & Altman 1986, Lancet i:307-310, table 2: 17 persons, two peak-flow meters; -2.1 and 38.8 as printed,
# limits with 1.96 SD and repeatability as worked from the table (check value ba-1).


def columns(data_dir: Path, *names: str) -> list[list[float]]:
    return [[float(row[n]) for n in names] for row in rows_of(data_dir, "bland_altman_1986")]


def test_limits_of_agreement_of_two_peak_flow_meters(
    data_dir: Path, expected: dict[str, dict[str, float]]
) -> None:
    printed = expected["bland_altman_1986"]
    found = agreement(columns(data_dir, "large_1"), columns(data_dir, "mini_1"), unit="l/min")
    assert found.bias.value == pytest.approx(printed["mean_diff"], abs=1e-6)
    assert found.bias.value == pytest.approx(-2.1, abs=0.05)
    assert found.sd == pytest.approx(printed["sd_diff"], abs=1e-6)
    assert found.sd == pytest.approx(38.8, abs=0.05)
    assert found.lower == pytest.approx(printed["lower"], abs=0.01)
    assert found.upper == pytest.approx(printed["upper"], abs=0.01)


def test_repeat_sd_of_each_meter(data_dir: Path, expected: dict[str, dict[str, float]]) -> None:
    printed = expected["bland_altman_1986"]
    one, other = columns(data_dir, "large_1", "large_2"), columns(data_dir, "mini_1", "mini_2")
    found = agreement(one, other, unit="l/min")
    assert found.repeat_sd_one is not None
    assert found.repeat_sd_other is not None
    assert found.repeat_sd_one.value == pytest.approx(printed["within_subject_sd_large"], abs=1e-6)
    assert found.repeat_sd_other.value == pytest.approx(printed["within_subject_sd_mini"], abs=1e-6)


def test_the_study_of_one_meter_gives_its_repeatability(
    data_dir: Path, expected: dict[str, dict[str, float]]
) -> None:
    printed = expected["bland_altman_1986"]
    readings = [
        Reading(person=str(i), observer="one", repeat=k, value=value)
        for i, pair in enumerate(columns(data_dir, "large_1", "large_2"))
        for k, value in enumerate(pair, 1)
    ]
    found = study(readings, unit="l/min", rng=np.random.default_rng(1))
    assert found.sem.value == pytest.approx(printed["within_subject_sd_large"], abs=1e-6)
    assert found.real_change == pytest.approx(printed["repeatability_1p96_large"], abs=2e-3)


# Bland & Altman 1995, BMJ 310:446, table: r = -0.51, P = 0.0008 as printed.


def test_correlation_within_subjects(data_dir: Path, expected: dict[str, dict[str, float]]) -> None:
    rows, printed = rows_of(data_dir, "bland_altman_1995"), expected["bland_altman_1995"]
    ph, paco2 = ([float(r[n]) for r in rows] for n in ("ph", "paco2"))
    found = within_persons(ph, paco2, [r["subject"] for r in rows])
    assert found.r == pytest.approx(printed["r"], abs=5e-9)
    assert found.dof == printed["df"]
    assert found.p == pytest.approx(printed["p"], abs=5e-9)
    assert round(found.p, 4) == 0.0008


# NIST Statistical Reference Datasets, one-way analysis of variance, certified values (US Government). A shift
# by a constant changes none of them; it is taken away from the decimals as printed, before they become
# binary, because 107.8681568 itself is only held to 1e-14, which is 1e-9 of what is to be measured.


@pytest.mark.parametrize(("name", "shift"), [("nist_sirstv", "196"), ("nist_atmwtag", "107.868")])
def test_certified_values_of_one_way_analysis_of_variance(
    data_dir: Path, expected: dict[str, dict[str, float]], name: str, shift: str
) -> None:
    rows, certified = rows_of(data_dir, name), expected[name]
    groups = [r["group"] for r in rows]
    found = one_way([float(Decimal(r["value"]) - Decimal(shift)) for r in rows], groups)
    assert (found.between.dof, found.within.dof) == (certified["df_between"], certified["df_within"])
    for ours, key in (
        (found.between.sum, "ss_between"),
        (found.within.sum, "ss_within"),
        (found.f, "f"),
        (found.r_squared, "r2"),
        (found.residual_sd, "residual_sd"),
    ):
        assert ours == pytest.approx(certified[key], rel=2e-13), key  # 13 to 15 digits are printed
    plain = one_way([float(r["value"]) for r in rows], groups)
    assert plain.f == pytest.approx(certified["f"], rel=1e-8)


# NIST StRD, Longley: certified coefficients, as statsmodels ships them with its own tests.


def test_certified_values_of_the_longley_regression() -> None:
    data = library("statsmodels.datasets.longley").load_pandas()
    certified = library("statsmodels.regression.tests.results.results_regression").Longley()
    design = np.column_stack([data.exog.to_numpy(float), np.ones(16)])
    scale = np.abs(design).max(axis=0)
    found = fit_mixed(data.endog.to_numpy(float), design / scale)
    assert found.effects / scale == pytest.approx(np.array(certified.params), rel=1e-8)
    assert np.sqrt(np.diag(found.covariance)) / scale == pytest.approx(np.array(certified.bse), rel=1e-8)
    assert found.residual_variance == pytest.approx(certified.scale, rel=1e-9)


# statsmodels' own REML, on made-up readings of ten placements: effects, errors and both variances.


def test_placements_as_random_shifts_agree_with_another_library() -> None:
    rng = np.random.default_rng(11)
    group = np.repeat(np.arange(10), 4)
    design = np.column_stack([np.ones(40), rng.normal(size=40)])
    response = design @ [1.0, 2.0] + rng.normal(0.0, 1.5, 10)[group] + rng.normal(size=40)
    found = fit_mixed(response, design, group)
    theirs = (
        library("statsmodels.api").MixedLM(response, design, group).fit(reml=True, method="bfgs", gtol=1e-9)
    )
    assert found.effects == pytest.approx(theirs.fe_params, rel=1e-5)
    # Errors given the variances: MixedLM's own come from a curvature that holds the variances' too.
    shared = np.equal.outer(group, group)
    weighed = (
        library("statsmodels.api")
        .GLS(response, design, theirs.scale * np.eye(40) + float(theirs.cov_re[0, 0]) * shared)
        .fit()
    )
    errors = np.sqrt(np.diag(weighed.normalized_cov_params))
    assert np.sqrt(np.diag(found.covariance)) == pytest.approx(errors, rel=1e-4)
    assert found.residual_variance == pytest.approx(theirs.scale, rel=1e-4)
    assert found.group_variance == pytest.approx(float(theirs.cov_re[0, 0]), rel=1e-3)


def test_a_plain_linear_model_agrees_with_another_library() -> None:
    rng = np.random.default_rng(12)
    design = np.column_stack([np.ones(14), rng.normal(size=(14, 3))])
    response = rng.normal(size=14)
    found, theirs = fit_mixed(response, design), library("statsmodels.api").OLS(response, design).fit()
    assert found.effects == pytest.approx(theirs.params, rel=1e-10)
    assert np.sqrt(np.diag(found.covariance)) == pytest.approx(theirs.bse, rel=1e-10)
