"""What stands on a mat besides the player's feet: a grounded club, a ball, a bag, somebody else's foot."""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from evenground.measure.recording import FloatArray
from evenground.simulate.foot import foot_pattern, pressure_share

__all__ = ["Thing", "thing_picture"]

_FLATNESS = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Thing:
    """One thing and where it stands, floor frame from the middle of the stance before that is turned.

    Attributes
    ----------
    at_mm
        Its middle; of a foot, its rear end.
    force_n
        What it presses with.
    length_mm, breadth_mm
        Its size; a foot has its own breadth.
    turned_deg
        Counter-clockwise from lying along y.
    kind
        A flat oval, or the bare left or right foot of somebody else.
    """

    at_mm: tuple[float, float]
    force_n: float
    length_mm: float = 80.0
    breadth_mm: float = 30.0
    turned_deg: float = 0.0
    kind: Literal["oval", "left foot", "right foot"] = "oval"


def thing_picture(thing: Thing, x_mm: FloatArray, y_mm: FloatArray) -> FloatArray:
    """Pressure of a thing in kPa at points of the floor, which broadcast against one another."""
    turn = math.radians(thing.turned_deg)
    x, y = x_mm - thing.at_mm[0], y_mm - thing.at_mm[1]
    along, right = y * math.cos(turn) - x * math.sin(turn), x * math.cos(turn) + y * math.sin(turn)
    if thing.kind == "oval":
        radius = (2.0 * along / thing.length_mm) ** 2 + (2.0 * right / thing.breadth_mm) ** 2
        shape = np.clip(_FLATNESS * (1.0 - radius), 0.0, 1.0)
        # a cone cut flat: mean height over the oval is 1 - 1 / (2 flatness)
        area = math.pi / 4.0 * thing.length_mm * thing.breadth_mm * (1.0 - 0.5 / _FLATNESS)
        return np.asarray(1000.0 * thing.force_n / area * shape)
    outward = right if thing.kind == "right foot" else -right
    height = foot_pattern(thing.length_mm).height
    near = (along > 0.0) & (along < thing.length_mm) & (np.abs(outward) < 0.3 * thing.length_mm)
    share = np.zeros(near.shape)
    share[near] = pressure_share(along[near], outward[near], thing.length_mm)
    return 1000.0 * thing.force_n * height * share
