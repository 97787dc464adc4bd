"""`evenground posture`: angles and centre of mass from the landmarks of one side view."""

from pathlib import Path
from typing import Annotated

import typer

from evenground.cli.common import AsJson, show, table

__all__ = ["posture"]

_WORDS = {
    "trunk_deg": "trunk, from the vertical",
    "thigh_deg": "thigh, from the vertical",
    "shank_deg": "shank, from the vertical",
    "knee_flex_deg": "knee flex",
    "hip_flexion_deg": "hip flexion",
    "arm_hang_deg": "arms, from the vertical",
    "eye_line_deg": "eye line, + looking down",
    "eye_beyond_ball_mm": "eyes, + beyond the ball",
    "hands_height_mm": "hands above the floor",
    "hands_from_thigh_mm": "hands ahead of the thigh",
    "ball_from_toe_mm": "ball ahead of the toes",
    "centre_of_mass_percent": "centre of mass, from the heel",
}


def posture(
    file: Annotated[
        Path, typer.Argument(help="JSON with the landmarks of a side view (docs/formats/posture.md).")
    ],
    *,
    photo: Annotated[
        Path | None,
        typer.Option(help="The photo of the points: drawn over with --out; its plumb target is found."),
    ] = None,
    out: Annotated[
        Path | None, typer.Option(help="Write the figure here: SVG alone, PNG or JPEG over the photo.")
    ] = None,
    show_face: Annotated[
        bool, typer.Option("--show-face", help="Leave the face as it is; otherwise it is blurred.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Angles, hands, eyes and balance of an address seen from the side, each with its error."""
    from evenground.capture.landmarks import read_landmarks, with_target
    from evenground.estimate import Estimate
    from evenground.measure.balance import balance_agreement
    from evenground.measure.side_view import measure_side

    marks = read_landmarks(file)
    if photo is not None:
        marks = with_target(marks, photo)
    found = measure_side(marks.photo(), model=marks.model, limbs=marks.limbs)
    mat = None
    if marks.mat is not None and found.centre_of_mass_percent is not None:
        on_mat = Estimate(value=marks.mat.percent, se=marks.mat.error_percent, unit="% of foot")
        mat = balance_agreement(found.centre_of_mass_percent, on_mat)
    if out is not None:
        from evenground.report.posed_picture import write_picture

        write_picture(out, marks, found, photo=photo, show_face=show_face)
    rows = []
    for name, words in _WORDS.items():
        estimate = getattr(found, name)
        if estimate is not None:
            rows.append((words, f"{estimate.value:.1f} {estimate.unit}", f"± {estimate.half_width():.1f}"))
    lines = [table(rows)]
    if found.model is not None:
        lines.append(f"segment table: {found.model}; a photo's balance is no better than ± 5 % of the foot")
    lines += [mat.text] if mat is not None else []
    lines += found.notes
    show({"figures": found, "mat": mat}, as_json=as_json, text="\n".join(lines))
