"""Everything tagged in one photo over the floor strip: hip line, shoulder line, feet, ball, club face."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from evenground.capture.camera_file import Calibration, guess_for
from evenground.capture.photo import Photo
from evenground.capture.sheets import sheets
from evenground.capture.tags import FoundTags, TagNotFoundError, find_tags
from evenground.estimate import Estimate
from evenground.floor import Handed, body_open_deg, face_open_deg
from evenground.measure.tagged import Floor, Seen, TaggedLine, floor_from_strip, line_between, place_of

__all__ = ["BarPhoto", "TaggedAngle", "measure_bar_photo"]

LEAST_STRIP = 3
Line = Literal["hip line", "shoulder line", "left toe-out", "right toe-out", "face"]
LINES: Mapping[Line, str] = {
    "hip line": "bar",
    "shoulder line": "shoulders",
    "left toe-out": "left-foot",
    "right toe-out": "right-foot",
    "face": "face",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class TaggedAngle:
    """One angle, + open (toe-out: + outward), with its line's length and its ends' heights as the tags tell.

    `end_for_end` says that the bar's tags stand the other way round than printed for: it was flipped.
    """

    angle_deg: Estimate
    length_mm: Estimate
    heights_mm: tuple[Estimate, Estimate]
    end_for_end: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class BarPhoto:
    """All that one photo says; `ball_mm` is along the target line and ahead, on the strip's own frame."""

    angles: Mapping[Line, TaggedAngle]
    ball_mm: tuple[Estimate, Estimate] | None
    strip_misfit_mm: float
    strip_tags: int
    calibrated: bool
    notes: tuple[str, ...]


def measure_bar_photo(
    photo: Photo,
    *,
    handed: Handed,
    calibration: Calibration | None = None,
    heights_mm: tuple[float, float] | None = None,
    print_scale: float = 1.0,
) -> BarPhoto:
    """Angles of every tagged line in a photo over the floor strip.

    Parameters
    ----------
    photo
        Taken from above, the strip and the bar in view.
    handed
        Which way round the player plays; says what is open.
    calibration
        The camera's, where it was calibrated.
    heights_mm
        Heights of a body bar's left and right end where measured; the tags' sizes tell them otherwise.
    print_scale
        Measured length of the sheets' check bar over 100 mm.

    Raises
    ------
    TagNotFoundError
        If the strip, or every tagged line, is missing from the picture.
    StripMisfitError, TooDarkError, MirroredPrintError
        See there.
    """
    plan, tags = sheets(), find_tags(photo)
    strip = {i: c for i, c in tags.corners_px.items() if i in plan.strip_mm}
    if len(strip) < LEAST_STRIP:
        raise TagNotFoundError(photo.name, "The floor strip", tuple(sorted(tags.corners_px)))
    layout = {i: print_scale * c for i, c in plan.strip_mm.items()}
    floor = floor_from_strip(strip, layout, guess_for(photo, calibration))
    angles: dict[Line, TaggedAngle] = {}
    for name, key in LINES.items():
        found = _line(
            floor, tags, plan.ends[key], print_scale, heights_mm if key in ("bar", "shoulders") else None
        )
        if found is not None:
            angles[name] = _told(name, found, handed)
    if not angles:
        raise TagNotFoundError(photo.name, _half(tags), tuple(sorted(tags.corners_px)))
    ball_id, ball_size = plan.ball
    ball = None
    if ball_id in tags.corners_px:
        ball = place_of(floor, Seen(corners_px=tags.corners_px[ball_id], size_mm=print_scale * ball_size))
    return BarPhoto(
        angles=angles,
        ball_mm=ball,
        strip_misfit_mm=floor.misfit_mm,
        strip_tags=len(strip),
        calibrated=calibration is not None,
        notes=_notes(tags, angles, calibrated=calibration is not None),
    )


def _half(tags: FoundTags) -> str:
    """Which tag of a line is missing when the other one is there."""
    for name, (first, last, _) in sheets().ends.items():
        for here, gone in ((first, last), (last, first)):
            if here in tags.corners_px:
                return f"Tag {gone} (the other end of the {name.replace('-', ' ')})"
    return "A tagged bar"


def _line(
    floor: Floor,
    tags: FoundTags,
    ends: tuple[int, int, float],
    print_scale: float,
    heights_mm: tuple[float, float] | None,
) -> TaggedLine | None:
    first, last, size = ends
    if first not in tags.corners_px or last not in tags.corners_px:
        return None
    high = (None, None) if heights_mm is None else heights_mm
    one, other = (
        Seen(corners_px=tags.corners_px[tag], size_mm=print_scale * size, height_mm=h)
        for tag, h in zip((first, last), high, strict=True)
    )
    return line_between(floor, one, other)


def _told(name: Line, line: TaggedLine, handed: Handed) -> TaggedAngle:
    """The angle in the trade's sign. A bar's first tag is at the player's left, unless it was flipped."""
    turn = line.anticlockwise_deg.value
    flipped = name in ("hip line", "shoulder line") and abs(_wrapped(turn)) > 90.0
    turn = _wrapped(turn - 180.0) if flipped else _wrapped(turn)
    if name in ("hip line", "shoulder line"):
        value = body_open_deg(turn, handed)
    elif name == "face":
        # The rod runs from heel to toe, straight ahead of either golfer when the face stands square.
        value = face_open_deg(_wrapped(turn - 90.0), handed)
    else:
        outward = 90.0 - turn  # from heel to toes, clockwise from straight ahead
        value = _wrapped(outward if name == "right toe-out" else -outward)
    angle = Estimate(value=value, se=line.anticlockwise_deg.se, n=1, unit="deg")
    return TaggedAngle(
        angle_deg=angle, length_mm=line.length_mm, heights_mm=line.heights_mm, end_for_end=flipped
    )


def _wrapped(deg: float) -> float:
    return (deg + 180.0) % 360.0 - 180.0


def _notes(tags: FoundTags, angles: Mapping[Line, TaggedAngle], *, calibrated: bool) -> tuple[str, ...]:
    notes = []
    if not calibrated:
        notes.append("This camera was not calibrated: the errors allow for an unknown lens.")
    if tags.unclear:
        listed = ", ".join(map(str, tags.unclear))
        notes.append(
            f"Sides of tags {listed} could not be fitted (blur, glare or shadow); they were left out."
        )
    notes += [
        f"The {name}'s bar was the other way round; its ends were exchanged."
        for name, a in angles.items()
        if a.end_for_end
    ]
    return tuple(notes)
