"""Sheets to print at true scale: tags, floor strip, a place for a hand, calibration board, plumb target."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

from evenground.capture.sheets import modules, sheets
from evenground.errors import ReportError
from evenground.report.paper import TEMPLATES, font_folders

__all__ = ["SHEETS", "WHAT_FOR", "NoSuchSheetError", "SheetName", "print_sheet_pdf", "sheet_pages"]

SheetName = Literal["tags", "strip", "hand-sheet", "calibration-board", "plumb"]
SHEETS: tuple[SheetName, ...] = ("tags", "strip", "hand-sheet", "calibration-board", "plumb")
WHAT_FOR: dict[SheetName, str] = {
    "tags": "For bar, shoulders, a strip along each foot, face rod and ball: cut out, glue flat.",
    "strip": "Lies on the floor along the target line; every angle and the ball are read against it.",
    "hand-sheet": "A hand lies on it between four tags and is measured from one photo.",
    "calibration-board": "Glued on stiff board, photographed from a dozen sides: it tells a camera's lens.",
    "plumb": "Hangs behind a weighted thread: what is upright in a photo from the side.",
}
"""What each sheet is for."""
PAPERS = {"a4": (210.0, 297.0), "us-letter": (215.9, 279.4)}
CHECK_MM = 100.0


class NoSuchSheetError(ReportError):
    """A sheet that is none of those on offer."""

    def __init__(self, name: str) -> None:
        super().__init__(name)
        self.where = "print"
        self.what = f"There is no sheet called {name!r}."
        self.do = f"Ask for one of {', '.join(SHEETS)}."


@dataclass(slots=True)
class _Page:
    """One page: black rectangles, lines, texts, all in mm from the top left corner."""

    wide_mm: float
    tall_mm: float
    black: list[tuple[float, float, float, float]]
    lines: list[tuple[float, float, float, float, float]]
    texts: list[tuple[float, float, str, float]]

    def tag(self, tag: int, x_mm: float, y_mm: float, size_mm: float) -> None:
        """A tag with its middle at a place; each run of black modules is one rectangle, so no seam shows."""
        cell = size_mm / 8.0
        left, top = x_mm - size_mm / 2.0, y_mm - size_mm / 2.0
        for row, cells in enumerate(modules(tag)):
            start = None
            for column in range(9):
                black = column < 8 and bool(cells[column])
                if black and start is None:
                    start = column
                if not black and start is not None:
                    self.black.append((left + start * cell, top + row * cell, (column - start) * cell, cell))
                    start = None

    def line(self, x0: float, y0: float, x1: float, y1: float, weight: float = 0.5) -> None:
        """A line; `weight` in points."""
        self.lines.append((x0, y0, x1, y1, weight))

    def text(self, x: float, y: float, words: str, size: float = 9.0) -> None:
        """Words with their top left at a place."""
        self.texts.append((x, y, words, size))

    def check_bar(self, x: float, y: float) -> None:
        """A bar of 100 mm to measure the print with."""
        self.line(x, y, x + CHECK_MM, y, 0.8)
        for at in (0.0, CHECK_MM):
            self.line(x + at, y - 2.0, x + at, y + 2.0, 0.5)
        self.text(x + 4.0, y + 1.5, "100 mm. Print at 100 %, then measure this bar.", 8.0)


def _page(paper: str, *, lying: bool = False) -> _Page:
    wide, tall = PAPERS[paper]
    if lying:
        wide, tall = tall, wide
    return _Page(wide, tall, [], [], [])


def _tags(paper: str) -> list[_Page]:
    """Every tag of bars, shoulders, feet, face and ball, to be cut out along its white margin."""
    plain, pages = sheets().plain, []
    groups = [(n, plain[n]) for n in ("bar", "shoulders", "left-foot", "right-foot", "face", "ball")]
    page = _page(paper)
    x, y, row = 50.0, 62.0, 0.0
    page.text(20.0, 14.0, "Tags: cut out with the white margin, glue flat", 14.0)
    for name, group in groups:
        size = group["size_mm"]
        for end, tag in ((k, v) for k, v in group.items() if k != "size_mm"):
            if x + size / 2.0 + 10.0 > page.wide_mm - 10.0:
                x, y, row = 50.0, y + row + 24.0, 0.0
            if y + size / 2.0 + 16.0 > page.tall_mm - 30.0:
                page.check_bar(20.0, page.tall_mm - 16.0)
                pages.append(page)
                page, x, y, row = _page(paper), 50.0, 62.0, 0.0
            page.tag(tag, x, y, size)
            page.text(
                x - size / 2.0, y + size / 2.0 + size / 8.0, f"{tag}  {name.replace('-', ' ')}, {end}", 8.0
            )
            row = max(row, size)
            x += size + 24.0
    page.check_bar(20.0, page.tall_mm - 16.0)
    return [*pages, page]


def _strip(paper: str) -> list[_Page]:
    """The floor strip on sheets that are joined edge to edge along the target line."""
    strip = sheets().plain["strip"]
    pages = []
    for sheet in range(strip["sheets"]):
        page = _page(paper, lying=True)
        left = (page.wide_mm - strip["sheet_wide_mm"]) / 2.0
        foot = page.tall_mm - 22.0
        for k, (x, y) in enumerate(zip(strip["x_mm"], strip["y_mm"], strict=True)):
            page.tag(strip["first_id"] + sheet * len(strip["x_mm"]) + k, left + x, foot - y, strip["size_mm"])
        for edge in (left, left + strip["sheet_wide_mm"]):
            page.line(edge, 8.0, edge, page.tall_mm - 8.0, 0.4)
        page.line(left, foot, left + strip["sheet_wide_mm"], foot, 0.4)
        words = (
            f"Floor strip {sheet + 1} of {strip['sheets']}: lay line on line, this edge along the target line"
        )
        page.text(left + 6.0, 10.0, words, 10.0)
        page.text(left + strip["sheet_wide_mm"] - 48.0, 10.0, "sheet 1 at the player's left", 8.0)
        page.check_bar(left + 80.0, page.tall_mm - 10.0)
        pages.append(page)
    return pages


def _hand(paper: str) -> list[_Page]:
    group, page = sheets().plain["hand-sheet"], _page(paper)
    left = (page.wide_mm - 190.0) / 2.0
    for tag, x, y in zip(group["ids"], group["x_mm"], group["y_mm"], strict=True):
        page.tag(tag, left + x, 10.0 + y, group["size_mm"])
    page.text(left + 40.0, 12.0, "One hand between the tags, fingers a little apart, wrist below", 10.0)
    page.line(left + 45.0, 236.0, left + 145.0, 236.0, 0.3)
    page.check_bar(left + 40.0, page.tall_mm - 12.0)
    return [page]


def _board(paper: str) -> list[_Page]:
    board, page = sheets().plain["calibration"], _page(paper)
    left = (page.wide_mm - (board["columns"] - 1) * board["pitch_mm"]) / 2.0
    for row in range(board["rows"]):
        for column in range(board["columns"]):
            tag = board["first_id"] + row * board["columns"] + column
            page.tag(tag, left + column * board["pitch_mm"], 34.0 + row * board["pitch_mm"], board["size_mm"])
    page.text(20.0, 8.0, "Calibration board: glue flat on stiff board; photograph from a dozen sides", 10.0)
    page.check_bar(20.0, page.tall_mm - 10.0)
    return [page]


def _plumb(paper: str) -> list[_Page]:
    """A target for a thread with a weight: hang it, line the thread up, and the picture has a vertical.

    Two tags beside the line are found by themselves in a photo from the side; they give the scale too.
    """
    page = _page(paper)
    middle = page.wide_mm / 2.0
    sheet = sheets().plain["plumb"]
    for tag, down in ((sheet["top"], -0.5), (sheet["bottom"], 0.5)):
        y = (page.tall_mm - 10.0) / 2.0 + down * sheet["apart_mm"]
        page.tag(tag, middle + sheet["beside_mm"], y, sheet["size_mm"])
    page.line(middle, 20.0, middle, page.tall_mm - 30.0, 0.8)
    for y in range(40, int(page.tall_mm) - 40, 20):
        page.line(
            middle - (12.0 if y % 100 == 40 else 6.0),
            float(y),
            middle + (12.0 if y % 100 == 40 else 6.0),
            float(y),
            0.5,
        )
    page.text(
        20.0,
        10.0,
        "Plumb target: hang a weighted thread before it and turn the sheet until both run together",
        10.0,
    )
    page.text(
        20.0, page.tall_mm - 24.0, "The line is upright then, and so is everything measured against it.", 9.0
    )
    page.check_bar(20.0, page.tall_mm - 12.0)
    return [page]


def _made(name: str, paper: str) -> Sequence[_Page]:
    makers = {
        "tags": _tags,
        "strip": _strip,
        "hand-sheet": _hand,
        "calibration-board": _board,
        "plumb": _plumb,
    }
    if name not in makers:
        raise NoSuchSheetError(name)
    return makers[name](paper)


def sheet_pages(name: str, paper: str = "a4") -> int:
    """How many pages of paper a sheet takes.

    Raises
    ------
    NoSuchSheetError
        If there is none of that name.
    """
    return len(_made(name, paper))


def print_sheet_pdf(name: str, paper: str = "a4") -> bytes:
    """One of the printable sheets as a PDF at true scale.

    Raises
    ------
    NoSuchSheetError
        If there is none of that name.
    """
    import typst

    pages = _made(name, paper)
    view: dict[str, Any] = {
        "pages": [
            {"wide_mm": p.wide_mm, "tall_mm": p.tall_mm, "black": p.black, "lines": p.lines, "texts": p.texts}
            for p in pages
        ]
    }
    made = typst.compile(
        TEMPLATES / "sheets.typ",
        root=TEMPLATES,
        font_paths=typst.Fonts(
            include_system_fonts=False, include_embedded_fonts=False, font_paths=font_folders()
        ),
        format="pdf",
        sys_inputs={"view": json.dumps(view)},
    )
    return bytes(made)  # one PDF holds all pages
