"""`evenground simulate mat --live`: a simulated player on a mat that sends, for another process to see."""

from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from evenground.simulate.live_mat import Playing

__all__ = ["EmptyS", "LiveMat", "MatName", "OpenNetwork", "UntilS", "play_live"]

LiveMat = Annotated[
    bool, typer.Option("--live", help="Send frames as a live stream until Ctrl-C, in place of a file.")
]
MatName = Annotated[str, typer.Option("--name", help="Live: the stream's name.")]
EmptyS = Annotated[
    float, typer.Option("--empty-s", min=0.0, max=600.0, help="Live: the mat is bare for so long in between.")
]
UntilS = Annotated[float | None, typer.Option("--until-s", min=0.1, help="Live: end after so long.")]
OpenNetwork = Annotated[bool, typer.Option("--network", help="Live: let other machines find the stream.")]


def play_live(playing: "Playing") -> None:
    """Send until it is over or Ctrl-C is pressed."""
    from evenground.simulate.live_mat import play

    place = "this network" if playing.network else "this machine"
    said = f"{playing.name} sends {playing.mat.rows} x {playing.mat.columns} cells at {playing.rate_hz:g} Hz"

    def begun() -> None:
        print(f"{said}; programs on {place} find it. Ctrl-C ends it.", flush=True)

    try:
        sent = play(playing, begun=begun)
    except KeyboardInterrupt:
        return
    print(f"{sent} frames sent.")
