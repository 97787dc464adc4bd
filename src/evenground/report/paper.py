"""View models to PDF: typst does the setting, the words and figures come as JSON, never as markup."""

import json
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from evenground.errors import ReportError
from evenground.plain import to_plain
from evenground.report.build_view import BuildView
from evenground.report.card_view import CardView
from evenground.report.strip_view import StripView

__all__ = [
    "PageTooSmallError",
    "PaperNotSetError",
    "build_sheet_pdf",
    "font_folders",
    "paper_again",
    "setup_card_pdf",
    "width_strip_pdf",
]

TEMPLATES = Path(__file__).parent / "templates"


class PageTooSmallError(ReportError):
    """The player's page holds more than one sheet of paper can."""

    do = "Shorten the longest names (player, shoes, club marks) or print on the larger paper."

    def __init__(self, page: str) -> None:
        super().__init__(page)
        self.where = page
        self.what = (
            "The page does not fit on one sheet, even with everything that may move overleaf moved there."
        )


class PaperNotSetError(ReportError):
    """The typesetter stopped for a reason of its own."""

    do = "Please report this with the findings file; nothing of the visit is lost."

    def __init__(self, page: str, reason: str) -> None:
        super().__init__(page, reason)
        self.where = page
        self.what = f"The typesetter stopped: {reason}."


def font_folders() -> list[str]:
    """Folders of the two font packages."""
    import font_source_sans_pro
    import font_source_serif_pro

    return [font_source_sans_pro.font_directory, font_source_serif_pro.font_directory]


@cache
def _fonts() -> Any:
    """The two families and nothing from this machine, so that a card is the same everywhere."""
    import typst

    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=font_folders())


def setup_card_pdf(view: CardView) -> bytes:
    """The setup card: page one for the player, the evidence overleaf.

    Raises
    ------
    PageTooSmallError
        If page one does not fit on one sheet with everything movable moved overleaf.
    """
    return _set("card", "setup card", view)


def width_strip_pdf(view: StripView) -> bytes:
    """The width strip, lengths along it exact."""
    return _set("strip", "width strip", view)


def build_sheet_pdf(view: BuildView) -> bytes:
    """The workshop's build sheet."""
    return _set("build", "build sheet", view)


def paper_again(name: str, plain: Mapping[str, Any]) -> bytes:
    """Set ``setup-card``, ``width-strip``, ``build-sheet``, ``badges``, ``handout`` from their plain form.

    A signed card keeps that form, so that it is printed again to the byte without working anything out.
    """
    templates = {"setup-card": "card", "width-strip": "strip", "build-sheet": "build"}
    return _set(templates.get(name, name), name.replace("-", " "), plain)


def _set(template: str, page: str, view: Any) -> bytes:
    import typst

    data = json.dumps(to_plain(view), ensure_ascii=False, allow_nan=False)
    try:
        pdf = typst.compile(
            TEMPLATES / f"{template}.typ",
            root=TEMPLATES,
            font_paths=_fonts(),
            ignore_system_fonts=True,
            format="pdf",
            sys_inputs={"view": data},
        )
    except typst.TypstError as exc:
        if "page too small" in str(exc):
            raise PageTooSmallError(page) from exc
        raise PaperNotSetError(page, " ".join(str(exc).split())) from exc
    return bytes(pdf)
