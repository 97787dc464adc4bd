"""What makes a check fail, and who may trust an instrument on a day."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from evenground.instruments import (
    DeadWeight,
    EmptyMat,
    Figures,
    FlippedBar,
    Instrument,
    InstrumentCheck,
    KnownWeight,
    PrintedLength,
    as_of,
    last_good,
    latest,
)
from evenground.measure.instrument_bar import NoReadingsError, bar_error_deg, print_scale
from evenground.measure.instrument_judge import faults_of, judged, remarks_of, trust

MORNING = datetime(2026, 5, 9, 8, 30, tzinfo=UTC)
EMPTY = EmptyMat(
    rows=40,
    columns=50,
    unit="kPa",
    duration_s=15.0,
    noise=0.3,
    offset=0.0,
    drift_per_min=0.0,
    shows_noise=True,
)
DEAD = DeadWeight(
    mass_kg=20.0, duration_s=30.0, rate_hz=20.0, path_mm=40.0, velocity_mm_s=1.3, ellipse95_mm2=0.1,
    crept_mm=0.1, crept_percent=0.2, reads_n=196.0,
)  # fmt: skip
KNOWN = KnownWeight(
    x_mm=(100.0, 300.0), y_mm=(100.0, 100.0), mass_kg=(20.0, 20.0), gain=(0.99, 1.02), gain_se=(0.001, 0.001)
)


@pytest.mark.parametrize("figures", [EMPTY, DEAD, KNOWN])
def test_a_good_mat_passes(figures: Figures) -> None:
    assert judged("by hand", figures, MORNING).passed


@pytest.mark.parametrize(
    ("figures", "words"),
    [
        (replace(EMPTY, dead=tuple((0, c) for c in range(21))), "21 cells"),
        (replace(EMPTY, bad_columns=(4,)), "column 5"),
        (replace(EMPTY, drift_per_min=-0.4), "-0.40 kPa a minute"),
        (replace(DEAD, crept_mm=2.4), "wandered 2.4 mm"),
        (replace(DEAD, reads_n=215.0), "reads 215 N for 20 kg, +10 %"),
        (replace(KNOWN, gain=(1.08, 1.06)), "+7 % on average"),
        (replace(KNOWN, gain=(0.88, 1.13)), "against the others"),
        (
            replace(KNOWN, x_mm=(100.0, 100.0), mass_kg=(10.0, 20.0), gain=(0.96, 1.03)),
            "+7 % from the lighter",
        ),
        (FlippedBar(normal_deg=(3.0,), flipped_deg=(0.5,)), "2.5 deg apart"),
        (PrintedLength(measured_mm=(96.8,)), "96.8 mm: print at 100 %"),
    ],
)
def test_what_is_wrong_is_said_in_one_sentence(figures: Figures, words: str) -> None:
    (said,) = faults_of(figures)
    assert words in said
    check = judged("by hand", figures, MORNING)
    assert (check.passed, check.why) == (False, said)


def test_remarks_tell_what_a_good_check_leaves_open() -> None:
    assert "slower than 3.9 mm/s" in remarks_of(DEAD)[0]
    assert "5 kg says little" in remarks_of(replace(DEAD, mass_kg=5.0))[1]
    assert "9 places" in remarks_of(KNOWN)[0]
    assert "shows nothing" in remarks_of(replace(EMPTY, shows_noise=False))[0]


def test_a_bars_error_is_half_of_what_flipping_does_and_its_sign_is_that_of_the_usual_way() -> None:
    # by hand: (mean 3.2 - mean 2.2) / 2; each side's mean of three has SD 0.1 / sqrt(3)
    found = bar_error_deg(FlippedBar(normal_deg=(3.1, 3.2, 3.3), flipped_deg=(2.1, 2.2, 2.3)))
    assert found.value == pytest.approx(0.5)
    assert found.se == pytest.approx(0.5 * (2.0 * 0.01 / 3.0) ** 0.5)
    assert found.dof == pytest.approx(4.0)
    assert bar_error_deg(FlippedBar(normal_deg=(2.0,), flipped_deg=(3.0,))).value == -0.5
    with pytest.raises(NoReadingsError):
        bar_error_deg(FlippedBar(normal_deg=(2.0,), flipped_deg=()))


def test_a_print_that_comes_out_short_has_a_scale_under_one() -> None:
    assert print_scale(PrintedLength(measured_mm=(99.2,))).value == pytest.approx(0.992)
    with pytest.raises(NoReadingsError):
        print_scale(PrintedLength(measured_mm=()))


def by_hand(days: float, *, passed: bool = True, step: str = "by hand") -> InstrumentCheck:
    return InstrumentCheck(step=step, at=MORNING + timedelta(days=days), passed=passed)  # type: ignore[arg-type]


def test_last_good_is_when_every_step_had_last_passed() -> None:
    mat = Instrument(
        name="mat",
        kind="mat",
        checks=(
            by_hand(0, step="empty mat"),
            by_hand(1, step="dead weight", passed=False),
            by_hand(2, step="empty mat"),
            by_hand(3, step="dead weight"),
            by_hand(4, step="empty mat", passed=False),
        ),
    )
    assert last_good(mat) == MORNING + timedelta(days=3)
    assert not latest(mat)["empty mat"].passed
    assert latest(as_of(mat, date(2026, 5, 10)))["empty mat"].passed
    assert last_good(Instrument(name="mat", kind="mat", checks=(by_hand(0, passed=False),))) is None


@pytest.mark.parametrize(
    ("checks", "day", "words"),
    [
        ((), 0, ["had not been checked"]),
        ((by_hand(2),), 0, ["had not been checked"]),
        ((by_hand(0),), 7, []),
        ((by_hand(0),), 8, ["8 days before; the limit is 7"]),
        ((by_hand(0), by_hand(1, passed=False)), 1, ["failed its check (by hand; last in order 2026-05-09)"]),
        ((by_hand(0, passed=False),), 30, ["it never passed", "30 days before"]),
        ((by_hand(0, passed=False), by_hand(1)), 1, []),
    ],
)
def test_trust_in_an_instrument_on_a_day(
    checks: tuple[InstrumentCheck, ...], day: int, words: list[str]
) -> None:
    said = trust(
        Instrument(name="mat", kind="mat", checks=checks),
        day=date(2026, 5, 9) + timedelta(days=day),
        limit_days=7,
    )
    assert len(said) == len(words)
    assert all(word in one for word, one in zip(words, said, strict=True))
