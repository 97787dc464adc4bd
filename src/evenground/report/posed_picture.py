"""The measured figure as a file: alone as a vector drawing, or over the photo with the face blurred."""

from pathlib import Path

from PIL import Image, ImageDraw, ImageFilter, ImageOps

from evenground.capture.landmarks import Landmarks
from evenground.errors import ReportError
from evenground.measure.side_view import SideAngles, upright
from evenground.report.charts import write_chart
from evenground.report.drawing import Anchor, Drawing, Point
from evenground.report.posed_drawing import chains, head, posed_drawing

__all__ = ["NoPhotoError", "measured_drawing", "over_photo", "write_picture"]

ACCENT = (156, 61, 42)
PAPER = (250, 247, 240)
FACE_POINTS = ("eye", "ear", "vertex", "cervicale")
FACE_MM = 130.0
"""Radius that is blurred around the head's points (ours: an adult's head with hair)."""


class NoPhotoError(ReportError):
    """A picture over the photo was asked for without a photo that fits the points."""

    do = "Give the photo that the points were marked on with --photo, or write an SVG."

    def __init__(self, file: str, why: str) -> None:
        super().__init__(file, why)
        self.where = file
        self.what = f"The figure cannot be drawn over the photo: {why}."


def measured_drawing(marks: Landmarks, found: SideAngles) -> Drawing:
    """The figure alone, in mm, with angles beside the limbs and the balance over the foot."""
    view = upright(marks.photo())
    points = {name: (float(at[0]), float(at[1])) for name, at in view.points.items()}
    notes: list[tuple[Point, str, Anchor]] = []
    for figure, ends, words, anchor in (
        (found.trunk_deg, ("hip", "shoulder"), "trunk", "left"),
        (found.thigh_deg, ("knee", "hip"), "thigh", "left"),
        (found.arm_hang_deg, ("shoulder", "wrist"), "arms", "right"),
        (found.knee_flex_deg, ("knee", "knee"), "knee", "right"),
    ):
        if figure is not None:
            (x0, y0), (x1, y1) = (points[end] for end in ends)
            text = f"{words} {figure.value:.0f} ± {figure.half_width():.0f}°"
            aside = 30.0 if anchor == "right" else -30.0
            notes.append((((x0 + x1) / 2.0 + aside, (y0 + y1) / 2.0), text, anchor))  # type: ignore[arg-type]
    percent, half = found.centre_of_mass_percent, 0.0
    if percent is not None:
        half = percent.half_width() / 100.0 * found.foot_mm.value
        text = f"balance {percent.value:.0f} ± {percent.half_width():.0f} % of the foot"
        notes.append(((found.foot_mm.value / 2.0, -45.0), text, "below"))
    return posed_drawing(points, balance_mm=found.centre_of_mass_mm, balance_half_mm=half, notes=notes)


def over_photo(photo: Image.Image, marks: Landmarks, *, show_face: bool = False) -> Image.Image:
    """The photo with the figure over it; the face is blurred unless `show_face`.

    Raises
    ------
    NoPhotoError
        If a point lies outside the photo, or the points are not in its pixels.
    """
    if marks.unit != "px":
        raise NoPhotoError("landmarks", "the points are in millimetres")
    seen = ImageOps.exif_transpose(photo).convert("RGB")
    if any(not (0 <= x <= seen.width and 0 <= y <= seen.height) for x, y in marks.points.values()):
        raise NoPhotoError("landmarks", "a point lies outside the picture")
    plain = {name: (float(x), float(y)) for name, (x, y) in marks.points.items()}
    if not show_face:
        seen = _blurred(seen, marks)
    pen = ImageDraw.Draw(seen)
    wide = max(2, round(seen.height / 260))
    for chain in chains(plain):
        pen.line(chain, fill=PAPER, width=3 * wide, joint="curve")
    for chain in chains(plain):
        pen.line(chain, fill=ACCENT, width=wide, joint="curve")
    if (skull := head(plain)) is not None:
        (x, y), r = skull
        pen.ellipse((x - r, y - r, x + r, y + r), outline=ACCENT, width=wide)
    for x, y in plain.values():
        r = 2 * wide
        pen.ellipse((x - r, y - r, x + r, y + r), fill=PAPER, outline=ACCENT, width=wide)
    return seen


def _blurred(seen: Image.Image, marks: Landmarks) -> Image.Image:
    """Everything within a head's reach of the marked head points, blurred beyond telling."""
    points = [marks.points[n] for n in FACE_POINTS if n in marks.points]
    if not points and "shoulder" in marks.points:
        x, y = marks.points["shoulder"]
        points = [(x, max(0.0, y - 0.08 * seen.height))]
    scale = marks.photo().mm_per_px
    radius = 0.08 * seen.height if scale is None else FACE_MM / scale
    mask = Image.new("L", seen.size, 0)
    pen = ImageDraw.Draw(mask)
    for x, y in points:
        pen.ellipse((x - radius, y - radius, x + radius, y + radius), fill=255)
    small = seen.resize((max(1, seen.width // 40), max(1, seen.height // 40)))
    soft = small.resize(seen.size).filter(ImageFilter.GaussianBlur(radius / 4.0))
    return Image.composite(soft, seen, mask)


def write_picture(
    out: Path, marks: Landmarks, found: SideAngles, *, photo: Path | None, show_face: bool
) -> None:
    """Write the figure: .svg or .pdf alone; .png or .jpg over the photo.

    Raises
    ------
    NoPhotoError
        If a photo is needed and cannot be used.
    ChartFormatError
        For any other ending.
    """
    if out.suffix.lower() not in {".png", ".jpg", ".jpeg"}:
        write_chart(
            measured_drawing(marks, found), out, title="Address from the side", wide_mm=80.0, room_mm=6.0
        )
        return
    if photo is None:
        raise NoPhotoError(str(out), "no photo was given")
    try:
        with Image.open(photo) as opened:
            opened.load()
            drawn = over_photo(opened, marks, show_face=show_face)
    except (OSError, Image.DecompressionBombError) as exc:
        raise NoPhotoError(str(photo), "the photo cannot be read") from exc
    drawn.save(out)
