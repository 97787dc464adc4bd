"""`evenground bar` and `evenground camera calibrate`: angles of tagged lines in a photo from above."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from evenground.cli.common import AsJson, progress, show, table
from evenground.floor import Handed

if TYPE_CHECKING:
    from collections.abc import Iterator

    from evenground.capture.bar_photo import BarPhoto
    from evenground.capture.photo import Photo

__all__ = ["bar", "camera_app"]

camera_app = typer.Typer(help="Look after the cameras that photos are measured from.", no_args_is_help=True)


def bar(
    image: Annotated[
        Path, typer.Argument(help="A photo from above with the floor strip and a tagged bar in it.")
    ],
    camera: Annotated[
        Path | None, typer.Option(help="The camera's calibration, from `camera calibrate`.")
    ] = None,
    handed: Annotated[Handed, typer.Option(help="Which way round the player plays.")] = "right",
    left_mm: Annotated[
        float | None, typer.Option(help="Height of the bar's left end, where measured.")
    ] = None,
    right_mm: Annotated[
        float | None, typer.Option(help="Height of the bar's right end, where measured.")
    ] = None,
    check_bar_mm: Annotated[
        float, typer.Option(help="What the sheets' 100 mm check bar measures.", min=90.0, max=110.0)
    ] = 100.0,
    bar_mm: Annotated[
        float | None,
        typer.Option(help="The bar between the middles of its tags, by a tape: checks the print's scale."),
    ] = None,
    out: Annotated[
        Path | None, typer.Option(help="Write the picture with tags, lines and numbers here, PNG.")
    ] = None,
    *,
    as_json: AsJson = False,
) -> None:
    """Measure angles of tagged lines against the floor strip: hips, shoulders, feet, face; and the ball."""
    from evenground.capture.bar_photo import Known, read_bar_photo
    from evenground.capture.camera_file import read_camera
    from evenground.capture.photo import read_photo

    if (left_mm is None) != (right_mm is None):
        raise typer.BadParameter("give both ends' heights or neither", param_hint="--left-mm")
    heights = None if left_mm is None or right_mm is None else (left_mm, right_mm)
    read = read_bar_photo(
        read_photo(image, upright=False),
        handed=handed,
        calibration=None if camera is None else read_camera(camera),
        known=Known(heights_mm=heights, bar_mm=bar_mm, print_scale=check_bar_mm / 100.0),
    )
    if out is not None:
        from evenground.report.bar_picture import bar_picture

        bar_picture(read).save(out)
    show(read.found, as_json=as_json, text=_text(read.found, handed))


def _text(found: "BarPhoto", handed: Handed) -> str:
    rows: list[tuple[str, ...]] = []
    for name, angle in found.angles.items():
        left, right = angle.heights_mm
        rows.append(
            (
                name,
                f"{angle.angle_deg.value:+.2f} deg",
                f"± {angle.angle_deg.half_width():.2f}",
                f"ends {left.value:.0f} and {right.value:.0f} mm high, {angle.length_mm.value:.0f} mm apart",
            )
        )
    if found.ball_from_lead_mm is not None:
        inside, ahead = found.ball_from_lead_mm
        rows += [
            (words, f"{far.value:.0f} mm", f"± {far.half_width():.1f}", from_where)
            for words, far, from_where in (
                ("ball, inside", inside, "from the strip's edge on the lead side"),
                ("ball, ahead", ahead, "from the strip's line"),
            )
        ]
    lines = [f"+ is open for a {handed}-handed player; toe-out is + outward.", "", table(rows), ""]
    if found.angles:
        own = max(a.again_deg for a in found.angles.values())
        lines.append(
            f"of each error ±{1.96 * own:.2f} deg or less comes anew with another photo; the rest stays"
        )
    lines.append(f"{found.strip_tags} tags of the strip, {found.strip_misfit_mm:.2f} mm off their places")
    return "\n".join([*lines, *found.notes])


@camera_app.command("calibrate")
def calibrate_command(
    photos: Annotated[list[Path], typer.Argument(help="A dozen photos of the printed calibration board.")],
    out: Annotated[Path, typer.Option(help="Where to write the calibration, JSON.")],
    *,
    as_json: AsJson = False,
) -> None:
    """Work out a camera's lens from photos of the printed board."""
    from evenground.capture.camera_file import calibrate
    from evenground.capture.photo import read_photo

    with progress("Reading", total=len(photos)) as step:

        def one_by_one() -> "Iterator[Photo]":
            for path in photos:
                yield read_photo(path, upright=False)
                step()

        found = calibrate(one_by_one())
    out.write_text(found.model_dump_json(indent=2) + "\n", encoding="utf-8")
    focal = f"focal length {found.focal_px[0]:.0f} px"
    text = f"{found.views} views, {found.rms_px:.2f} px left over, {focal}: {out}"
    show(found.model_dump(), as_json=as_json, text=text)
