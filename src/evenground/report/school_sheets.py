"""A school's paper: badges with their codes, and all signed cards as one file to print."""

import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from evenground.report.paper import PaperNotSetError, paper_again

__all__ = ["BadgeSheet", "BadgeView", "badges_pdf", "bound_pdf"]

_BIND = """#set page(margin: 0mm, width: {wide}, height: {high})
#let card(name, pages) = for n in range(1, pages + 1) {{
  image(name, page: n, width: 100%, height: 100%)
}}
{cards}
"""
SIZES = {"a4": ("210mm", "297mm"), "us-letter": ("8.5in", "11in")}
MOST_PAGES = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class BadgeView:
    """One badge; `modules` are the dark squares of its code, column and row, of `side` each way."""

    name: str
    person: str
    code: str
    side: int
    modules: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BadgeSheet:
    """All badges of a school."""

    paper: str
    title: str
    badges: tuple[BadgeView, ...]


def badges_pdf(sheet: BadgeSheet) -> bytes:
    """The badges, eight on a page."""
    from evenground.plain import to_plain

    return paper_again("badges", to_plain(sheet))


def bound_pdf(papers: Sequence[bytes], paper: str) -> bytes:
    """Several PDFs one after the other as one, each page as it was.

    Parameters
    ----------
    papers
        At least one, each of our own making and of the size of `paper`.
    paper
        ``a4`` or ``us-letter``.

    Raises
    ------
    PaperNotSetError
        When one of them cannot be read.
    """
    wide, high = SIZES[paper]
    with tempfile.TemporaryDirectory() as folder:
        lines = []
        for number, pdf in enumerate(papers):
            name = f"{number}.pdf"
            (Path(folder) / name).write_bytes(pdf)
            lines.append(f'#card("{name}", {_pages(Path(folder), name)})')
        source = _BIND.format(wide=wide, high=high, cards="\n".join(lines))
        return _compiled(Path(folder), source)


def _pages(folder: Path, name: str) -> int:
    """How many pages a PDF has: the typesetter is asked for one after another until there is none."""
    for page in range(2, MOST_PAGES + 1):
        try:
            _compiled(folder, f'#image("{name}", page: {page})')
        except PaperNotSetError:
            return page - 1
    return MOST_PAGES


def _compiled(folder: Path, source: str) -> bytes:
    import typst

    main = folder / "bound.typ"
    main.write_text(source, "utf-8")
    try:
        done: Any = typst.compile(main, root=folder, format="pdf", ignore_system_fonts=True)
    except typst.TypstError as exc:
        raise PaperNotSetError("all cards", " ".join(str(exc).split())) from exc
    return bytes(done)
