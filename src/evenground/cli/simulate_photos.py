"""`evenground simulate hand|tags|board|posture`: photos and landmarks with a known truth beside them."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal

import typer

from evenground.cli.common import progress
from evenground.floor import Handed

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

__all__ = ["board", "hand", "posture", "tags"]

Fault = Literal["none", "no scale", "closed fingers", "two hands", "cut off", "blurred"]
Line = Literal["bar", "shoulders"]
Out = Annotated[Path, typer.Argument(help="The picture to write, .png or .jpg.")]
Truth = Annotated[
    Path | None, typer.Option(help="Truth to write; without it, OUT with .json in place of its ending.")
]
Seed = Annotated[int, typer.Option(min=0, help="The same seed gives the same picture.")]


def hand(
    out: Out,
    truth: Truth = None,
    seed: Seed = 1,
    fault: Annotated[Fault, typer.Option(help="What is wrong with the picture.")] = "none",
    tilt_deg: Annotated[
        float | None, typer.Option(min=0.0, max=30.0, help="How far the camera looks from the side.")
    ] = None,
    camera_mm: Annotated[
        float | None, typer.Option(min=400.0, max=2000.0, help="From the camera to the table.")
    ] = None,
) -> None:
    """Draw a photo of a hand beside a card, and write its true sizes."""
    import numpy as np

    from evenground.simulate.hands import render_hand

    _check_ending(out)
    with progress("Drawing the hand"):
        made = render_hand(np.random.default_rng(seed), fault=fault, tilt_deg=tilt_deg, camera_mm=camera_mm)
        _write(out, made.rgb)
    names = ("side", "hand_length_mm", "hand_breadth_mm", "fingers_mm", "camera_mm", "height_mm", "fault")
    _tell(out, truth, {n: getattr(made, n) for n in names})


def tags(
    out: Out,
    truth: Truth = None,
    seed: Seed = 1,
    line: Annotated[Line, typer.Option(help="Which tagged line lies over the floor strip.")] = "bar",
    handed: Annotated[Handed, typer.Option(help="Says which way is open.")] = "right",
    tilt_deg: Annotated[
        float | None, typer.Option(min=0.0, max=40.0, help="How far the camera looks from straight down.")
    ] = None,
    ends_apart_mm: Annotated[
        float | None, typer.Option(min=-100.0, max=100.0, help="The right end's height less the left's.")
    ] = None,
    height_mm: Annotated[
        float | None, typer.Option(min=1200.0, max=4000.0, help="The camera over the floor.")
    ] = None,
    camera: Annotated[
        Path | None, typer.Option(help="Write the lens here, as `camera calibrate` would find it.")
    ] = None,
) -> None:
    """Draw a 12-megapixel photo of a tagged line over the floor strip, and write its true angle."""
    import numpy as np

    from evenground.capture.camera_file import Calibration
    from evenground.floor import body_open_deg
    from evenground.simulate.tags import PHONE_PX, render_scene

    _check_ending(out)
    with progress("Drawing the tags"):
        made = render_scene(
            np.random.default_rng(seed),
            name=line,
            height_mm=height_mm,
            tilt_deg=tilt_deg,
            ends_apart_mm=ends_apart_mm,
            whole=True,
        )
        _write(out, made.rgb)
    lens = {n: getattr(made.lens, n) for n in ("focal_px", "middle_px", "bends")}
    if camera is not None:
        wide, tall = PHONE_PX
        told = Calibration(width_px=wide, height_px=tall, **lens, views=1, rms_px=0.0)
        camera.write_text(told.model_dump_json(indent=2) + "\n", encoding="utf-8")
    angle_deg = body_open_deg(made.anticlockwise_deg, handed)
    sizes = {"heights_mm": made.heights_mm, "length_mm": made.length_mm}
    _tell(out, truth, {"line": line, "handed": handed, "angle_deg": angle_deg, **sizes, **lens})


def board(
    out_dir: Annotated[Path, typer.Argument(help="Folder for the pictures; made when it is not there.")],
    count: Annotated[int, typer.Option(min=1, max=100, help="How many pictures.")] = 12,
    seed: Seed = 1,
) -> None:
    """Draw photos of the calibration board from many sides, and write the lens that took them."""
    import numpy as np

    from evenground.plain import dump
    from evenground.simulate.tags import render_board

    rng = np.random.default_rng(seed)
    bends, focal_px = (0.05, -0.02), 0.0
    out_dir.mkdir(parents=True, exist_ok=True)
    with progress("Drawing the board", total=count) as step:
        for number in range(1, count + 1):
            rgb, focal_px = render_board(rng, bends=bends)
            _write(out_dir / f"board-{number:02d}.png", rgb)
            step()
    told = {"focal_px": focal_px, "bends": bends, "width_px": rgb.shape[1], "height_px": rgb.shape[0]}
    (out_dir / "truth.json").write_text(dump(told) + "\n", encoding="utf-8")
    print(f"{out_dir} holds {count} pictures, truth.json the lens behind them.")


def posture(
    out: Annotated[Path, typer.Argument(help="Landmarks to write (.json), as `evenground posture` reads.")],
    truth: Annotated[
        Path | None, typer.Option(help="Truth to write; without it, OUT with .truth.json as its ending.")
    ] = None,
    seed: Annotated[int, typer.Option(min=0, help="The same seed gives the same figure.")] = 1,
    reference: Annotated[Literal["women", "men"], typer.Option(help="Whose body sizes are drawn.")] = "men",
    landmark_error_mm: Annotated[
        float, typer.Option(min=0.1, max=50.0, help="SD of each coordinate of each marked point.")
    ] = 10.0,
    *,
    faces_left: Annotated[
        bool, typer.Option("--faces-left", help="The player faces the picture's left.")
    ] = False,
) -> None:
    """Pose a figure at address, mark it with an unsteady hand, and write its true angles and balance."""
    import numpy as np

    from evenground.plain import dump
    from evenground.simulate.figure import landmarks_plain, pose_figure

    made = pose_figure(
        np.random.default_rng(seed),
        reference=reference,
        landmark_sd_mm=landmark_error_mm,
        faces_left=faces_left,
    )
    out.write_text(dump(landmarks_plain(made)) + "\n", encoding="utf-8")
    names = (
        "trunk_deg", "thigh_deg", "shank_deg", "knee_flex_deg", "arm_hang_deg", "balance_percent",
        "hands_height_mm", "landmarks_mm",
    )  # fmt: skip
    beside = out.with_suffix(".truth.json") if truth is None else truth
    _tell(out, beside, {n: getattr(made, n) for n in names})


def _check_ending(out: Path) -> None:
    if out.suffix.lower() not in (".png", ".jpg", ".jpeg"):
        msg = f"{out.name} ends neither in .png nor in .jpg"
        raise typer.BadParameter(msg, param_hint="OUT")


def _write(out: Path, rgb: "NDArray[np.uint8]") -> None:
    from PIL import Image

    Image.fromarray(rgb).save(out, quality=95)


def _tell(out: Path, truth: Path | None, told: dict[str, Any]) -> None:
    from evenground.plain import dump

    beside = out.with_suffix(".json") if truth is None else truth
    beside.write_text(dump(told) + "\n", encoding="utf-8")
    print(f"{out} is written, {beside} the truth behind it.")
