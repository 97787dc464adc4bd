"""Everything tagged in one photo over the floor strip: hip line, shoulder line, feet, ball, club face."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from evenground.capture.camera_file import Calibration, guess_for
from evenground.capture.photo import Photo
from evenground.capture.sheets import sheets
from evenground.capture.tags import FoundTags, find_tags, missing_tag
from evenground.errors import CaptureError
from evenground.estimate import Estimate
from evenground.floor import Handed, body_open_deg, face_open_deg
from evenground.measure.tagged import Floor, Seen, TaggedLine, floor_from_strip, line_between, place_of

__all__ = [
    "LINES",
    "BarPhoto",
    "Known",
    "Line",
    "LineBackwardsError",
    "PrintScaleError",
    "ReadPhoto",
    "TaggedAngle",
    "measure_bar_photo",
    "read_bar_photo",
    "refuse_without",
]

LEAST_STRIP = 3
Line = Literal["hip line", "shoulder line", "left toe-out", "right toe-out", "face"]
LINES: Mapping[Line, str] = {
    "hip line": "bar",
    "shoulder line": "shoulders",
    "left toe-out": "left-foot",
    "right toe-out": "right-foot",
    "face": "face",
}
BARS: tuple[Line, ...] = ("hip line", "shoulder line")
FARTHEST_DEG = 75.0
"""A face or a foot that is turned further from straight ahead was laid the wrong way round (ours)."""
BAR_HIGH_MM, FLAT_HIGH_MM = (250.0, 1800.0), (-25.0, 250.0)
"""Between which heights a body bar hangs, and feet, face and ball lie (ours)."""
SCALE_SLACK_MM = 25.0
"""What a tag's own height may differ from the measured one, besides three standard errors (ours)."""


class PrintScaleError(CaptureError):
    """Sheets that were not printed at one true scale."""

    do = "Print all sheets at 100 % on one printer, or say what their 100 mm check bar measures."

    def __init__(self, photo: str, says: str) -> None:
        super().__init__(photo, says)
        self.where = photo
        self.what = f"The sheets were not printed at one true scale: {says}."


class LineBackwardsError(CaptureError):
    """A foot or a face that points at the player."""

    do = "Lay the strip's sheet 1 at the player's left, words toward the player, and heel tags at the heels."

    def __init__(self, photo: str, name: str, turned_deg: float) -> None:
        super().__init__(photo, name, turned_deg)
        self.where = photo
        self.what = (
            f"The {name} reads {turned_deg:.0f}°: its tags or the floor strip lie the wrong way round."
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What is known besides the photo.

    `heights_mm` of a body bar's left and right end, and `bar_mm` between the middles of its tags, where they
    were measured; `print_scale` is what the sheets' check bar measures over its 100 mm.
    """

    heights_mm: tuple[float, float] | None = None
    bar_mm: float | None = None
    print_scale: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class TaggedAngle:
    """One angle, + open (toe-out: + outward), with its line's length and its ends' heights as the tags tell.

    The angle's error has two parts: `again_deg` comes anew with every photo; `shared_deg` (strip, lens, where
    the bar's tags were glued) is the same in all photos of a visit and enters between visits. `end_for_end`
    says that the bar's tags stand the other way round than printed for: it was flipped; `as_tagged_deg` is
    the angle from the first tag to the last all the same, to 180 deg either way.
    """

    angle_deg: Estimate
    again_deg: float
    shared_deg: float
    as_tagged_deg: float
    length_mm: Estimate
    heights_mm: tuple[Estimate, Estimate]
    end_for_end: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class BarPhoto:
    """All that one photo says; `ball_mm` is along the target line and ahead, on the strip's own frame.

    `ball_from_lead_mm` is the same place as a visit holds it, when the strip's line lies at the toe tips and
    its edge on the lead side at the lead heel's centre: toward the trail foot, and ahead.
    """

    angles: Mapping[Line, TaggedAngle]
    ball_mm: tuple[Estimate, Estimate] | None
    ball_from_lead_mm: tuple[Estimate, Estimate] | None
    strip_misfit_mm: float
    strip_tags: int
    calibrated: bool
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ReadPhoto:
    """What a photo says, and the tags and the floor that it was read from."""

    photo: Photo
    found: BarPhoto
    tags: FoundTags
    floor: Floor


def measure_bar_photo(
    photo: Photo,
    *,
    handed: Handed,
    calibration: Calibration | None = None,
    known: Known | None = None,
) -> BarPhoto:
    """As `read_bar_photo`, the figures alone."""
    return read_bar_photo(photo, handed=handed, calibration=calibration, known=known).found


def read_bar_photo(
    photo: Photo,
    *,
    handed: Handed,
    calibration: Calibration | None = None,
    known: Known | None = None,
) -> ReadPhoto:
    """Angles of every tagged line in a photo over the floor strip, and the ball's place.

    Parameters
    ----------
    photo
        Taken from above, the strip and the bar in view.
    handed
        Which way round the player plays; says what is open.
    calibration
        The camera's, where it was calibrated.
    known
        Heights, the bar's length and the print's scale where they were measured; the tags' sizes tell heights
        otherwise.

    Raises
    ------
    TagNotFoundError
        If the strip, or every tagged line and the ball, is missing from the picture.
    PrintScaleError
        If lengths or heights come out as no print at one true scale gives them.
    LineBackwardsError
        If a foot or a face points at the player.
    StripMisfitError, TooDarkError, MirroredPrintError
        See there.
    """
    given = known or Known()
    plan, tags = sheets(), find_tags(photo)
    strip = {i: c for i, c in tags.corners_px.items() if i in plan.strip_mm}
    if len(strip) < LEAST_STRIP:
        raise missing_tag(photo, "The floor strip", tuple(plan.strip_mm), tags)
    layout = {i: given.print_scale * c for i, c in plan.strip_mm.items()}
    floor = floor_from_strip(strip, layout, guess_for(photo, calibration))
    angles: dict[Line, TaggedAngle] = {}
    for name, key in LINES.items():
        line = _line(floor, tags, plan.ends[key], given, body=name in BARS)
        if line is not None:
            _refuse_odd_scale(photo, name, line, given)
            angles[name] = _told(name, line, handed)
            _refuse_backwards(photo, name, angles[name])
    ball = _ball(floor, tags, given)
    if not angles and ball is None:
        _refuse_nothing(photo, tags)
    found = BarPhoto(
        angles=angles,
        ball_mm=ball,
        ball_from_lead_mm=None if ball is None else _from_lead(ball, handed, given),
        strip_misfit_mm=floor.misfit_mm,
        strip_tags=len(strip),
        calibrated=calibration is not None,
        notes=_notes(tags, angles, calibrated=calibration is not None),
    )
    return ReadPhoto(photo=photo, found=found, tags=tags, floor=floor)


def refuse_without(read: ReadPhoto, wanted: Line | Literal["ball"]) -> None:
    """Stop here unless the photo shows what it was taken for.

    Raises
    ------
    TagNotFoundError, MirroredPrintError
        With which tag is missing, and why where the picture shows it.
    """
    if wanted == "ball":
        if read.found.ball_mm is None:
            ball = sheets().ball[0]
            raise missing_tag(read.photo, f"Tag {ball} (the ball)", (ball,), read.tags)
    elif wanted not in read.found.angles:
        first, last, _ = sheets().ends[LINES[wanted]]
        gone = tuple(i for i in (first, last) if i not in read.tags.corners_px)
        said = " and ".join(map(str, gone))
        words = f"Tag{'s' if len(gone) > 1 else ''} {said} ({wanted})"
        raise missing_tag(read.photo, words, gone, read.tags)


def _refuse_nothing(photo: Photo, tags: FoundTags) -> None:
    """No line is whole: name the tag that is missing when its other end is there."""
    for name, (first, last, _) in sheets().ends.items():
        for here, gone in ((first, last), (last, first)):
            if here in tags.corners_px:
                words = f"Tag {gone} (the other end of the {name.replace('-', ' ')})"
                raise missing_tag(photo, words, (gone,), tags)
    every = tuple(i for first, last, _ in sheets().ends.values() for i in (first, last))
    raise missing_tag(photo, "A tagged bar", every, tags)


def _line(
    floor: Floor, tags: FoundTags, ends: tuple[int, int, float], known: Known, *, body: bool
) -> TaggedLine | None:
    first, last, size = ends
    if first not in tags.corners_px or last not in tags.corners_px:
        return None
    high = (None, None) if known.heights_mm is None or not body else known.heights_mm
    one, other = (
        Seen(corners_px=tags.corners_px[tag], size_mm=known.print_scale * size, height_mm=h)
        for tag, h in zip((first, last), high, strict=True)
    )
    return line_between(floor, one, other)


def _ball(floor: Floor, tags: FoundTags, known: Known) -> tuple[Estimate, Estimate] | None:
    tag, size = sheets().ball
    if tag not in tags.corners_px:
        return None
    return place_of(floor, Seen(corners_px=tags.corners_px[tag], size_mm=known.print_scale * size))


def _from_lead(ball: tuple[Estimate, Estimate], handed: Handed, known: Known) -> tuple[Estimate, Estimate]:
    """The lead heel stands at the strip's left edge for a right-handed player, else at its right edge."""
    x, ahead = ball
    strip = sheets().plain["strip"]
    wide = known.print_scale * strip["sheets"] * strip["sheet_wide_mm"]
    inside = x.value if handed == "right" else wide - x.value
    return Estimate(value=inside, se=x.se, n=1, unit="mm"), ahead


def _refuse_odd_scale(photo: Photo, name: Line, line: TaggedLine, known: Known) -> None:
    """Heights and lengths that no print at one scale gives: tags against strip, both against a tape."""
    low, high = BAR_HIGH_MM if name in BARS else FLAT_HIGH_MM
    measured = known.heights_mm if name in BARS else None
    for k, told in enumerate(line.heights_mm):
        least, most = (low, high) if measured is None else (measured[k], measured[k])
        slack = 3.0 * told.se + (0.0 if measured is None else SCALE_SLACK_MM)
        if not least - slack <= told.value <= most + slack:
            says = f"by their size the tags of the {name} are {told.value:.0f} mm above the floor strip"
            raise PrintScaleError(
                photo.name, says if measured is None else f"{says}, measured {measured[k]:.0f} mm"
            )
    if known.bar_mm is not None and name == "hip line":
        length = line.length_mm
        if abs(length.value - known.bar_mm) > 3.0 * length.se + 0.01 * known.bar_mm:
            says = f"the bar is {length.value:.0f} mm long in the photo and {known.bar_mm:.0f} mm by the tape"
            raise PrintScaleError(photo.name, says)


def _refuse_backwards(photo: Photo, name: Line, angle: TaggedAngle) -> None:
    if name not in BARS and abs(angle.angle_deg.value) > FARTHEST_DEG:
        raise LineBackwardsError(photo.name, name, angle.angle_deg.value)


def _told(name: Line, line: TaggedLine, handed: Handed) -> TaggedAngle:
    """The angle in the trade's sign. A bar's first tag is at the player's left, unless it was flipped."""
    plain = _wrapped(line.anticlockwise_deg.value)
    flipped = name in BARS and abs(plain) > 90.0
    turn = _wrapped(plain - 180.0) if flipped else plain
    se = line.anticlockwise_deg.se
    return TaggedAngle(
        angle_deg=Estimate(value=_trade(name, turn, handed), se=se, n=1, unit="deg"),
        again_deg=min(line.again_deg, se),
        shared_deg=max(se**2 - line.again_deg**2, 0.0) ** 0.5,
        as_tagged_deg=_trade(name, plain, handed),
        length_mm=line.length_mm,
        heights_mm=line.heights_mm,
        end_for_end=flipped,
    )


def _trade(name: Line, turn: float, handed: Handed) -> float:
    """An anti-clockwise turn as open, or outward."""
    if name in BARS:
        return body_open_deg(turn, handed)
    if name == "face":
        # The rod runs from heel to toe, straight ahead of either golfer when the face stands square.
        return face_open_deg(_wrapped(turn - 90.0), handed)
    outward = 90.0 - turn  # from heel to toes, clockwise from straight ahead
    return _wrapped(outward if name == "right toe-out" else -outward)


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
