"""`evenground verify BUNDLE`: a bundle held against its schemas, its log, and its signed cards."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from evenground.cli.common import AsJson, progress, show, table

if TYPE_CHECKING:
    from evenground.records.verifying import CardChecked, Verified

__all__ = ["verify"]


def verify(
    bundle: Annotated[
        Path, typer.Argument(help="The visit: a folder with visit.toml, or that folder zipped.")
    ],
    *,
    as_json: AsJson = False,
) -> None:
    """Check a bundle against its schemas and its log, and work out its signed cards again."""
    with progress("checking the bundle"):
        from evenground.studio.desk import set_up

        set_up()
        from evenground.records.verifying import verify_bundle

        found = verify_bundle(bundle)
    show(found, as_json=as_json, text=_text(found))
    if not found.sound:
        raise typer.Exit(1)


def _text(found: "Verified") -> str:
    log = "no log of readings" if found.readings is None else f"{found.readings} readings, as visit.toml says"
    gone = f", {found.files_deleted} of them deleted on purpose" if found.files_deleted else ""
    rows: list[tuple[str, str]] = [("visit", found.visit), ("log", log), ("files", f"{found.files}{gone}")]
    rows += [(f"card {card.number}", _card(card)) for card in found.cards]
    if not found.cards:
        rows.append(("cards", "none signed"))
    return table(rows)


def _card(card: "CardChecked") -> str:
    """One signed card in a line."""
    printed = {True: "prints to the byte", False: "DOES NOT PRINT AS SIGNED", None: "its print was not kept"}
    told = [f"signed by {card.signer}, {card.signed_at[:10]}", printed[card.printed_same]]
    differ = dict.fromkeys((*card.lines_differing, *card.findings_differing))
    if card.unchecked is not None:
        told.append(f"not worked out again ({card.unchecked})")
    elif not differ:
        told.append("worked out again to the same digits")
    elif card.unexplained:
        told.append(f"WORKED OUT OTHERWISE, with no method changed: {', '.join(card.unexplained)}")
    else:
        told.append(f"{len(differ)} results differ now: the method moved ({', '.join(card.methods_moved)})")
    return "; ".join(told)
