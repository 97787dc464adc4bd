"""The figures of a stance as smooth functions of the sums over the feet, with the errors that follow.

One function gives all figures from one row of sums. Its derivatives carry two errors to every figure: the
swing of the sums from frame to frame (whose mean is known as well as `means_of_series` says), and, in
recordings too short to show a swing, the noise of the cells. What the mat's pitch adds is not random in
time and is added at the end.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np

from evenground.estimate import Estimate
from evenground.floor import Handed, Side, body_open_deg
from evenground.measure.autocorrelation import means_of_series, with_known_errors
from evenground.measure.contact import Contact, LoneContact
from evenground.measure.feet import FootSeen, FootShape
from evenground.measure.ground_constants import CONTACT_END, PITCH_FOREFOOT, PITCH_HEEL
from evenground.measure.recording import FloatArray, MatRecording
from evenground.measure.sums import foot_sums

__all__ = [
    "FIGURES",
    "MIN_SERIES_FRAMES",
    "FigureSet",
    "Figures",
    "cut_errors",
    "end_error_mm",
    "lone_figures",
    "lone_set",
    "pitch_errors",
    "stance_figures",
    "stance_set",
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

    def estimate(self, name: str, n: int, unit: str) -> Estimate:
        """One figure, as of `n` frames."""
        return Estimate(value=self.value[name], se=self.se[name], dof=self.dof[name], n=n, unit=unit)


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureSet:
    """Names of some figures, and the function that gives them from sums: (..., K) to (..., len(names))."""

    names: tuple[str, ...]
    compute: Callable[[FloatArray], FloatArray]

    def slopes(self, mean: FloatArray) -> FloatArray:
        """(F, K) derivatives of the figures, by central differences of a millionth of each sum."""
        size = np.maximum(np.abs(mean), np.abs(mean).max() * 1e-6) * 1e-6
        steps = np.diag(size)
        up, down = self.compute(mean + steps), self.compute(mean - steps)
        return np.asarray(((up - down) / (2.0 * size[:, None])).T)


def stance_set(handed: Handed) -> FigureSet:
    """The figures of two feet."""
    return FigureSet(names=FIGURES, compute=partial(stance_figures, handed=handed))


def lone_set(side: Side) -> FigureSet:
    """The figures of an only foot."""
    names = (f"toe_out_{side}_deg", f"cop_{side}_mm", f"heel_load_{side}_percent")
    return FigureSet(
        names=(*names, "cop_x_mm", "cop_y_mm", "total"), compute=partial(lone_figures, side=side)
    )


def lone_figures(sums: FloatArray, side: Side) -> FloatArray:
    """The figures of an only foot from its sums, (..., 10) to (..., 6): see `lone_set` for their names.

    The CoP counts from the heel centre, across and ahead and along the axis.
    """
    foot = foot_sums(sums, 0)
    heel = foot.heel_mm / foot.heel[..., None]
    cop = foot.whole_mm / foot.whole[..., None]
    axis = foot.forefoot_mm / foot.forefoot[..., None] - heel
    along = ((cop - heel) * axis).sum(-1) / np.hypot(axis[..., 0], axis[..., 1])
    outward = axis[..., 0] if side == "right" else -axis[..., 0]
    away = cop - heel
    return np.stack(
        [
            np.degrees(np.arctan2(outward, axis[..., 1])),
            along,
            100.0 * foot.rear_half / foot.whole,
            away[..., 0],
            away[..., 1],
            foot.whole,
        ],
        axis=-1,
    )


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


def with_errors(
    sums: FloatArray,
    columns: FloatArray,
    recording: MatRecording,
    noise_sd: float,
    of: FigureSet,
    known: dict[str, float],
) -> Figures:
    """Figures of the mean frame with their errors from swing, cell noise and pitch.

    Parameters
    ----------
    sums
        (T, K), floor taken off.
    columns
        (R * C, K) basis, for how the noise of the cells adds up.
    recording
        Where the sums come from.
    noise_sd
        SD of one cell in one frame.
    of
        Which figures, and how they follow from the sums.
    known
        Errors that are not random in time, by name.
    """
    rate_hz = recording.rate_hz
    mean = sums.mean(axis=0)
    value = of.compute(mean)
    slopes = of.slopes(mean)
    if rate_hz is not None and len(sums) >= MIN_SERIES_FRAMES:
        swing = means_of_series((sums - mean) @ slopes.T, rate_hz)
        se, dof = swing.se, swing.dof
    else:
        used = columns[columns.any(axis=1)]
        spread = noise_sd**2 / len(sums) * (used.T @ used)
        se = np.sqrt(np.maximum(np.einsum("fk,kl,fl->f", slopes, spread, slopes), 0.0))
        dof = np.full(len(of.names), np.inf)
    extra = np.array([known.get(name, 0.0) for name in of.names])
    both, dof = with_known_errors(se, np.minimum(dof, 1e9), extra)
    return Figures(
        value=dict(zip(of.names, map(float, value), strict=True)),
        se=dict(zip(of.names, map(float, both), strict=True)),
        dof=dict(zip(of.names, map(float, dof), strict=True)),
    )


def pitch_errors(
    recording: MatRecording, contact: Contact | LoneContact, feet: tuple[FootSeen, ...]
) -> dict[str, float]:
    """What cells of finite size add to each figure, by name.

    Parameters
    ----------
    recording, contact
        The recording and what touches the mat.
    feet
        Left and right, or the only one.

    Notes
    -----
    A heel centre misses by `PITCH_HEEL` of the pitch, a forefoot centre by `PITCH_FOREFOOT` (ours, from
    placing known feet on cells of 5 to 15 mm); a contact end by `CONTACT_END` of it. Sums of load do not
    depend on the pitch to first order; of the noise floor in the cells around the contact half may have been
    load.
    """
    pitch = math.hypot(recording.pitch_x_mm, recording.pitch_y_mm) / math.sqrt(2.0)
    heel, forefoot = float(PITCH_HEEL) * pitch, float(PITCH_FOREFOOT) * pitch
    edges = sum(int((foot.area.region & ~foot.area.touched).sum()) for foot in feet)
    errors = {"total": 0.5 * contact.noise.floor * edges}
    for name, shape in ((foot.side, foot.shape) for foot in feet):
        reach = math.dist(shape.forefoot_mm, shape.heel_mm)
        errors[f"toe_out_{name}_deg"] = math.degrees(math.hypot(heel, forefoot) / reach)
        errors[f"cop_{name}_mm"] = heel
    if len(feet) == 1:
        return errors | {"cop_x_mm": heel, "cop_y_mm": heel}
    two = math.sqrt(2.0) * heel
    line = math.degrees(two / math.dist(feet[1].shape.heel_mm, feet[0].shape.heel_mm))
    errors |= {"width_mm": two, "fore_aft_mm": two, "heel_line_deg": line, "load_line_deg": line}
    return errors | {"cop_x_mm": two / 2.0, "cop_y_mm": two / 2.0}


def cut_errors(cut_share: float) -> dict[str, float]:
    """What a cut between touching feet adds to the load share: what lies along it may be the other foot's."""
    if cut_share == 0.0:
        return {}
    return {f"load_{side}_percent": 100.0 * cut_share for side in ("left", "right")}


def end_error_mm(shape: FootShape, pitch_mm: tuple[float, float]) -> float:
    """Error of one contact end along the axis: `CONTACT_END` of the pitch in its direction."""
    along = abs(float(shape.axis[0])) * pitch_mm[0] + abs(float(shape.axis[1])) * pitch_mm[1]
    return along * float(CONTACT_END)
