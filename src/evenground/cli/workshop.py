"""`evenground workshop`: an order from a visit, its steps, and what the finished grips say of the tape."""

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from evenground.cli.common import AsJson, show, table

if TYPE_CHECKING:
    from evenground.capture.order_file import OrderFile
    from evenground.fit.tape import TapeLearned
    from evenground.fit.workshop import Standing

__all__ = ["workshop_app"]

workshop_app = typer.Typer(
    help="Order builds, note each step, and learn the tape from what came back.", no_args_is_help=True
)
OrderPath = Annotated[Path, typer.Argument(help="The order (TOML).")]


@workshop_app.callback()
def _root() -> None:
    """Order builds, note each step, and learn the tape from what came back."""


@workshop_app.command("order")
def order(
    bundle: Annotated[Path, typer.Argument(help="Visit bundle, a folder or a zip.")],
    out: Annotated[Path, typer.Argument(help="Order to write; it may not be there yet.")],
    clubs: Annotated[
        list[str] | None, typer.Option("--club", help="Order this club only; may repeat.")
    ] = None,
    tolerance_mm: Annotated[
        float | None, typer.Option(min=0.05, max=5.0, help="How near to the ordered size counts; else 0.4.")
    ] = None,
) -> None:
    """Write an order: the best build of each club whose grip changes."""
    from evenground.assess import assess
    from evenground.assess.club import stock_of
    from evenground.capture.bundle import read_bundle
    from evenground.capture.order_file import order_text
    from evenground.fit.grip_constants import TOLERANCE_MM
    from evenground.report.build_view import NothingToOrderError, orders_of

    if out.exists():
        raise typer.BadParameter(f"{out} is there already", param_hint="OUT")
    read = read_bundle(bundle)
    findings = assess(read.visit, read.studio, read.open_blob, digests=read.digests)
    tolerance = TOLERANCE_MM.value if tolerance_mm is None else tolerance_mm
    lines = orders_of(read.visit, findings, tolerance_mm=tolerance, only=clubs)
    stock = stock_of(read.studio, read.open_blob)
    if not lines or stock is None:
        raise NothingToOrderError(read.visit.visit)
    text = order_text(player=read.visit.player.name, visit=read.visit.visit, tape=stock.tape, lines=lines)
    out.write_text(text, encoding="utf-8")
    print(f"{out} orders {', '.join(line.mark for line in lines)}.")


@workshop_app.command("step")
def step(
    file: OrderPath,
    club: Annotated[str, typer.Option(help="Mark of the club.")],
    state: Annotated[str, typer.Option(help="received, built, measured, accepted, back or cancelled.")],
    who: Annotated[str, typer.Option(help="Who did it.")],
    when: Annotated[str | None, typer.Option(help="When; else now.")] = None,
    upper_mm: Annotated[
        list[str] | None,
        typer.Option(help="Measured under the upper hand, a reading each; width x depth where not round."),
    ] = None,
    lower_mm: Annotated[
        list[str] | None,
        typer.Option(help="Measured under the lower hand, a reading each; width x depth where not round."),
    ] = None,
    upper_layers: Annotated[int | None, typer.Option(help="Layers put on, where not as ordered.")] = None,
    lower_layers: Annotated[int | None, typer.Option(help="Layers put on, where not as ordered.")] = None,
    mass_g: Annotated[float | None, typer.Option(help="Mass of the club.")] = None,
    reason: Annotated[
        str, typer.Option(help="Why it is accepted out of tolerance, sent back or cancelled.")
    ] = "",
    *,
    kept: Annotated[bool, typer.Option("--kept", help="The player has played it and keeps it.")] = False,
) -> None:
    """Add one step to an order; what is there already is never changed."""
    from evenground.capture.order_file import load_order, step_lines, step_table, with_step
    from evenground.report.workshop_words import standing_sentence

    given: dict[str, Any] = {
        "club": club,
        "state": state,
        "who": who,
        "when": when or datetime.now().astimezone().isoformat(timespec="minutes"),
        "upper_mm": [_size_back("upper hand", text) for text in upper_mm or []],
        "lower_mm": [_size_back("lower hand", text) for text in lower_mm or []],
        "upper_layers": upper_layers,
        "lower_layers": lower_layers,
        "mass_g": mass_g,
        "reason": reason,
        "kept": kept,
    }
    added = step_table(given, file="step")
    after = with_step(load_order(file), added)
    standing = next(found for found in after.standings() if found.line.mark == club)
    with file.open("a", encoding="utf-8") as out:
        out.write(step_lines(added))
    print(standing_sentence(standing))


def _size_back(label: str, text: str) -> float:
    from functools import partial

    from evenground.capture.order_file import size_back_mm
    from evenground.units import parse_length_mm

    return size_back_mm(text, partial(parse_length_mm, field=label, default_unit="mm"))


@workshop_app.command("show")
def show_order(
    file: OrderPath,
    *,
    stock: Annotated[
        Path | None, typer.Option(help="Stock list, to write it again with the tape as learned.")
    ] = None,
    write_stock: Annotated[Path | None, typer.Option(help="Where to write it; needs --stock.")] = None,
    as_json: AsJson = False,
) -> None:
    """Show where each club stands, and what the finished grips say of the tape."""
    from evenground.capture.order_file import load_order
    from evenground.fit.workshop import next_build

    if (stock is None) != (write_stock is None):
        raise typer.BadParameter("--stock and --write-stock belong together")
    read = load_order(file)
    standings, learned = read.standings(), _learned(read)
    if stock is not None and write_stock is not None and learned is not None:
        _write(stock, write_stock, learned)
    plain = {
        "clubs": [
            {
                "mark": s.line.mark,
                "grip": s.line.grip,
                "state": s.state,
                "open": s.open,
                "layers": s.layers,
                "ordered_mm": s.line.ordered_mm,
                "judgement": s.judgement,
                "next_build": None if learned is None else next_build(s, learned.tape),
                "steps": s.steps,
            }
            for s in standings
        ],
        "tape": learned,
    }
    show(plain, as_json=as_json, text=_text(standings, learned))


def _learned(read: "OrderFile") -> "TapeLearned | None":
    from evenground.fit.tape import learn_tape
    from evenground.fit.workshop import as_built

    readings = [r for s in read.standings() for r in as_built(s, s.line.mark)]
    return learn_tape(read.tape.to_tape(), readings) if readings else None


def _write(stock: Path, out: Path, learned: "TapeLearned") -> None:
    from dataclasses import replace

    from evenground.capture.stock import load_stock, with_tape

    shelf = load_stock(stock)
    tape = replace(
        shelf.tape,
        double_sided_mm=learned.tape.double_sided_mm,
        build_up_mm=learned.tape.build_up_mm,
        double_sided_se_mm=learned.tape.double_sided_se_mm,
        build_up_se_mm=learned.tape.build_up_se_mm,
    )
    out.write_text(with_tape(stock.read_text("utf-8-sig"), tape), encoding="utf-8")


def _text(standings: "tuple[Standing, ...]", learned: "TapeLearned | None") -> str:
    from evenground.report.workshop_words import again_sentence, tape_sentence

    rows = []
    for s in standings:
        last = s.steps[-1] if s.steps else None
        layers = "-" if s.layers is None else f"{s.layers.upper} / {s.layers.lower}"
        seen = f"{last.who}, {last.when}" if last is not None else "-"
        rows.append((s.line.mark, s.line.grip, layers, s.state, "open" if s.open else "closed", seen))
    parts = [table(rows, header=("club", "grip", "layers", "state", "", "last step"))]
    parts += ["", *(f"{s.line.mark}: {s.judgement.text}" for s in standings if s.judgement is not None)]
    again = [f"{s.line.mark}: {said}" for s in standings if (said := again_sentence(s, learned))]
    return "\n".join([*parts, *again, tape_sentence(learned)])
