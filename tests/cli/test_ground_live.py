"""`ground --live` and `--watch` on played streams and folders; the app's browser test uses a real stream."""

import json
import threading
import time
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from evenground.capture import live_inlet, watched_folder
from evenground.capture.frames import MatFrames
from evenground.capture.journal import begin_journal
from evenground.capture.parquet import write_recording
from evenground.capture.recording import load_recording
from evenground.cli import app
from evenground.cli import ground_live as shell
from evenground.errors import EvengroundError
from evenground.simulate.live_mat import Playing, played_frames
from evenground.simulate.mat import Mat
from tests.played_mat import HEAD, LOAD_LEFT, RATE, STOOD, PlayedSource, PlayedStreams

RUN = CliRunner()


@pytest.fixture
def mat(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(PlayedStreams, "names", ("mat",))
    monkeypatch.setattr(live_inlet, "StreamsInReach", PlayedStreams)
    monkeypatch.setattr(live_inlet, "LslSource", PlayedSource)


def test_a_recorded_live_mat_is_filed_and_described_as_json_alone(mat: None, tmp_path: Path) -> None:
    out = tmp_path / "stand.parquet"
    done = RUN.invoke(app, ["ground", "--live", "--out", str(out), "--seconds", "1", "--json"])
    assert done.exit_code == 0, done.output
    said = json.loads(done.stdout)
    assert said["feet"]["left"]["load_percent"]["value"] == pytest.approx(LOAD_LEFT, abs=4.0)
    assert 50 <= len(load_recording(out).cells) <= 52
    assert [p.name for p in tmp_path.iterdir()] == ["stand.parquet"]


def test_a_live_mat_is_shown_with_load_centre_and_grade(mat: None) -> None:
    done = RUN.invoke(app, ["ground", "--live", "--seconds", "3", "--mass-kg", "75"])
    assert done.exit_code == 0, done.output
    for words in ("found on this machine only", "load now", "CoP now", "ahead of the heel centres", "grade"):
        assert words in done.stdout


def test_what_a_killed_recording_left_is_filed_at_the_next_start(mat: None, tmp_path: Path) -> None:
    journal = begin_journal(tmp_path / "before.journal", HEAD, {})
    journal.append(MatFrames(time_s=np.arange(60) / RATE, cells=STOOD.cells[:60]))
    journal.close()
    out = tmp_path / "stand.parquet"
    done = RUN.invoke(app, ["ground", "--live", "--out", str(out), "--seconds", "0.5"])
    assert "before.journal was left behind: its 60 frames are in before.parquet." in done.stderr
    assert len(load_recording(tmp_path / "before.parquet").cells) == 60


def test_without_a_mat_it_says_where_it_looked(mat: None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(PlayedStreams, "names", ())
    monkeypatch.setattr(shell, "_FIND_S", 0.3)
    with pytest.raises(EvengroundError, match="No mat has been found on this machine"):
        RUN.invoke(app, ["ground", "--live"], catch_exceptions=False)


def test_several_mats_have_to_be_told_apart(mat: None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(PlayedStreams, "names", ("door", "window"))
    with pytest.raises(EvengroundError, match="door, window"):
        RUN.invoke(app, ["ground", "--live"], catch_exceptions=False)
    assert RUN.invoke(app, ["ground", "--live", "--stream", "window", "--seconds", "0.6"]).exit_code == 0


@pytest.mark.parametrize(
    "options",
    [["--live", "--json"], ["--live", "--out", "stand.csv"], []],
    ids=["json without a file", "a file of another kind", "nothing to describe"],
)
def test_wrong_usage_is_told_before_anything_is_looked_for(options: list[str]) -> None:
    assert RUN.invoke(app, ["ground", *options]).exit_code == 2


def test_files_that_appear_in_a_watched_folder_are_described_one_after_another(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(watched_folder, "SETTLED_S", 0.1)

    def drop() -> None:
        time.sleep(0.3)
        write_recording(STOOD, tmp_path / "stand.parquet")
        (tmp_path / "notes.csv").write_text("no mat\n")

    dropping = threading.Thread(target=drop)
    dropping.start()
    done = RUN.invoke(app, ["ground", "--watch", str(tmp_path), "--seconds", "2"])
    dropping.join()
    assert done.exit_code == 0, done.output
    assert "width, heel centres" in done.stdout
    assert "notes.csv" in done.stderr
    assert "stand.parquet" in done.stderr


def test_a_played_round_is_a_player_and_then_a_bare_mat() -> None:
    frames = played_frames(
        Playing(mat=Mat(rows=30, columns=40), stands_s=2.0, empty_s=1.0, rate_hz=20.0, seed=3)
    )
    force = frames.cells.sum(axis=(1, 2))
    assert len(force) == 60
    assert force[:40].min() > 5.0 * force[40:].max()
