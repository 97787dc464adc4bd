"""What the commands share: one sentence for an error, JSON or a short table, a progress bar past a second."""

import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated, Any

import typer

from evenground.errors import EvengroundError

__all__ = ["AsJson", "DataFolder", "progress", "report_errors", "show", "table"]

AsJson = Annotated[
    bool, typer.Option("--json", help="Write JSON to standard output, and nothing else there.")
]

DataFolder = Annotated[
    Path | None, typer.Option("--data", help="The data folder, in place of this person's own.")
]


@contextmanager
def report_errors() -> Iterator[None]:
    """Print what a person can put right to standard error and exit with status 1."""
    try:
        yield
    except EvengroundError as exc:
        print(exc, file=sys.stderr)
        raise SystemExit(1) from exc


def show(result: Any, *, as_json: bool, text: str) -> None:
    """Print the result as JSON, or the text for a person."""
    from evenground.plain import dump

    print(dump(result) if as_json else text)


def table(rows: Sequence[Sequence[str]], *, header: Sequence[str] | None = None) -> str:
    """Plain columns, two spaces apart, without trailing blanks.

    Examples
    --------
    >>> print(table([("putter", "243 mm"), ("irons", "368 mm")]))
    putter  243 mm
    irons   368 mm
    """
    lines = [tuple(header), *rows] if header is not None else list(rows)
    widths = [max(len(line[i]) for line in lines) for i in range(len(lines[0]))] if lines else []
    return "\n".join("  ".join(c.ljust(w) for c, w in zip(r, widths, strict=True)).rstrip() for r in lines)


@contextmanager
def progress(what: str, *, total: int | None = None) -> Iterator[Any]:
    """A bar on standard error for work that may take over a second; call the yielded function to advance it.

    Nothing shows when standard error is not a terminal, and the bar leaves nothing behind.
    """
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    bar = Progress(
        TextColumn("{task.description}"),
        BarColumn(),
        TimeElapsedColumn(),
        console=Console(stderr=True),
        transient=True,
        disable=not sys.stderr.isatty(),
    )
    with bar:
        task = bar.add_task(what, total=total)
        yield lambda steps=1: bar.advance(task, steps)
