"""The pictures of turn, grips in pairs and aim on their pages, with the sentences that stand overleaf too."""

from collections.abc import Iterable

from evenground.report.trial_parts import TrialPart
from evenground.studio.svg import Picture, picture

__all__ = ["trial_pictures"]

WIDE_PX = 420.0


def trial_pictures(parts: Iterable[TrialPart], name: str) -> tuple[Picture, ...]:
    """Each part as a picture; `name` begins the names of their hatching on the page."""
    return tuple(
        picture(
            part.drawing,
            says=part.says,
            name=f"{name}-{number}",
            wide_px=WIDE_PX,
            margin_px=(10.0, 8.0),
            title=part.title,
            notes=part.sentences,
        )
        for number, part in enumerate(parts, 1)
    )
