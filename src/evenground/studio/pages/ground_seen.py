"""The placements as the mat saw them: contour lines, heel points, axes, or what stood there instead."""

from evenground.report.mat_parts import placement_parts
from evenground.studio.pages.scene import Scene
from evenground.studio.svg import Picture, picture

__all__ = ["placement_pictures"]

WIDE_PX = 360.0


def placement_pictures(scene: Scene) -> tuple[Picture, ...]:
    """One picture a placement, the latest first, with its figures where they belong."""
    if scene.findings is None:
        return ()
    parts = placement_parts(scene.visit, scene.findings, scene.system)
    found = [
        picture(
            part.drawing,
            says=part.says,
            name=f"placement-{number}",
            wide_px=WIDE_PX,
            margin_px=(2.0, 4.0),
            title=part.title,
        )
        for number, part in enumerate(parts, 1)
    ]
    return tuple(reversed(found))
