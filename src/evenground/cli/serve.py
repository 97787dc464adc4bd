"""`evenground serve`: the studio app on this machine's data folder."""

from pathlib import Path
from typing import Annotated

import typer

__all__ = ["serve"]

Lan = Annotated[
    bool, typer.Option("--lan", help="Let tablets and phones of this network in, over TLS, after pairing.")
]


def serve(
    *,
    lan: Lan = False,
    port: Annotated[
        int, typer.Option("--port", min=0, max=65535, help="The port; 0 takes a free one.")
    ] = 8710,
    data: Annotated[
        Path | None, typer.Option("--data", help="The data folder, in place of this person's own.")
    ] = None,
) -> None:
    """Run the studio app until it is stopped with Ctrl-C."""
    from evenground.studio.serving import Wanted, first_link, run, start

    started = start(Wanted(folder=data, port=port, lan=lan))
    link = first_link(started.address)
    lines = [f"Evenground is open at {started.address}"]
    if lan:
        lines.append(
            f"on this network at {started.lan_address}; devices are let in by a code from the laptop"
        )
        lines.append(f"certificate {started.fingerprint}")
    lines.append(f"records in {started.home.folder}")
    if link is not None:
        lines.append(f"This studio has no owner yet. This link makes one, once: {link}")
    run(started, ready=lambda: print("\n".join(lines), flush=True))
