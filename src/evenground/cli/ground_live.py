"""`evenground ground --live` and `--watch`: a mat while somebody stands on it, and files as they appear."""

import sys
import time
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from evenground.cli.common import show, table
from evenground.errors import EvengroundError
from evenground.floor import Handed, Side

if TYPE_CHECKING:
    from evenground.assess.live_desk import LiveDesk, LiveView
    from evenground.capture.layout import Layout
    from evenground.capture.live_inlet import LslSource, MatStream
    from evenground.estimate import Estimate
    from evenground.measure.ground import Ground
    from evenground.measure.one_foot import FootState

__all__ = ["Live", "LiveWanted", "Network", "Out", "Seconds", "Stream", "Watch", "live_or_watch"]

Live = Annotated[bool, typer.Option("--live", help="Show a mat that sends a live stream, until Ctrl-C.")]
Watch = Annotated[
    Path | None, typer.Option("--watch", help="Describe every recording that appears in this folder.")
]
Out = Annotated[
    Path | None,
    typer.Option("--out", help="With --live: record into this file (.parquet), then describe it."),
]
Seconds = Annotated[
    float | None,
    typer.Option("--seconds", min=0.5, max=600.0, help="Live: end after so long (10 with --out)."),
]
Stream = Annotated[str | None, typer.Option("--stream", help="Live: the stream's name, where several send.")]
Network = Annotated[
    bool,
    typer.Option("--network", help="Live: also find mats of other machines; anybody there can send one."),
]

_FIND_S = 10.0
_LOOK_S = 0.25
_OUT_S = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class LiveWanted:
    """What was asked for on the command line."""

    layout: Path | None
    mass_kg: float | None
    handed: Handed
    stream: str | None
    network: bool
    out: Path | None
    seconds: float | None
    as_json: bool
    feet: "Mapping[Side, FootState]"


def live_or_watch(wanted: LiveWanted, watch: Path | None, text: Any) -> None:
    """Run the one or the other.

    Parameters
    ----------
    wanted
        The options.
    watch
        The folder to watch; None for a live mat.
    text
        Turns a result into the table for a person.
    """
    if watch is not None:
        _watch(watch, wanted, text)
    else:
        _live(wanted, text)


# A live mat -----------------------------------------------------------------------------------------------


def _live(wanted: LiveWanted, text: Any) -> None:
    if wanted.out is not None and wanted.out.suffix != ".parquet":
        msg = "--out takes a name that ends in .parquet"
        raise typer.BadParameter(msg)
    if wanted.as_json and wanted.out is None:
        msg = "--json needs --out: a live picture has no end to print"
        raise typer.BadParameter(msg)
    from evenground.assess.live import Player
    from evenground.assess.live_desk import LiveDesk

    if wanted.out is not None:
        _recover(wanted.out.parent)
    source = _found(wanted)
    desk = LiveDesk(source, Player(handed=wanted.handed, mass_kg=wanted.mass_kg, feet=wanted.feet))
    try:
        if wanted.out is None:
            _show(desk, wanted, wanted.seconds)
            return
        journal = wanted.out.with_suffix(".journal")
        seconds = wanted.seconds or _OUT_S
        desk.record(journal, {}, seconds)
        _show(desk, wanted, None)
    finally:
        desk.close()
    _describe(journal, wanted, text)


def _recover(folder: Path) -> None:
    """Make recordings of what killed recordings left beside the file that is wanted."""
    from evenground.capture.journal import file_recording, left_journals

    for path in left_journals(folder):
        out = path.with_suffix(".parquet")
        if out.exists():
            out = path.with_name(f"{path.stem}-recovered.parquet")
        found = file_recording(path, out)
        if found is not None:
            print(
                f"{path.name} was left behind: its {len(found.cells)} frames are in {out.name}.",
                file=sys.stderr,
            )


def _layout(wanted: LiveWanted) -> "Layout | None":
    from evenground.capture.layout import load_layout

    return None if wanted.layout is None else load_layout(wanted.layout)


def _found(wanted: LiveWanted) -> "LslSource":
    """The stream that is meant, waited for."""
    from evenground.capture.live_inlet import LslSource, NoMatError, StreamsInReach, choose

    layout = _layout(wanted)
    reach = StreamsInReach(network=wanted.network)
    end = time.monotonic() + _FIND_S
    found: MatStream | None = None
    while found is None:
        if time.monotonic() > end:
            raise NoMatError(_FIND_S, wanted.network)
        time.sleep(_LOOK_S)
        found = choose(reach.now(), wanted.stream, layout)
    return LslSource(found, network=wanted.network, layout=layout)


def _show(desk: "LiveDesk", wanted: LiveWanted, seconds: float | None) -> None:
    """Show the mat until its time is over, its recording is, or somebody presses Ctrl-C."""
    from rich.console import Console
    from rich.live import Live as Screen
    from rich.text import Text

    began, recording = time.monotonic(), desk.feed.recorded is not None
    terminal = Console(stderr=wanted.as_json)
    with Screen(console=terminal, auto_refresh=False, transient=recording) as screen:
        try:
            for view in _views(desk):
                said = Text(_picture(desk, view, wanted))
                if terminal.is_terminal:
                    screen.update(said, refresh=True)
                over = seconds is not None and time.monotonic() - began >= seconds
                if over or (recording and desk.feed.recorded is None):
                    break
        except KeyboardInterrupt:
            desk.end()
        if not terminal.is_terminal and not recording:
            terminal.print(_picture(desk, desk.view, wanted))
    if desk.view.ended is not None and not recording:
        raise desk.view.ended


def _views(desk: "LiveDesk") -> "Iterator[LiveView]":
    """What there is to see, four times a second; ends when nothing comes any more."""
    while desk.view.ended is None:
        time.sleep(_LOOK_S)
        yield desk.view


def _picture(desk: "LiveDesk", view: "LiveView", wanted: LiveWanted) -> str:
    """The mat in a few lines."""
    head = desk.head
    reach = "the whole network" if wanted.network else "this machine only"
    lines = [
        f"{head.name}: {head.rows} x {head.columns} cells, {head.rate_hz:g} Hz; found on {reach}",
        table([*_now(view), *_lately(view)]),
    ]
    if view.recorded is not None:
        lines.append(f"recording {view.recorded / head.rate_hz:.1f} s")
    if view.left_out:
        lines.append(f"{view.left_out} frames held no pressure and were left out")
    return "\n".join(lines)


def _now(view: "LiveView") -> list[tuple[str, str]]:
    seen = None if view.picture is None else view.picture.moment
    if view.quiet or seen is None:
        return [("now", "the mat is quiet" if view.quiet else "two feet are not seen")]
    force = "" if seen.force_n is None else f", {seen.force_n:.0f} N"
    x, y = seen.from_heels_mm
    return [
        ("load now", f"left {seen.load_left_percent:.1f} %, right {seen.load_right_percent:.1f} %{force}"),
        (
            "CoP now",
            f"{abs(x):.0f} mm {'right' if x >= 0.0 else 'left'}, {y:.0f} mm ahead of the heel centres",
        ),
    ]


def _lately(view: "LiveView") -> list[tuple[str, str]]:
    """What the last seconds say: load and CoP with their range, and the grade."""
    say = view.say
    if say.ground is None:
        return [("grade", say.trouble)]
    ground = say.ground
    load, cop = ground.feet.left.load_percent, ground.cop_mm
    flags = [(f"  {flag.where}", flag.text) for flag in ground.grade.flags]
    return [
        (f"last {say.seconds:.0f} s", f"load left {_range(load)}"),
        ("", f"CoP to the right {_range(cop.x)}"),
        ("", f"CoP ahead {_range(cop.y)}"),
        ("grade", "usable" if ground.grade.usable else "not usable so"),
        *flags,
    ]


def _range(estimate: "Estimate | None") -> str:
    if estimate is None:
        return "not measured"
    return f"{estimate.value:.1f} ± {estimate.half_width():.1f} {estimate.unit}"


def _describe(journal: Path, wanted: LiveWanted, text: Any) -> None:
    """File what was recorded, and describe it as any recording."""
    from evenground.capture.frames import NoFramesError
    from evenground.capture.journal import file_recording

    out = journal.with_suffix(".parquet")
    recording = file_recording(journal, out)
    if recording is None:
        raise NoFramesError(out.name)
    print(f"{out} holds {len(recording.cells)} frames.", file=sys.stderr)
    _one(recording, wanted, text)


def _one(recording: Any, wanted: LiveWanted, text: Any) -> "Ground":
    from evenground.measure.one_foot import describe_by_limbs

    result = describe_by_limbs(recording, wanted.feet, handed=wanted.handed, mass_kg=wanted.mass_kg)
    show(result, as_json=wanted.as_json, text=text(result))
    return result


# A watched folder -----------------------------------------------------------------------------------------


def _watch(folder: Path, wanted: LiveWanted, text: Any) -> None:
    """Describe every file that appears and stops growing, until Ctrl-C or for so many seconds."""
    from evenground.capture.recording import load_recording
    from evenground.capture.watched_folder import WatchedFolder

    layout = _layout(wanted)
    watch = WatchedFolder(folder)
    print(f"Watching {folder}: recordings that appear are described. Ctrl-C ends it.", file=sys.stderr)
    began = time.monotonic()
    try:
        while wanted.seconds is None or time.monotonic() - began < wanted.seconds:
            for settled in watch.look(time.monotonic()):
                print(f"\n{settled.path.name}", file=sys.stderr)
                try:
                    _one(load_recording(settled.path, layout=layout), wanted, text)
                except EvengroundError as exc:  # one bad file does not end the watch
                    print(exc, file=sys.stderr)
            time.sleep(_LOOK_S)
    except KeyboardInterrupt:
        return
