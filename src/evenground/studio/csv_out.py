"""Tables for a spreadsheet, in which no cell is a formula."""

import csv
import io
from collections.abc import Iterable, Sequence

from django.http import HttpResponse

__all__ = ["csv_response", "neutral"]

Cell = str | int | float | None
_BEGINS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠", "|", "%")


def neutral(cell: Cell) -> str:
    r"""A cell's text; one that a spreadsheet would calculate gets an apostrophe in front.

    Numbers that are numbers stay as they are.

    Examples
    --------
    >>> neutral('=HYPERLINK("x")')
    '\'=HYPERLINK("x")'
    >>> neutral(-3.5)
    '-3.5'
    """
    if cell is None:
        return ""
    if isinstance(cell, int | float):
        return str(cell)
    return (
        f"'{cell}" if cell.lstrip(" \u00a0\ufeff\u200b").startswith(_BEGINS) or cell[:1] in "\t\r\n" else cell
    )


def csv_response(name: str, header: Sequence[str], rows: Iterable[Sequence[Cell]]) -> HttpResponse:
    """A CSV file to download, in UTF-8 with a mark at the beginning so that spreadsheets read accents."""
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(header)
    writer.writerows([neutral(cell) for cell in row] for row in rows)
    response = HttpResponse("\ufeff" + text.getvalue(), content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response
