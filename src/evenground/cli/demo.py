"""`evenground demo`: the example visit, fitted without a screen or opened in the studio app."""

from pathlib import Path
from typing import Annotated

import typer

__all__ = ["demo"]


def demo(
    headless: Annotated[
        Path | None, typer.Option("--headless", help="Fit the example visit into this folder; no app.")
    ] = None,
    port: Annotated[
        int, typer.Option("--port", min=0, max=65535, help="The app's port; 0 takes a free one.")
    ] = 8710,
    out: Annotated[
        Path, typer.Option(hidden=True, envvar="OUT", help="The folder that HEADLESS=1 fits into.")
    ] = Path("demo-out"),
    *,
    no_screen: Annotated[
        bool, typer.Option(hidden=True, envvar="HEADLESS", help="As --headless, into the folder OUT.")
    ] = False,
) -> None:
    """Open the app on an invented studio, or fit the example visit of an invented player.

    HEADLESS=1 in the environment does the same as --headless, into the folder that OUT names or demo-out.
    """
    from evenground.cli.fit import fit_into
    from evenground.example import example_bundle

    if headless is not None or no_screen:
        fit_into(example_bundle(), headless or out)
        return
    from evenground.studio.demo import open_demo_studio

    open_demo_studio(port=port, say=lambda text: print(text, flush=True))
