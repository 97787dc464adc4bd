"""What is known of the studio's instruments reaches every finding that stands on them, and no other."""

import math
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest

from evenground.assess import assess
from evenground.assess.instruments import distrust, mat_for, printed_mm, with_bar_error
from evenground.capture.bundle import Bundle, read_bundle
from evenground.example import example_bundle
from evenground.findings import Finding, Findings
from evenground.instruments import EmptyMat, FlippedBar, Instrument, InstrumentCheck, PrintedLength
from evenground.measure.ground import Ground
from evenground.visit import HipLineCheck, HipLineTrial, StudioSettings, StudioSnapshot

MORNING = datetime(2026, 5, 9, 7, tzinfo=UTC)
DAY = date(2026, 5, 9)


def mat(rows: int, columns: int, *, days: int = 0, passed: bool = True, name: str = "mat") -> Instrument:
    figures = EmptyMat(
        rows=rows, columns=columns, unit="counts", duration_s=15.0, noise=0.3, offset=0.0, drift_per_min=0.0,
        shows_noise=True,
    )  # fmt: skip
    check = InstrumentCheck(
        step="empty mat", at=MORNING - timedelta(days=days), passed=passed, figures=figures
    )
    return Instrument(name=name, kind="mat", checks=(check,))


def flipped(normal: float, other: float) -> Instrument:
    check = InstrumentCheck(
        step="flipped bar",
        at=MORNING,
        passed=True,
        figures=FlippedBar(normal_deg=(normal,), flipped_deg=(other,)),
    )
    return Instrument(name="bar", kind="bar", checks=(check,))


@pytest.fixture(scope="module")
def example() -> Bundle:
    read = read_bundle(example_bundle())
    visit = replace(read.visit, ground=read.visit.ground[:1], hip_line=None, grip=None, own_clubs=())
    return replace(read, visit=visit)


def found_with(example: Bundle, *instruments: Instrument) -> Findings:
    studio = replace(example.studio, instruments=instruments)
    return assess(example.visit, studio, example.open_blob, digests=example.digests)


def of(findings: Findings, kind: str) -> Finding:
    return next(f for f in findings.findings if f.kind == kind)


def test_a_failed_mat_stands_beside_everything_it_measured_and_nothing_else(example: Bundle) -> None:
    day = example.visit.day
    check = InstrumentCheck(
        step="by hand", at=datetime(day.year, day.month, day.day, 8, tzinfo=UTC), passed=False
    )
    found = found_with(example, Instrument(name="old mat", kind="mat", checks=(check,)))
    said = "old mat failed its check (by hand; it never passed)"
    for finding in found.findings:
        on_the_mat = finding.kind.startswith(("placement", "ground", "setup"))
        if finding.value is not None:
            assert (said in (finding.reason or "")) is on_the_mat, finding.kind
    ground = of(found, "placement 1").value
    assert isinstance(ground, Ground)
    assert ("instrument", f"O{said[1:]}.") in {(f.code, f.text) for f in ground.grade.flags}


def test_findings_of_a_studio_without_instruments_say_nothing_of_them(example: Bundle) -> None:
    found = found_with(example)
    assert not any("check" in (f.reason or "") for f in found.findings if f.kind.startswith("ground"))


def test_checks_of_a_mat_of_another_size_are_not_used(example: Bundle) -> None:
    day = example.visit.day
    other = mat(10, 10)
    at = datetime(day.year, day.month, day.day, 8, tzinfo=UTC)
    other = replace(other, checks=(replace(other.checks[0], at=at),))
    ground = of(found_with(example, other), "placement 1").value
    assert isinstance(ground, Ground)
    assert "other-mat" in {f.code for f in ground.grade.flags}


def test_of_several_mats_the_one_with_these_cells_is_taken() -> None:
    settings = StudioSettings(instrument_days=3)
    two = StudioSnapshot(
        settings=settings, instruments=(mat(40, 60, name="a"), mat(32, 32, days=9, name="b"))
    )
    found = mat_for(two, DAY, (32, 32))
    assert found is not None
    assert found.name == "b"
    assert "9 days before; the limit is 3" in found.doubts[0]
    neither = mat_for(two, DAY, (50, 50))
    assert neither is not None
    assert neither.empty is None
    assert "several mats" in neither.doubts[0]
    assert mat_for(StudioSnapshot(), DAY, (50, 50)) is None


@pytest.mark.parametrize(
    ("kind", "instrument", "doubted"),
    [
        ("stance", "bar", True),
        ("setup.irons", "mat", True),
        ("posture.irons", "camera", True),
        ("aim.as arrived", "mat", False),
        ("turn", "bar", False),
    ],
)
def test_who_stands_on_what(kind: str, instrument: str, doubted: bool) -> None:
    studio = StudioSnapshot(instruments=(Instrument(name="it", kind=instrument),))
    assert bool(distrust(studio, DAY, kind)) is doubted


def test_a_flipped_bar_gives_the_hip_line_its_error_unless_the_visit_has_its_own() -> None:
    trial = HipLineTrial(trial=1, width_mm=400.0, hip_line_deg=1.0)
    check = HipLineCheck(landmark="pelvis", trials=(trial,))
    studio = StudioSnapshot(instruments=(flipped(3.0, 1.8),))
    # half of 1.2, and half of the error of two single readings of 0.5 deg
    assert with_bar_error(studio, DAY, check).bar_error_deg == pytest.approx(
        np.hypot(0.6, 0.5 * 0.5 * 2**0.5)
    )
    assert with_bar_error(studio, DAY - timedelta(days=1), check).bar_error_deg == 0.0
    own = replace(check, bar_error_deg=0.2)
    assert with_bar_error(studio, DAY, own).bar_error_deg == 0.2


def printer(measured: float, *, passed: bool = True, name: str = "printer") -> Instrument:
    figures = PrintedLength(measured_mm=(measured,))
    check = InstrumentCheck(step="printed length", at=MORNING, passed=passed, figures=figures)
    return Instrument(name=name, kind="printer", checks=(check,))


def test_strips_are_corrected_by_the_one_printer_that_passed() -> None:
    assert printed_mm(StudioSnapshot(instruments=(printer(99.4),)), DAY) == pytest.approx(99.4)
    assert printed_mm(StudioSnapshot(instruments=(printer(96.0, passed=False),)), DAY) is None
    assert printed_mm(StudioSnapshot(instruments=(printer(99.4),)), DAY - timedelta(days=1)) is None
    two = StudioSnapshot(instruments=(printer(99.4), printer(100.0, name="other")))
    assert printed_mm(two, DAY) is None
    assert printed_mm(StudioSnapshot(), DAY) is None


def test_what_photos_share_widens_the_bars_error_by_the_share_of_trials_that_are_photos() -> None:
    check = HipLineCheck(
        landmark="belt line",
        trials=tuple(
            HipLineTrial(trial=n, width_mm=400.0, hip_line_deg=1.0, shared_se_deg=shared)
            for n, shared in enumerate((0.2, 0.2, None, None), start=1)
        ),
        bar_error_deg=0.3,
    )
    assert with_bar_error(StudioSnapshot(), DAY, check).bar_error_deg == pytest.approx(math.hypot(0.3, 0.1))
