"""`evenground simulate player`: a bundle that fits, its truth beside it, nothing overwritten."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from evenground.capture.bundle import read_bundle
from evenground.cli import app
from evenground.errors import CaptureError
from evenground.simulate.mirror import mirrored_visit


def simulate(*arguments: str) -> Result:
    return CliRunner().invoke(app, ["simulate", "player", *arguments])


@pytest.fixture(scope="module")
def bundle(tmp_path_factory: pytest.TempPathFactory) -> Path:
    home = tmp_path_factory.mktemp("simulated")
    truth = str(home / "truth.json")
    named = [
        "--name",
        "Wren Halloway",
        "--date",
        "2026-06-01",
        "--tape",
        "inch",
        "--skip",
        "ball:woods=no time",
    ]
    done = simulate(str(home / "visit"), "--truth", truth, "--seed", "4", *named)
    assert done.exit_code == 0, done.output
    return home / "visit"


def test_bundle_reads_back_with_what_was_asked_for(bundle: Path) -> None:
    read = read_bundle(bundle)
    assert (read.visit.player.name, read.visit.day.isoformat()) == ("Wren Halloway", "2026-06-01")
    assert read.visit.skipped == {"ball": "no time"}
    assert " in" in (bundle / "visit.toml").read_text("utf-8")
    assert len(read.visit.ground) == 9


def test_truth_stands_beside_it(bundle: Path) -> None:
    truth = json.loads((bundle.parent / "truth.json").read_text("utf-8"))
    assert (truth["seed"], truth["handed"]) == (4, "right")
    assert set(truth["placements"]) == {p.recording for p in read_bundle(bundle).visit.ground}


def test_left_handed_bundle_is_the_mirror_image(bundle: Path, tmp_path: Path) -> None:
    named = ["--name", "Wren Halloway", "--date", "2026-06-01", "--skip", "ball:woods=no time"]
    done = simulate(str(tmp_path / "left"), "--seed", "4", "--handed", "left", *named)
    assert done.exit_code == 0, done.output
    assert read_bundle(tmp_path / "left").visit == mirrored_visit(read_bundle(bundle).visit)


def test_folder_that_holds_something_is_not_written_into(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("mine")
    done = simulate(str(tmp_path), "--seed", "4", "--skip", "ground=no mat")
    assert isinstance(done.exception, CaptureError)
    assert [p.name for p in tmp_path.iterdir()] == ["notes.txt"]


@pytest.mark.parametrize("skip", ["lunch=rain", "turn", "turn=", "turn:woods=no time", "ball:wedges=no time"])
def test_skip_that_is_no_check_with_a_reason_is_wrong_usage(tmp_path: Path, skip: str) -> None:
    done = simulate(str(tmp_path / "visit"), "--skip", skip)
    assert done.exit_code == 2
    assert not (tmp_path / "visit").exists()
