"""`evenground hand`: sizes of one flat hand in a photo or a scan."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from evenground.cli.common import AsJson, show, table
from evenground.floor import Side

if TYPE_CHECKING:
    from evenground.measure.hand_sizes import HandSizes

__all__ = ["hand"]


def hand(
    image: Annotated[Path, typer.Argument(help="A photo or scan of one flat hand on a plain ground.")],
    scale: Annotated[
        str, typer.Option(help="What has a known size: tags, card, a4, letter, or dpi:N for a scan.")
    ],
    side: Annotated[Side | None, typer.Option(help="Whose hand it is; otherwise told by its shape.")] = None,
    palm: Annotated[
        Literal["up", "down"], typer.Option(help="Whether the palm lies down, back to the camera, or up.")
    ] = "down",
    camera_mm: Annotated[
        float | None, typer.Option(help="From the camera to the table, where known.", min=100.0, max=5000.0)
    ] = None,
    height_mm: Annotated[
        float | None,
        typer.Option(help="How high the hand's outline stands over the scale.", min=0.0, max=60.0),
    ] = None,
    out: Annotated[Path | None, typer.Option(help="Write the picture with the points here, PNG.")] = None,
    move: Annotated[
        list[str] | None,
        typer.Option(
            help="Move a point, in the file's pixels: 'wrist, thumb side=702,1488'. May be repeated."
        ),
    ] = None,
    *,
    as_json: AsJson = False,
) -> None:
    """Measure a hand: length, palm, breadth and fingers, each with its error."""
    from evenground.capture.hand_photo import find_hand
    from evenground.capture.hand_points import moved_points, points_in
    from evenground.capture.photo import read_photo
    from evenground.measure.hand_outline import find_landmarks
    from evenground.measure.hand_points import sizes_at
    from evenground.measure.hand_sizes import hand_sizes

    photo = read_photo(image, most_side=1600)
    found = find_hand(photo, scale, camera_mm=camera_mm, height_mm=height_mm)
    marks = find_landmarks(found.shape)
    sizes = hand_sizes(marks, found.measuring, side=side, palm_up=palm == "up")
    seen = points_in(photo, found, marks, sizes)
    moved = moved_points(move or ())
    if moved:
        sizes = sizes_at(seen, moved)
    if out is not None:
        from evenground.report.hand_picture import write_hand_picture

        write_hand_picture(out, photo, found, marks)
    points = {
        "tips_mm": marks.tips,
        "webs_mm": {f"{a} {b}": at for (a, b), at in marks.webs.items()},
        "knuckles_mm": marks.knuckles,
        "wrist_mm": marks.wrist,
        "picture_to_mm": found.to_mm,
        "picture_reduced": photo.reduced,
        "found_px": seen.found,
        "moved_px": moved,
    }
    plain = {
        "scale": found.scale_name,
        "sizes": sizes,
        "landmarks": points,
        "notes": [*found.notes, *sizes.notes],
    }
    show(plain, as_json=as_json, text=_text(sizes, found.scale_name, found.notes))


def _text(sizes: "HandSizes", scale: str, notes: tuple[str, ...]) -> str:
    rows = [
        (words, f"{e.value:.1f} mm", f"± {e.half_width():.1f}")
        for words, e in (
            ("hand length", sizes.hand_length_mm),
            ("palm length", sizes.palm_length_mm),
            ("hand breadth", sizes.hand_breadth_mm),
            ("middle finger, hand less palm", sizes.middle_hand_minus_palm_mm),
            *((f"{name}, web to tip", e) for name, e in sizes.fingers_mm.items()),
        )
    ]
    lines = [
        f"{sizes.side} hand, by {scale}",
        table(rows),
        f"largest error of the length: {sizes.largest_error}",
    ]
    return "\n".join([*lines, *notes, *sizes.notes])
