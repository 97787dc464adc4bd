"""A C3D file of two force plates with a known CoP, written by the reading library itself."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from evenground.measure.recording import FloatArray

__all__ = ["Laid", "written"]

_LABELS = ("Fx", "Fy", "Fz", "Mx", "My", "Mz")


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """How the plates lie and what the file is in."""

    z_up: bool = True
    sign: float = 1.0
    units: str = "mm"
    kind: int = 2
    used: int = 2


def written(path: Path, laid: Laid, *, samples: int = 200, rate_hz: float = 100.0) -> list[FloatArray]:
    """Write the file; gives each plate's true CoP in the laboratory, (T, 2), x right, y ahead, z up."""
    import ezc3d  # type: ignore[import-untyped]

    file = ezc3d.c3d()
    parameters = file["parameters"]
    parameters["POINT"]["RATE"]["value"] = np.array([rate_hz])
    parameters["POINT"]["UNITS"]["value"] = [laid.units]
    parameters["POINT"]["LABELS"]["value"] = ["mark"]
    file["data"]["points"] = np.ones((4, 1, samples))
    parameters["ANALOG"]["RATE"]["value"] = np.array([rate_hz])
    parameters["ANALOG"]["LABELS"]["value"] = [f"{name}{k}" for k in (1, 2) for name in _LABELS]
    parameters["ANALOG"]["UNITS"]["value"] = ["N", "N", "N", "Nmm", "Nmm", "Nmm"] * 2
    made = [_plate(laid, middle_x, np.arange(samples) / rate_hz) for middle_x in (-150.0, 150.0)]
    file["data"]["analogs"] = np.concatenate([signals for signals, *_ in made])[None]
    _describe(parameters["FORCE_PLATFORM"], laid, made)
    file.write(str(path))
    return [cop for _, cop, *_ in made]


def _plate(
    laid: Laid, middle_x: float, t: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Signals (6, T), CoP (T, 2), corners (4, 3) and origin (3,) of one plate."""
    axes = np.eye(3) if laid.z_up else np.array([[0.0, 1.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, -1.0]])
    middle = np.array([middle_x, 10.0, 0.0])
    sensor_to_surface = np.array([1.0, -2.0, 40.0])  # in the laboratory: the sensors lie below
    cop = np.column_stack([middle_x + 8.0 * np.sin(1.3 * t), 20.0 + 12.0 * np.cos(0.9 * t), 0.0 * t])
    force = laid.sign * np.column_stack(
        [3.0 * np.sin(t), 4.0 * np.cos(t), 350.0 + 0.1 * middle_x + 9.0 * np.sin(t)]
    )
    moment = np.cross(cop - middle + sensor_to_surface, force) + np.array([0.0, 0.0, 500.0])
    half = np.array([[250.0, 300.0, 0.0], [-250.0, 300.0, 0.0], [-250.0, -300.0, 0.0], [250.0, -300.0, 0.0]])
    signals = np.concatenate([axes.T @ force.T, axes.T @ moment.T])
    return signals, cop[:, :2], middle + half @ axes.T, axes.T @ sensor_to_surface


def _describe(group: Any, laid: Laid, made: list[Any]) -> None:
    length = 1.0 if laid.units == "mm" else 0.001
    group["USED"]["value"] = np.array([laid.used])
    group["TYPE"]["value"] = np.array([laid.kind, laid.kind])
    group["CORNERS"]["value"] = np.stack([length * corners.T for *_, corners, _ in made], axis=2)
    group["ORIGIN"]["value"] = np.stack([length * origin for *_, origin in made], axis=1)
    group["CHANNEL"]["value"] = np.arange(1, 13).reshape(2, 6).T
    group["ZERO"]["value"] = np.array([0, 0])
