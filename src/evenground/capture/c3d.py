"""Force plates out of a C3D file, with our own CoP from their forces and moments.

The file says where each plate's corners lie in the laboratory, and how the middle of its surface lies from
the origin of its forces. That origin lies below the surface; files disagree on the sign with which they say
so, so the sign is taken from which way the plate's z axis points.
"""

import io
import subprocess
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Literal

import numpy as np

from evenground.capture.c3d_worker import LIBRARY_MISSING, NO_PLATES
from evenground.errors import CaptureError
from evenground.measure.plates import Plate, PlateRecording, surface_cop
from evenground.measure.recording import FloatArray

__all__ = ["C3dError", "C3dExtraMissingError", "Facing", "read_c3d"]

Facing = Literal["x", "-x", "y", "-y"]
"""Where in the laboratory's axes the player looks; z is up."""

_MOST_PLATES = 2
_SECONDS = 60
_AHEAD: Mapping[Facing, tuple[float, float]] = {"x": (1, 0), "-x": (-1, 0), "y": (0, 1), "-y": (0, -1)}


class C3dError(CaptureError):
    """A C3D file that cannot be read, or whose plates cannot be used."""

    do = "Export it again from the laboratory's own program, with one or two force plates and nothing else."

    def __init__(self, file: str, why: str) -> None:
        super().__init__(file, why)
        self.where, self.what = file, f"This C3D file cannot be used: {why}."


class C3dExtraMissingError(CaptureError):
    """The reader for C3D files is not installed."""

    do = 'Install it: pip install "evenground[c3d]".'

    def __init__(self, file: str) -> None:
        super().__init__(file)
        self.where, self.what = file, "Reading C3D files takes a library that is not installed."


def read_c3d(raw: bytes, *, file: str, facing: Facing = "y") -> PlateRecording:
    """Read the plates of a C3D file; with two, the one to the player's left carries the left foot.

    Parameters
    ----------
    raw
        Content of the file.
    file
        Its name for messages.
    facing
        Where in the laboratory's axes the player looks.

    Raises
    ------
    C3dExtraMissingError
        Without the library.
    C3dError
        When the file is damaged, or has not one or two plates of a known type.
    MeasureError
        When the plates' series do not belong together.
    """
    found = _worked(raw, file)
    try:
        plates = [_plate(found, k) for k in range(_count(found, file))]
    except (KeyError, IndexError, ValueError) as exc:
        raise C3dError(file, "what describes its force plates is incomplete") from exc
    ahead = np.array(_AHEAD[facing])
    right = np.array([ahead[1], -ahead[0]])
    turned = [np.column_stack([p.cop_mm @ right, p.cop_mm @ ahead]) for p in plates]
    middles = [float(p.middle_mm[:2] @ right) for p in plates]
    order = np.argsort(middles)
    feet: tuple[Literal["left", "right", "both"], ...] = ("both",) if len(plates) == 1 else ("left", "right")
    return PlateRecording(
        plates=tuple(
            Plate(foot=foot, force_n=plates[k].force_n, cop_mm=turned[k])
            for foot, k in zip(feet, order, strict=True)
        ),
        rate_hz=float(found["rate_hz"][0]),
        name=file,
    )


def _worked(raw: bytes, file: str) -> Mapping[str, Any]:
    """What the worker reads, in a process of its own."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "file.c3d"
        path.write_bytes(raw)
        worker = [sys.executable, "-I", "-m", "evenground.capture.c3d_worker", str(path)]
        try:
            done = subprocess.run(worker, capture_output=True, timeout=_SECONDS, check=False)  # noqa: S603
        except subprocess.TimeoutExpired as exc:
            raise C3dError(file, "reading it takes too long") from exc
    if done.returncode == LIBRARY_MISSING:
        raise C3dExtraMissingError(file)
    if done.returncode == NO_PLATES:
        raise C3dError(file, "it has no force plates")
    if done.returncode != 0:
        raise C3dError(file, "it is damaged or no C3D file")
    with np.load(io.BytesIO(done.stdout), allow_pickle=False) as packed:
        return dict(packed)


def _count(found: Mapping[str, Any], file: str) -> int:
    used = int(found["used"])
    if not 1 <= used <= _MOST_PLATES:
        raise C3dError(file, f"it has {used} force plates, one or two can be used")
    kinds = found["type"][:used]
    if len(kinds) < used or not set(kinds.tolist()) <= set(_KINDS):
        raise C3dError(file, f"plates of type {', '.join(map(str, kinds)) or 'unknown'} are not read")
    if len(found["rate_hz"]) < 1 or not 0.0 < float(found["rate_hz"][0]) < np.inf:
        raise C3dError(file, "it does not say its rate")
    return used


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Laid:
    """One plate in the laboratory: upward force, CoP (T, 2) and the middle of its surface."""

    force_n: FloatArray
    cop_mm: FloatArray
    middle_mm: FloatArray


def _plate(found: Mapping[str, Any], k: int) -> _Laid:
    corners = found["corners"].reshape(3, 4, -1)[:, :, k].T * _length(found)
    origin = found["origin"].reshape(3, -1)[:, k] * _length(found)
    middle = corners.mean(axis=0)
    x_axis, y_axis = _unit(corners[0] - corners[1]), _unit(corners[0] - corners[3])
    up = float(np.cross(x_axis, y_axis)[2])
    if not np.all(np.isfinite(corners)) or not abs(up) > 0.5:
        raise ValueError
    kind = int(found["type"][k])
    channels = found["channel"][:, k] - 1
    if np.any(channels < 0) or np.any(channels >= len(found["analogs"])):
        raise IndexError
    signals = found["analogs"][channels].T
    vertical, place = _KINDS[kind](signals, origin * (1.0 if origin[2] * up >= 0.0 else -1.0), found, k)
    vertical = vertical if float(np.mean(vertical)) >= 0.0 else -vertical
    cop = middle + place[:, :1] * x_axis + place[:, 1:] * y_axis
    return _Laid(force_n=vertical, cop_mm=cop[:, :2], middle_mm=middle)


def _unit(along: FloatArray) -> FloatArray:
    return np.asarray(along / np.linalg.norm(along))


def _length(found: Mapping[str, Any]) -> float:
    """Millimetres a unit of length of the file."""
    said = str(found["point_units"].ravel()[0]).strip().lower() if found["point_units"].size else "mm"
    return {"mm": 1.0, "cm": 10.0, "m": 1000.0}[said]


def _moment_factor(found: Mapping[str, Any], channel: int) -> float:
    """Newton millimetres a unit of a moment channel."""
    units = found["units"].ravel()
    said = (
        str(units[channel]).strip().lower().replace(".", "").replace(" ", "") if channel < len(units) else ""
    )
    return {"nm": 1000.0, "ncm": 10.0, "nmm": 1.0}.get(said, _length(found))


Surface = tuple[FloatArray, FloatArray]
"""Vertical force (T,) and CoP from the middle of the surface (T, 2)."""


def _forces_and_point(signals: FloatArray, _origin: FloatArray, found: Mapping[str, Any], _k: int) -> Surface:
    """Type 1: Fx, Fy, Fz, CoP x, CoP y, free moment."""
    return signals[:, 2], signals[:, 3:5] * _length(found)


def _forces_and_moments(signals: FloatArray, origin: FloatArray, found: Mapping[str, Any], k: int) -> Surface:
    """Type 2: Fx, Fy, Fz, Mx, My, Mz about the origin."""
    factor = _moment_factor(found, int(found["channel"][3, k]) - 1)
    return signals[:, 2], surface_cop(signals[:, :3], signals[:, 3:6] * factor, origin)


def _eight_sensors(signals: FloatArray, origin: FloatArray, _found: Mapping[str, Any], _k: int) -> Surface:
    """Type 3: x12, x34, y14, y23, z1 to z4; the origin holds the sensors' half distances, and their depth."""
    half_x, half_y = abs(origin[0]), abs(origin[1])
    x12, x34, y14, y23, z1, z2, z3, z4 = signals.T
    force = np.column_stack([x12 + x34, y14 + y23, z1 + z2 + z3 + z4])
    moment = np.column_stack(
        [
            half_y * (z1 + z2 - z3 - z4),
            half_x * (z2 + z3 - z1 - z4),
            half_y * (x34 - x12) + half_x * (y14 - y23),
        ]
    )
    return force[:, 2], surface_cop(force, moment, np.array([0.0, 0.0, origin[2]]))


def _calibrated(signals: FloatArray, origin: FloatArray, found: Mapping[str, Any], k: int) -> Surface:
    """Type 4: as type 2 after a matrix of calibration."""
    matrix = found["cal_matrix"].reshape(6, 6, -1)[:, :, k]
    return _forces_and_moments(signals @ matrix.T, origin, found, k)


_KINDS = {1: _forces_and_point, 2: _forces_and_moments, 3: _eight_sensors, 4: _calibrated}
