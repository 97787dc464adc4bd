"""Every refusal of hip-line trials, each with its own sentence."""

import pickle
from dataclasses import replace

import pytest

from evenground.errors import FitError
from evenground.fit import stance_check as sc
from evenground.fit.stance_types import StanceOptions
from evenground.visit import HipLineTrial

GOOD = [HipLineTrial(trial=i + 1, width_mm=w, hip_line_deg=1.0) for i, w in enumerate((300.0, 400.0, 500.0))]


def widths(*values: float) -> list[HipLineTrial]:
    return [HipLineTrial(trial=i + 1, width_mm=w, hip_line_deg=0.0) for i, w in enumerate(values)]


def test_three_good_trials_pass() -> None:
    sc.check_trials(GOOD)


def test_too_few_trials_are_refused_with_widths_to_take() -> None:
    with pytest.raises(sc.TooFewTrialsError, match=r"2 trials cannot.*at least three.*280, 410, 540 mm"):
        sc.check_trials(GOOD[:2], first_mm=(280.0, 410.0, 540.0))


def test_more_trials_than_a_visit_holds_are_refused() -> None:
    with pytest.raises(sc.TooManyTrialsError, match="301 trials are more than one visit holds"):
        sc.check_trials(widths(*[300.0] * 301))


@pytest.mark.parametrize("width", [14.0, -1.0, 1400.0, float("nan")])
def test_an_impossible_width_as_arrived_is_refused(width: float) -> None:
    with pytest.raises(sc.AsArrivedOutOfRangeError, match=r"irons as arrived: .*100 to 1000"):
        sc.check_as_arrived({"irons": width})


def test_a_trial_number_that_stands_twice_in_a_phase_is_refused() -> None:
    with pytest.raises(sc.TrialNumberTwiceError, match="Trial 2 stands twice"):
        sc.check_trials([*GOOD, replace(GOOD[1], width_mm=350.0)])


def test_the_same_number_in_the_other_phase_passes() -> None:
    sc.check_trials([*GOOD, replace(GOOD[1], phase="after")])


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), -float("inf")])
@pytest.mark.parametrize("field", ["width_mm", "hip_line_deg"])
def test_values_that_are_no_numbers_are_refused(field: str, bad: float) -> None:
    wrong = HipLineTrial(
        trial=2,
        width_mm=bad if field == "width_mm" else 400.0,
        hip_line_deg=bad if field == "hip_line_deg" else 0.0,
    )
    with pytest.raises(sc.NotANumberTrialError, match=f"trial 2: Its {field}"):
        sc.check_trials([GOOD[0], wrong, GOOD[2]])


@pytest.mark.parametrize(
    ("given", "unit"),
    [
        ((12.0, 16.0, 20.0), "inches"),
        ((0.3, 0.4, 0.5), "metres"),
        ((50.0, 55.0, 60.0), "centimetres"),
        ((30.0, 40.0, 50.0), "centimetres or inches"),
    ],
)
def test_widths_in_another_unit_are_named(given: tuple[float, ...], unit: str) -> None:
    with pytest.raises(sc.WidthUnitError, match=f"looks like {unit}, not millimetres"):
        sc.check_trials(widths(*given))


def test_mixed_units_name_the_odd_trials() -> None:
    with pytest.raises(sc.MixedWidthUnitsError, match="12 in trial 2, 14 in trial 4 looks like inches"):
        sc.check_trials(widths(310.0, 12.0, 350.0, 14.0))


@pytest.mark.parametrize("width", [0.0, -300.0, 1200.0])
def test_impossible_widths_are_refused(width: float) -> None:
    with pytest.raises(sc.WidthOutOfRangeError, match=r"trial 3.*100 to 1000"):
        sc.check_trials(widths(300.0, 400.0, width))


def test_an_impossible_angle_is_refused() -> None:
    with pytest.raises(sc.HipLineOutOfRangeError, match="-75 deg"):
        sc.check_trials([*GOOD[:2], replace(GOOD[2], hip_line_deg=-75.0)])


def test_a_family_on_some_trials_only_is_refused() -> None:
    with pytest.raises(sc.FamilySomeOnlyError, match="trial 2, 3"):
        sc.check_trials([replace(GOOD[0], family="irons"), *GOOD[1:]])


@pytest.mark.parametrize("stature", [70.0, 1.78, 5000.0, float("nan")])
def test_a_stature_in_another_unit_is_refused(stature: float) -> None:
    with pytest.raises(sc.StatureOutOfRangeError, match="900 to 2400"):
        sc.check_stature(stature)


@pytest.mark.parametrize(
    "options", [StanceOptions(margin_deg=0.0), StanceOptions(noise_deg=-1.0), StanceOptions(noise_deg=50.0)]
)
def test_options_out_of_range_are_refused_by_name(options: StanceOptions) -> None:
    with pytest.raises(sc.StanceOptionError, match=r"(margin|noise)_deg: .*from 0\.2 to 10"):
        sc.check_options(options)


ERRORS: list[FitError] = [
    sc.TooFewTrialsError(1, (280.0,)),
    sc.TooManyTrialsError(301, 300),
    sc.AsArrivedOutOfRangeError("irons", 14.0),
    sc.TrialNumberTwiceError(2, "before"),
    sc.NotANumberTrialError(2, "width_mm"),
    sc.WidthUnitError(12.0, 20.0, "inches"),
    sc.MixedWidthUnitsError(((2, 12.0),), "inches"),
    sc.WidthOutOfRangeError(2, 1200.0),
    sc.HipLineOutOfRangeError(2, 75.0),
    sc.FamilySomeOnlyError((2, 3)),
    sc.StatureOutOfRangeError(70.0),
    sc.StanceOptionError("noise_deg", -1.0, 0.2, 10.0),
]


@pytest.mark.parametrize("error", ERRORS, ids=lambda e: e.code)
def test_errors_survive_pickling_and_say_what_to_do(error: FitError) -> None:
    assert str(pickle.loads(pickle.dumps(error))) == str(error)  # noqa: S301
    assert error.do
