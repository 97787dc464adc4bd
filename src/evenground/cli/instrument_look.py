"""`evenground instrument show`, `since`, `weigh`: what is known of the instruments, and what stands on it."""

from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

from evenground.cli.common import AsJson, progress, show, table

__all__ = ["show_checks", "since", "weigh"]


def show_checks(
    file: Annotated[Path, typer.Argument(help="instrument.toml.")],
    day: Annotated[datetime | None, typer.Option("--day", help="As of this day; without it, today.")] = None,
    limit_days: Annotated[
        int, typer.Option("--limit-days", min=1, max=365, help="A check older than this is too old.")
    ] = 7,
    *,
    as_json: AsJson = False,
) -> None:
    """Show each instrument's newest checks, and whether it may be trusted."""
    from evenground.capture.instrument_file import load_instruments
    from evenground.instruments import as_of, last_good, latest
    from evenground.measure.instrument_judge import trust

    when = (day or datetime.now().astimezone()).date()
    plain, parts = [], []
    for one in load_instruments(file):
        known = as_of(one, when)
        doubts = trust(one, day=when, limit_days=limit_days)
        checks = tuple(latest(known).values())
        plain.append({"name": one.name, "kind": one.kind, "checks": checks, "doubts": doubts,
                      "last_good": _iso(last_good(known))})  # fmt: skip
        rows = [(c.step, f"{c.at:%Y-%m-%d %H:%M}", "in order" if c.passed else c.why) for c in checks]
        said = "may be trusted" if not doubts else "; ".join(doubts)
        parts.append("\n".join([f"{one.name} ({one.kind}): {said}", table(rows)]))
    show(plain, as_json=as_json, text="\n\n".join(parts) or "No instrument is in this file.")


def since(
    file: Annotated[Path, typer.Argument(help="instrument.toml.")],
    bundles: Annotated[list[Path], typer.Argument(help="Visit bundles to look through.")],
    *,
    as_json: AsJson = False,
) -> None:
    """List what was measured with an instrument that failed, since it was last in order."""
    from evenground.assess.doubted import doubted_visits
    from evenground.capture.bundle import read_bundle
    from evenground.capture.instrument_file import load_instruments

    with progress("Reading visits", total=len(bundles)) as advance:
        visits = []
        for path in bundles:
            visits.append(read_bundle(path).visit)
            advance()
    found = doubted_visits(load_instruments(file), visits)
    rows = [(d.instrument, d.day.isoformat(), d.visit, d.what) for d in found]
    text = table(rows, header=("instrument", "day", "visit", "measured")) if rows else "Nothing is in doubt."
    show(found, as_json=as_json, text=text)


def weigh(
    file: Annotated[
        Path,
        typer.Argument(
            help="CSV: person, stood_on, force_n, mass_kg; optional left_n, right_n, empty_n, worn_kg."
        ),
    ],
    *,
    as_json: AsJson = False,
) -> None:
    """Hold total forces against body masses: a tare offset, a wrong unit and a wrong mass told apart."""
    from evenground.assess.left_shares import without_offset
    from evenground.capture.weighings import load_weighings
    from evenground.measure.weighing import explain_weights

    rows = load_weighings(file)
    found = explain_weights([row.weighing for row in rows])
    shares = without_offset(rows, found)
    lines = [m.text for m in found] or ["Total forces and body masses agree."]
    parts = ["\n".join(lines)]
    if shares:
        cells = [
            (s.person, s.stood_on, f"{s.naive_percent:.2f}", f"{s.left_percent.value:.2f} %") for s in shares
        ]
        parts.append(table(cells, header=("person", "on", "left as read", "left without the offset")))
    show({"mismatches": found, "left_shares": shares}, as_json=as_json, text="\n\n".join(parts))


def _iso(moment: datetime | None) -> str | None:
    return None if moment is None else moment.isoformat()
