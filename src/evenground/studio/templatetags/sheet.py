"""What templates need besides Django's own: addresses of static files, times of this place, roles."""

import functools
import hashlib
from datetime import date, datetime
from pathlib import Path

from django import template
from django.contrib.staticfiles import finders
from django.http import HttpRequest
from django.urls import resolve, reverse

from evenground.studio.access import role_of, rule_for

__all__ = ["asset", "brief", "clock", "day", "may", "moment", "register"]

register = template.Library()


@functools.cache
def _digest(name: str) -> str:
    found = finders.find(name)
    return hashlib.sha256(Path(found).read_bytes()).hexdigest()[:12] if isinstance(found, str) else "0"


@register.simple_tag
def asset(name: str) -> str:
    """Address of a static file with its digest, so that a browser keeps it until it changes."""
    return f"/static/{name}?v={_digest(name)}"


@register.filter
def clock(when: datetime | None) -> str:
    """Hours and minutes as the studio's clock shows them."""
    return "" if when is None else when.astimezone().strftime("%H:%M")


@register.filter
def day(when: date | datetime | None) -> str:
    """A date in words, such as 25 November 2026."""
    if when is None:
        return ""
    here = when.astimezone() if isinstance(when, datetime) else when
    return f"{here.day} {here:%B} {here.year}"


@register.filter
def moment(when: datetime | None) -> str:
    """Date and time of this place."""
    return "" if when is None else f"{day(when)}, {clock(when)}"


@register.filter
def brief(when: datetime | None) -> str:
    """Date and time on one short line."""
    return "" if when is None else f"{when.astimezone():%Y-%m-%d %H:%M}"


@register.simple_tag(takes_context=True)
def may(context: template.Context, name: str) -> bool:
    """Whether the person signed in may open an address that takes no arguments."""
    request: HttpRequest = context["request"]
    rule = rule_for(resolve(reverse(name)))
    return rule is not None and role_of(request) in rule.roles
