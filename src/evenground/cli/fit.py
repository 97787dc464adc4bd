"""`evenground fit BUNDLE --out DIR`: one visit to findings, card, strip and build sheet."""

from pathlib import Path
from typing import Annotated

import typer

from evenground.cli.common import AsJson, progress, show, table
from evenground.errors import ReportError

__all__ = ["OutFolderError", "fit", "fit_into"]


class OutFolderError(ReportError):
    """The folder for the papers cannot be written."""

    do = "Give another folder with --out, or make room on the disk."

    def __init__(self, folder: str, reason: str) -> None:
        super().__init__(folder, reason)
        self.where = folder
        self.what = f"The papers cannot be written there ({reason})."


def fit(
    bundle: Annotated[
        Path, typer.Argument(help="The visit: a folder with visit.toml, or that folder zipped.")
    ],
    *,
    out: Annotated[Path, typer.Option("--out", help="Folder for the papers; made when it is not there.")],
    check_bar: Annotated[
        float | None,
        typer.Option("--check-bar-mm", help="The printed strip's 100 mm bar as a ruler measures it."),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Fit one visit: findings.json, setup-card.pdf, width-strip.pdf and build-sheet.pdf."""
    fit_into(bundle, out, check_bar_mm=check_bar, as_json=as_json)


def fit_into(bundle: Path, out: Path, *, check_bar_mm: float | None = None, as_json: bool = False) -> None:
    """Read a bundle, assess it, write the four papers, and say what came of it."""
    with progress("reading the visit", total=6) as step:
        from evenground.assess import assess
        from evenground.assess.instruments import printed_mm
        from evenground.capture.bundle import read_bundle
        from evenground.plain import dump
        from evenground.report.build_view import build_view
        from evenground.report.card_view import card_view
        from evenground.report.paper import build_sheet_pdf, setup_card_pdf, width_strip_pdf
        from evenground.report.strip_view import strip_view

        read = read_bundle(bundle)
        step()
        findings = assess(read.visit, read.studio, read.open_blob, digests=read.digests)
        step()
        settings = read.studio.settings
        papers = {"findings.json": dump(findings).encode()}
        papers["setup-card.pdf"] = setup_card_pdf(card_view(read.visit, settings, findings))
        step()
        bar_mm = printed_mm(read.studio, read.visit.day) if check_bar_mm is None else check_bar_mm
        papers["width-strip.pdf"] = width_strip_pdf(
            strip_view(read.visit, settings, findings, check_bar_mm=bar_mm)
        )
        step()
        papers["build-sheet.pdf"] = build_sheet_pdf(build_view(read.visit, settings, findings))
        step()
        _write(out, papers)
        step()
    lines = [(line.title, line.answer, line.now) for line in findings.card]
    said = table(lines, header=("line", "answer", "now"))
    gone = "".join(f"\nnot measured: {reason}" for reason in findings.not_measured)
    written = f"\n\nWritten to {out}: {', '.join(papers)}"
    show(findings, as_json=as_json, text=said + gone + written)


def _write(out: Path, papers: dict[str, bytes]) -> None:
    """Write all papers, each whole or not at all."""
    try:
        out.mkdir(parents=True, exist_ok=True)
        for name, content in papers.items():
            partial = out / f".{name}.part"
            partial.write_bytes(content)
            partial.replace(out / name)
    except OSError as exc:
        raise OutFolderError(str(out), (exc.strerror or type(exc).__name__).lower()) from exc
