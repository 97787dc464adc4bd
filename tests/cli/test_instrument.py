"""`evenground instrument` from recordings to a dated file that `ground` uses."""

import json
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from evenground.assess.doubted import doubted_visits
from evenground.capture.instrument_file import load_instruments, write_instruments
from evenground.capture.parquet import write_recording
from evenground.cli import app
from evenground.instruments import FlippedBar, Instrument, InstrumentCheck
from evenground.simulate.instrument import FaultyMat, MatFaults, draw_faults, empty_mat, seen_by, weight_on
from evenground.simulate.mat import Mat, Standing, Swaying, simulate_mat
from evenground.visit import HipLineCheck, HipLineTrial, Placement, Player, Visit

RUN = CliRunner()
ROWS, COLUMNS, PITCH = 50, 80, 8.0
STUCK = ((40, 10), (8, 70))
AT = ["--at", "2026-05-09T08:31:00"]


@pytest.fixture(scope="module")
def mat() -> FaultyMat:
    faults = MatFaults(stuck=STUCK, gain_sd=0.0, cell_gain_sd=0.0)
    return draw_faults(ROWS, COLUMNS, PITCH, faults, rng=np.random.default_rng(2))


@pytest.fixture(scope="module")
def folder(mat: FaultyMat, tmp_path_factory: pytest.TempPathFactory) -> Path:
    into = tmp_path_factory.mktemp("checks")
    rng = np.random.default_rng(3)
    write_recording(empty_mat(mat, rng=rng), into / "empty.parquet")
    write_recording(weight_on(mat, (300.0, 200.0), 20.0, rng=rng, duration_s=12.0), into / "weight.parquet")
    stance = simulate_mat(
        Standing(load_left_percent=55.0),
        Mat(rows=ROWS, columns=COLUMNS, noise_kpa=0.0),
        Swaying(duration_s=6.0, rate_hz=20.0),
        rng=rng,
    ).recording
    write_recording(seen_by(mat, stance, rng=rng), into / "stance.parquet")
    return into


def run(*args: str | Path) -> tuple[int, str]:
    result = RUN.invoke(app, ["instrument", *map(str, args)])
    return result.exit_code, result.output


def test_the_opening_check_is_one_command_and_its_file_mends_a_recording(
    folder: Path, tmp_path: Path
) -> None:
    into, picture = tmp_path / "instrument.toml", tmp_path / "mat.svg"
    args: list[str | Path] = [
        "--into",
        into,
        "--empty",
        folder / "empty.parquet",
        "--weight",
        folder / "weight.parquet",
    ]
    bar = ["--normal", "3.1", "--flipped", "2.6", "--measured-mm", "99.6"]
    code, said = run("opening", *args, *bar, *AT, "--picture", picture)
    assert code == 0, said
    assert "stuck cells         2: row 9 column 71, row 41 column 11" in said
    assert said.count(": in order") == 4
    assert picture.read_bytes().startswith(b"<")
    kinds = [(one.kind, [c.step for c in one.checks]) for one in load_instruments(into)]
    assert kinds == [
        ("mat", ["empty mat", "dead weight"]),
        ("bar", ["flipped bar"]),
        ("printer", ["printed length"]),
    ]
    stance = ["ground", str(folder / "stance.parquet"), "--mass-kg", "75", "--json"]
    found = json.loads(RUN.invoke(app, [*stance, "--instrument", str(into)]).stdout)
    assert found["feet"]["left"]["load_percent"]["value"] == pytest.approx(55.0, abs=1.5)
    codes = {flag["code"] for flag in found["grade"]["flags"]}
    assert "filled-cells" in codes
    assert found["sway_floor"]["source"]


def test_a_bar_that_is_off_is_kept_and_ends_with_status_one(tmp_path: Path) -> None:
    into = tmp_path / "instrument.toml"
    code, said = run("bar", "--normal", "3.0", "--flipped", "0.0", "--into", into, *AT)
    assert code == 1
    assert "its own error is 1.5 deg" in said
    (bar,) = load_instruments(into)
    assert (bar.checks[0].passed, bar.checks[0].at.date()) == (False, date(2026, 5, 9))
    code, said = run("show", into, "--day", "2026-05-30")
    assert code == 0
    assert "failed its check (flipped bar; it never passed)" in said
    assert "21 days before; the limit is 7" in said


def test_checks_are_appended_and_never_replaced(tmp_path: Path) -> None:
    into = tmp_path / "instrument.toml"
    for measured in ("99.0", "100.1"):
        assert run("print", "--measured-mm", measured, "--into", into, *AT)[0] == 0
    (printer,) = load_instruments(into)
    assert [c.figures.measured_mm for c in printer.checks] == [(99.0,), (100.1,)]  # type: ignore[union-attr]


def test_places_want_a_mass_for_all_or_for_each(folder: Path) -> None:
    weight = folder / "weight.parquet"
    assert run("places", weight, weight, "--mass-kg", "20", "--mass-kg", "20", "--mass-kg", "9")[0] == 2
    code, said = run("places", weight, weight, "--mass-kg", "20", "--json")
    assert code == 0
    (one,) = json.loads(said)
    assert one["checks"][0]["figures"]["gain"] == pytest.approx([1.0, 1.0], abs=0.02)


def test_an_opening_check_without_a_step_is_wrong_usage(tmp_path: Path) -> None:
    assert run("opening", "--into", tmp_path / "i.toml")[0] == 2


def test_forces_against_masses_take_an_offset_off_the_share(tmp_path: Path) -> None:
    # the two-plate set's own first rigid and foam trial, dos Santos et al. 2017, PeerJ 5:e3626
    (tmp_path / "w.csv").write_text(
        "person,stood_on,force_n,mass_kg,left_n,right_n\n"
        "13,rigid,635.39,65.35,345.94,289.45\n13,foam,650.62,65.35,336.40,314.22\n"
    )
    code, said = run("weigh", tmp_path / "w.csv", "--json")
    assert code == 0
    found = json.loads(said)
    assert [(m["cause"], m["who"]) for m in found["mismatches"]] == [("tare offset", "foam")]
    (share,) = found["left_shares"]
    assert share["left_percent"]["value"] > share["naive_percent"] > 50.0
    (tmp_path / "bad.csv").write_text("person,stood_on,force_n,mass_kg\n1,mat,-3,70\n")
    assert RUN.invoke(app, ["instrument", "weigh", str(tmp_path / "bad.csv")]).exit_code == 1


def visit(name: str, day: int) -> Visit:
    trial = HipLineTrial(trial=1, width_mm=400.0, hip_line_deg=1.0)
    return Visit(
        visit=name,
        day=date(2026, 5, day),
        player=Player(name="Ilvy Tarrowmere", handed="right"),
        ground=(Placement(recording="a.parquet", footwear="barefoot", stance="fitted"),),
        hip_line=HipLineCheck(landmark="pelvis", trials=(trial,)),
    )


def checked(days: list[tuple[int, bool]]) -> Instrument:
    checks = tuple(
        InstrumentCheck(
            step="flipped bar",
            at=datetime(2026, 5, d, 8, tzinfo=UTC),
            passed=p,
            figures=FlippedBar(normal_deg=(1.0,), flipped_deg=(1.0,)),
        )
        for d, p in days
    )
    return Instrument(name="bar", kind="bar", checks=checks)


def test_what_was_measured_since_the_last_good_check_is_listed() -> None:
    visits = [visit("c", 14), visit("a", 4), visit("b", 9)]
    failed = checked([(2, True), (9, True), (20, False)])
    found = doubted_visits([failed, replace(failed, name="mat", kind="mat")], visits)
    assert [(d.instrument, d.visit, d.what) for d in found] == [
        ("bar", "b", "1 hip-line trial"),
        ("bar", "c", "1 hip-line trial"),
        ("mat", "b", "1 placement"),
        ("mat", "c", "1 placement"),
    ]
    assert doubted_visits([checked([(20, False), (21, True)])], visits) == ()
    assert len(doubted_visits([checked([(20, False)])], visits)) == 3  # never good: everything


def test_since_reads_bundles_and_names_them(tmp_path: Path) -> None:
    from evenground.example import example_bundle

    path = tmp_path / "instrument.toml"
    write_instruments(path, (replace(checked([(1, True), (20, False)]), name="hip bar"),))
    code, said = run("since", path, example_bundle())
    assert code == 0
    assert "hip bar" in said
    assert "hip-line trials" in said
