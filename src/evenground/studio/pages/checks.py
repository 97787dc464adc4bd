"""The check pages by check, and their addresses."""

from collections.abc import Mapping

from evenground.studio.pages import (
    aim,
    as_arrived,
    ball,
    body,
    grip,
    ground,
    hands,
    hip_line,
    own_clubs,
    posture,
    safety,
    turn,
)
from evenground.studio.pages.view import CheckPage
from evenground.visit import CHECKS, Check

__all__ = ["PAGES", "check_of", "slug_of"]

PAGES: Mapping[Check, CheckPage] = {
    page.check: page
    for page in (
        safety.PAGE,
        as_arrived.PAGE,
        body.PAGE,
        hands.PAGE,
        own_clubs.PAGE,
        ball.PAGE,
        ground.PAGE,
        hip_line.PAGE,
        posture.PAGE,
        turn.PAGE,
        grip.PAGE,
        aim.PAGE,
    )
}


def slug_of(check: Check) -> str:
    """The check's word in an address.

    Examples
    --------
    >>> slug_of("hip line")
    'hip-line'
    """
    return check.replace(" ", "-")


def check_of(slug: str) -> Check | None:
    """The check of a word in an address, None when there is none."""
    return next((check for check in CHECKS if slug_of(check) == slug), None)
