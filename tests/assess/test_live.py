"""A watched live mat: pictures, what the last seconds say, and recordings that end by themselves."""

import time
from dataclasses import replace
from pathlib import Path
from threading import Event

import numpy as np
import pytest
from bench.prove_live import ForgetfulDisk

from evenground.assess.live import LiveWatch, Player, said_of
from evenground.assess.live_desk import LiveDesk, LiveView
from evenground.capture.frames import MatFrames, MatHead
from evenground.capture.journal import JournalStoppedError, read_journal
from evenground.capture.live_inlet import MatLostError
from evenground.measure.ground import Ground
from evenground.measure.recording import FloatArray
from evenground.simulate.mat import Mat, Standing, Swaying, simulate_mat
from tests.sure import sure

RATE = 50.0
HEAD = MatHead(rows=40, columns=60, pitch_x_mm=10.0, pitch_y_mm=10.0, unit="kPa", rate_hz=RATE, name="mat")
PATIENCE_S = 30.0


def cells(standing: Standing, seconds: float, seed: int = 1) -> FloatArray:
    mat = Mat(rows=40, columns=60, pitch_x_mm=10.0, pitch_y_mm=10.0)
    swaying = Swaying(duration_s=seconds, rate_hz=RATE)
    return simulate_mat(standing, mat, swaying, rng=np.random.default_rng(seed)).recording.cells


def bare(seconds: float) -> FloatArray:
    rng = np.random.default_rng(2)
    return np.abs(0.3 * rng.standard_normal((round(seconds * RATE), 40, 60))).astype(np.float32)


def value(ground: Ground | None, figure: str) -> float:
    assert ground is not None
    return float(getattr(ground, figure).value)


def watched(*stretches: FloatArray, head: MatHead = HEAD) -> LiveWatch:
    watch = LiveWatch(head=head)
    frames = np.concatenate(stretches)
    for start in range(0, len(frames), 2):
        times = np.arange(start, start + 2) / RATE
        watch.take(MatFrames(time_s=times, cells=frames[start : start + 2]), None)
    return watch


def test_the_last_seconds_are_graded_like_a_recording_without_being_called_short() -> None:
    watch = watched(cells(Standing(load_left_percent=57.0), 4.0))
    say = said_of(watch.window(), HEAD, Player(mass_kg=75.0))
    assert say.ground is not None
    assert sure(say.ground.feet.left.load_percent).interval().holds(57.0)
    assert {"short", "snapshot"}.isdisjoint(flag.code for flag in say.ground.grade.flags)
    assert say.basis is not None


def test_only_the_time_since_the_player_stepped_on_counts() -> None:
    watch = watched(bare(2.0), cells(Standing(), 2.0))
    assert 1.9 <= np.ptp(watch.window().time_s) <= 2.0
    assert said_of(watch.window(), HEAD, Player()).ground is not None


def test_once_the_player_has_left_the_mat_is_empty_not_the_recording_bad() -> None:
    say = said_of(watched(cells(Standing(), 2.0), bare(1.0)).window(), HEAD, Player())
    assert say.ground is None
    assert "Nothing stands on the mat." in say.trouble


def test_no_more_than_five_seconds_are_remembered() -> None:
    assert np.ptp(watched(cells(Standing(), 8.0)).window().time_s) <= 5.0


def test_one_foot_is_said_in_a_sentence_with_what_to_do() -> None:
    half = cells(Standing(), 2.0).copy()
    half[:, :, 30:] = 0.0
    say = said_of(watched(half).window(), HEAD, Player())
    assert "one foot" in say.trouble.lower()


def test_a_player_of_one_foot_is_graded_on_it() -> None:
    half = cells(Standing(), 3.0).copy()
    half[:, :, :30] = 0.0
    say = said_of(watched(half).window(), HEAD, Player(feet={"left": "absent"}))
    assert say.ground is not None
    assert say.ground.feet.right.toe_out_deg is not None
    assert say.ground.feet.left.toe_out_deg is None
    assert say.basis is None


def test_a_left_handed_players_lead_foot_is_the_right_one() -> None:
    watch = watched(cells(Standing(left_ahead_mm=30.0, handed="left"), 3.0))
    left, right = (
        value(said_of(watch.window(), HEAD, Player(handed=hand)).ground, "fore_aft_offset_mm")
        for hand in ("left", "right")
    )
    assert left == pytest.approx(-right)
    assert right > 20.0


class Played:
    """A source that gives a stretch of frames, two a pull, and then what the test says."""

    left_out = 0
    head = HEAD

    def __init__(self, frames: FloatArray, *, lost: bool = False) -> None:
        self.frames, self.lost, self.at = frames, lost, 0
        self.go, self.closed = Event(), False
        self.go.set()

    def pull(self, wait_s: float) -> MatFrames:  # noqa: ARG002
        if not self.go.is_set() or (self.at >= len(self.frames) and not self.lost):
            return MatFrames(time_s=np.zeros(0), cells=np.zeros((0, 40, 60), np.float32))
        if self.at >= len(self.frames):
            raise MatLostError("mat")
        start, self.at = self.at, self.at + 2
        return MatFrames(time_s=np.arange(start, self.at) / RATE, cells=self.frames[start : self.at])

    def close(self) -> None:
        self.closed = True


def until(desk: LiveDesk, holds: object) -> LiveView:
    """Wait for a view that the test waits for."""
    view, end = desk.view, time.monotonic() + PATIENCE_S
    while not holds(view):  # type: ignore[operator]
        assert time.monotonic() < end, view
        view = desk.next_view(view, 1.0)
    return view


def test_the_desk_shows_pictures_and_figures_and_closes_its_source() -> None:
    source = Played(cells(Standing(load_left_percent=60.0), 6.0))
    desk = LiveDesk(source, Player(handed="right", mass_kg=75.0))
    seen = until(desk, lambda v: v.picture is not None and v.picture.moment is not None)
    desk.close()
    assert seen.picture is not None
    assert seen.picture.moment is not None
    assert seen.picture.moment.load_left_percent == pytest.approx(60.0, abs=5.0)
    assert seen.say.ground is not None
    assert source.closed


def test_a_recording_ends_by_itself_after_its_seconds_and_says_so(tmp_path: Path) -> None:
    ended: list[Path] = []
    desk = LiveDesk(Played(cells(Standing(), 6.0)), ended=ended.append)
    desk.record(tmp_path / "a.journal", {"for": "a test"}, 0.5)
    until(desk, lambda _: ended)
    desk.close()
    found = read_journal(tmp_path / "a.journal")
    assert ended == [tmp_path / "a.journal"]
    assert found.ended
    assert 25 <= len(found.frames) <= 26  # the last pull may bring one more
    assert desk.feed.recorded is None


def test_when_the_stream_is_lost_the_recording_is_ended_and_the_reason_said(tmp_path: Path) -> None:
    source = Played(cells(Standing(), 1.0), lost=True)
    source.go.clear()
    ended: list[Path] = []
    desk = LiveDesk(source, ended=ended.append)
    desk.record(tmp_path / "a.journal", {}, None)
    source.go.set()
    view = until(desk, lambda v: v.ended is not None and ended)
    desk.close()
    assert isinstance(view.ended, MatLostError)
    assert read_journal(tmp_path / "a.journal").ended


def test_a_mat_that_sends_nothing_is_called_quiet_and_shows_again_when_it_does() -> None:
    source = Played(cells(Standing(), 4.0))
    desk = LiveDesk(source)
    until(desk, lambda v: not v.quiet)
    source.go.clear()
    until(desk, lambda v: v.quiet)
    assert desk.view.quiet
    source.go.set()
    until(desk, lambda v: not v.quiet)
    assert not desk.view.quiet
    desk.close()


def test_closing_while_recording_keeps_what_has_come(tmp_path: Path) -> None:
    desk = LiveDesk(Played(cells(Standing(), 4.0)))
    desk.record(tmp_path / "a.journal", {}, None)
    until(desk, lambda v: (v.recorded or 0) >= 6)
    desk.close()
    assert len(read_journal(tmp_path / "a.journal").frames) >= 6


def test_a_turned_mat_keeps_its_turn_in_the_live_figures() -> None:
    head = replace(HEAD, turned_deg=5.0)
    say = said_of(watched(cells(Standing(), 3.0), head=head).window(), head, Player())
    assert value(say.ground, "heel_line_deg") == pytest.approx(5.0, abs=0.3)  # + open: counter-clockwise


def test_a_full_disk_ends_the_recording_and_the_mat_is_still_seen(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    disk = ForgetfulDisk(full_at=3)
    monkeypatch.setattr("evenground.capture.journal.LocalDisk", lambda: disk)
    ended: list[Path] = []
    desk = LiveDesk(Played(cells(Standing(), 4.0)), ended=ended.append)
    desk.record(tmp_path / "a.journal", {}, None)
    view = until(desk, lambda v: v.refused is not None and ended)
    shown = view.picture
    until(desk, lambda v: v.picture is not None and v.picture is not shown)
    desk.close()
    assert isinstance(view.refused, JournalStoppedError)
    disk.leave(np.random.default_rng(1))
    assert len(read_journal(tmp_path / "a.journal").frames) == 4
