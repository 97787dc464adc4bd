"""The two things a visit's page holds by the hundred, written straight: fields and the marks of a drawing.

As templates each field took ten look-ups a page could not afford with ten hands on a visit (see
`bench/bench_studio.py`); everything that was typed goes through `format_html`, which escapes it.
"""

from uuid import UUID

from django import template
from django.urls import reverse
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from evenground.studio.pages.cells import Cell
from evenground.studio.svg import Picture, Shape

__all__ = ["drawing", "field", "register"]

register = template.Library()


@register.simple_tag
def field(cell: Cell, visit_id: UUID) -> SafeString:
    """One field with its note, and the way to its earlier values."""
    name = cell.id
    control = _choice(cell, name) if cell.fixed else _typed(cell, name)
    return format_html(
        '<div class="cell" id="f-{}" data-gentle>{}'
        '<span class="note" id="n-{}" role="status"></span>{}</div>',
        name,
        control,
        name,
        _earlier(cell, visit_id) if cell.earlier else "",
    )


def _choice(cell: Cell, name: str) -> SafeString:
    options = format_html_join(
        "",
        '<option value="{}"{}>{}</option>',
        ((value, _selected(value == cell.text), word) for value, word in cell.choices),
    )
    return format_html(
        '<select id="{}" data-spot="{}" data-seen="{}" aria-label="{}"><option value=""></option>{}</select>',
        name,
        cell.spot.body,
        cell.reading,
        cell.label,
        options,
    )


def _selected(chosen: bool) -> SafeString:  # noqa: FBT001 - the one thing it is told
    return SafeString(" selected" if chosen else "")


def _typed(cell: Cell, name: str) -> SafeString:
    return format_html(
        '<span class="entry-line"><input id="{}" data-spot="{}" data-seen="{}" aria-label="{}" '
        'aria-describedby="n-{}" type="text" value="{}" placeholder="{}" autocomplete="off" '
        'spellcheck="false"></span>',
        name,
        cell.spot.body,
        cell.reading,
        cell.label,
        name,
        cell.text,
        cell.hint or cell.unit,
    )


def _earlier(cell: Cell, visit_id: UUID) -> SafeString:
    count = f"{cell.earlier} earlier value{'' if cell.earlier == 1 else 's'}"
    return format_html(
        '<button type="button" class="earlier" popovertarget="history" hx-get="{}" hx-vals="{}" '
        'hx-target="#history" aria-label="{}: {}">{} earlier</button>',
        reverse("visit:history", args=[visit_id]),
        cell.asks,
        cell.label,
        count,
        cell.earlier,
    )


@register.simple_tag
def drawing(picture: Picture) -> SafeString:
    """A drawing as SVG; its hatching is named after it."""
    return format_html(
        '<svg class="drawing is-{}" viewBox="0 0 {} {}" role="img" aria-label="{}"><defs>'
        '<pattern id="hatch-{}" width="6" height="6" patternUnits="userSpaceOnUse" '
        'patternTransform="rotate(45)"><line class="hatch-line" x1="0" y1="0" x2="0" y2="6"/></pattern>'
        "</defs>{}</svg>",
        picture.name,
        picture.width,
        picture.height,
        picture.says,
        picture.name,
        SafeString("".join(_mark(shape, picture.name) for shape in picture.shapes)),
    )


def _mark(shape: Shape, name: str) -> SafeString:
    if shape.kind == "line":
        return format_html('<polyline class="s-{}" points="{}"/>', shape.style, shape.points)
    if shape.kind == "outline":
        fill = format_html(' fill="url(#hatch-{})"', name) if shape.style == "hatch" else ""
        return format_html('<polygon class="s-{}" points="{}"{}/>', shape.style, shape.points, fill)
    if shape.kind == "disc":
        return format_html(
            '<circle class="s-{}" cx="{}" cy="{}" r="{}"/>', shape.style, shape.x, shape.y, shape.r
        )
    return format_html(
        '<text class="t-{}" x="{}" y="{}" text-anchor="{}" dominant-baseline="{}">{}</text>',
        shape.style,
        shape.x,
        shape.y,
        shape.anchor,
        shape.baseline,
        shape.text,
    )
