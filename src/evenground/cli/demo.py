"""`evenground demo`: the example visit, fitted without a screen or opened in the studio app."""

from pathlib import Path
from typing import Annotated

import typer

__all__ = ["demo"]


def demo(
    headless: Annotated[
        Path | None, typer.Option("--headless", help="Fit the example visit into this folder; no app.")
    ] = None,
) -> None:
    """Fit the example visit of an invented player."""
    from evenground.cli.fit import fit_into
    from evenground.example import example_bundle

    if headless is None:
        raise typer.BadParameter("give --headless DIR", param_hint="--headless")
    fit_into(example_bundle(), headless)
