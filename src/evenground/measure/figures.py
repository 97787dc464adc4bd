"""The figures of a stance as smooth functions of the sums over the feet, with the errors that follow.

One function gives all figures from one row of sums. Its derivatives carry two errors to every figure: the
swing of the sums from frame to frame (whose mean is known as well as `means_of_series` says), and, in
recordings too short to show a swing, the noise of the cells. What the mat's pitch adds is not random in
time and is added at the end.
"""

from dataclasses import dataclass

import numpy as np

from evenground.floor import Handed, body_open_deg
from evenground.measure.autocorrelation import means_of_series
from evenground.measure.feet import FootShape
from evenground.measure.ground_constants import CONTACT_END, PITCH_FOREFOOT, PITCH_HEEL
from evenground.measure.recording import FloatArray
from evenground.measure.sums import foot_sums

__all__ = [
    "FIGURES",
    "MIN_SERIES_FRAMES",
    "Figures",
    "end_error_mm",
    "pitch_errors",
    "stance_figures",
    "total_cop_mm",
    "with_errors",
]

FIGURES = (
    "load_left_percent",
    "load_right_percent",
    "toe_out_left_deg",
    "toe_out_right_deg",
    "cop_left_mm",
    "cop_right_mm",
    "heel_load_left_percent",
    "heel_load_right_percent",
    "width_mm",
    "fore_aft_mm",
    "heel_line_deg",
    "load_line_deg",
    "cop_x_mm",
    "cop_y_mm",
    "total",
)
"""What `stance_figures` gives, in its order. Foot CoPs lie along the axis, from the heel centre."""

MIN_SERIES_FRAMES = 16


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """Values, standard errors and degrees of freedom, by name."""

    value: dict[str, float]
    se: dict[str, float]
    dof: dict[str, float]


def stance_figures(sums: FloatArray, handed: Handed) -> FloatArray:
    """All of `FIGURES` from sums, (..., 20) to (..., 15).

    Notes
    -----
    Angles of lines run from the left foot to the right one, counter-clockwise from x, then by
    `floor.body_open_deg`: + open. The heel line is against the target line (x), the load line against the
    heel line. The fore-aft offset is + when the lead heel is ahead.
    """
    left, right = foot_sums(sums, 0), foot_sums(sums, 1)
    heels, fores, cops = [], [], []
    for foot in (left, right):
        heels.append(foot.heel_mm / foot.heel[..., None])
        fores.append(foot.forefoot_mm / foot.forefoot[..., None])
        cops.append(foot.whole_mm / foot.whole[..., None])
    total = left.whole + right.whole
    cop = (left.whole_mm + right.whole_mm) / total[..., None] - 0.5 * (heels[0] + heels[1])
    axes = [f - h for f, h in zip(fores, heels, strict=True)]
    along = [
        ((c - h) * a).sum(-1) / np.hypot(a[..., 0], a[..., 1])
        for c, h, a in zip(cops, heels, axes, strict=True)
    ]
    heel_line, load_line = (_line_deg(*pair) for pair in (heels, cops))
    across = heels[1] - heels[0]
    opening, ahead = body_open_deg(1.0, handed), body_open_deg(-1.0, handed)
    return np.stack(
        [
            100.0 * left.whole / total,
            100.0 * right.whole / total,
            np.degrees(np.arctan2(-axes[0][..., 0], axes[0][..., 1])),
            np.degrees(np.arctan2(axes[1][..., 0], axes[1][..., 1])),
            *along,
            100.0 * left.rear_half / left.whole,
            100.0 * right.rear_half / right.whole,
            across[..., 0],
            ahead * across[..., 1],
            opening * heel_line,
            opening * (load_line - heel_line),
            cop[..., 0],
            cop[..., 1],
            total,
        ],
        axis=-1,
    )


def _line_deg(start: FloatArray, end: FloatArray) -> FloatArray:
    return np.asarray(np.degrees(np.arctan2(end[..., 1] - start[..., 1], end[..., 0] - start[..., 0])))


def total_cop_mm(sums: FloatArray) -> FloatArray:
    """CoP of both feet in every frame, (T, 20) to (T, 2), from the point that the sums count from."""
    left, right = foot_sums(sums, 0), foot_sums(sums, 1)
    return np.asarray((left.whole_mm + right.whole_mm) / (left.whole + right.whole)[..., None])


def _derivatives(mean: FloatArray, handed: Handed) -> FloatArray:
    """(15, 20) derivatives of the figures, by central differences of a millionth of each sum."""
    size = np.maximum(np.abs(mean), np.abs(mean).max() * 1e-6) * 1e-6
    steps = np.diag(size)
    up, down = stance_figures(mean + steps, handed), stance_figures(mean - steps, handed)
    return np.asarray(((up - down) / (2.0 * size[:, None])).T)


def with_errors(
    sums: FloatArray,
    columns: FloatArray,
    noise_sd: float,
    rate_hz: float | None,
    handed: Handed,
    pitch: dict[str, float],
) -> Figures:
    """Figures of the mean frame with their errors from swing, cell noise and pitch.

    Parameters
    ----------
    sums
        (T, 20), floor taken off.
    columns
        (R * C, 20) basis, for how the noise of the cells adds up.
    noise_sd
        SD of one cell in one frame.
    rate_hz
        Frames a second; None for a single frame.
    handed
        Which way the player stands.
    pitch
        Errors from the pitch by name.
    """
    mean = sums.mean(axis=0)
    value = stance_figures(mean, handed)
    slopes = _derivatives(mean, handed)
    if rate_hz is not None and len(sums) >= MIN_SERIES_FRAMES:
        swing = means_of_series((sums - mean) @ slopes.T, rate_hz)
        se, dof = swing.se, swing.dof
    else:
        spread = noise_sd**2 / len(sums) * (columns.T @ columns)
        se = np.sqrt(np.maximum(np.einsum("fk,kl,fl->f", slopes, spread, slopes), 0.0))
        dof = np.full(len(FIGURES), np.inf)
    extra = np.array([pitch.get(name, 0.0) for name in FIGURES])
    both = np.hypot(se, extra)
    dof = np.where(se > 0.0, dof, np.inf)
    # Welch and Satterthwaite with one part known exactly: dof grows with the fourth power of what dilutes it
    dof[se > 0.0] *= (both[se > 0.0] / se[se > 0.0]) ** 4
    return Figures(
        value=dict(zip(FIGURES, map(float, value), strict=True)),
        se=dict(zip(FIGURES, map(float, both), strict=True)),
        dof=dict(zip(FIGURES, map(float, dof), strict=True)),
    )


def pitch_errors(
    shapes: tuple[FootShape, FootShape], pitch_mm: tuple[float, float], floor_in_edges: float
) -> dict[str, float]:
    """What cells of finite size add to each figure, by name.

    Parameters
    ----------
    shapes
        Left and right foot.
    pitch_mm
        Pitch of columns and of rows.
    floor_in_edges
        Noise floor in the cells around the contact, summed: half of it may have been load.

    Notes
    -----
    A heel centre misses by `PITCH_HEEL` of the pitch, a forefoot centre by `PITCH_FOREFOOT` (ours, from
    placing known feet on cells of 5 to 15 mm); a contact end by `CONTACT_END` of it. Sums of load do not
    depend on the pitch to first order.
    """
    pitch = float(np.hypot(*pitch_mm)) / np.sqrt(2.0)
    heel, forefoot = float(PITCH_HEEL) * pitch, float(PITCH_FOREFOOT) * pitch
    two = np.sqrt(2.0) * heel
    line = np.degrees(two / float(np.hypot(*(shapes[1].heel_mm - shapes[0].heel_mm))))
    errors = {"width_mm": two, "fore_aft_mm": two, "heel_line_deg": line, "load_line_deg": line}
    errors |= {"cop_x_mm": two / 2.0, "cop_y_mm": two / 2.0, "total": 0.5 * floor_in_edges}
    for name, shape in zip(("left", "right"), shapes, strict=True):
        reach = float(np.hypot(*(shape.forefoot_mm - shape.heel_mm)))
        errors[f"toe_out_{name}_deg"] = np.degrees(np.hypot(heel, forefoot) / reach)
        errors[f"cop_{name}_mm"] = heel
    return {name: float(error) for name, error in errors.items()}


def end_error_mm(shape: FootShape, pitch_mm: tuple[float, float]) -> float:
    """Error of one contact end along the axis: `CONTACT_END` of the pitch in its direction."""
    along = abs(float(shape.axis[0])) * pitch_mm[0] + abs(float(shape.axis[1])) * pitch_mm[1]
    return along * float(CONTACT_END)
