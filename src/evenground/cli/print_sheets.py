"""`evenground print`: the printable sheets at true scale."""

from pathlib import Path
from typing import Annotated, Literal

import typer

__all__ = ["print_sheet"]


def print_sheet(
    sheet: Annotated[
        Literal["tags", "strip", "hand-sheet", "calibration-board", "plumb"],
        typer.Argument(help="Which sheet."),
    ],
    out: Annotated[Path | None, typer.Option(help="The PDF to write; SHEET.pdf unless given.")] = None,
    paper: Annotated[Literal["a4", "us-letter"], typer.Option(help="The printer's paper.")] = "a4",
) -> None:
    """Write a sheet to print at 100 %: tags, floor strip, place for a hand, calibration board, plumb line."""
    from evenground.report.print_sheets import print_sheet_pdf

    path = Path(f"{sheet}.pdf") if out is None else out
    path.write_bytes(print_sheet_pdf(sheet, paper))
    print(f"{path}: print at 100 %, then measure its check bar.")
