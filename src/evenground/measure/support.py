"""The base that two feet stand on, and how far from its edge the weight is, standing still or moving."""

import math

import numpy as np

from evenground.measure.contact import Contact
from evenground.measure.ground_constants import STANDARD_GRAVITY
from evenground.measure.recording import FloatArray

__all__ = ["base_of_support_mm", "edge_margin_mm", "extrapolated_com_m", "touched_corners_mm"]


def touched_corners_mm(
    contact: Contact, positions_mm: FloatArray, pitch_mm: tuple[float, float], turned_deg: float = 0.0
) -> FloatArray:
    """Corners of all cells that both feet touch, (4 N, 2), in the frame of `positions_mm`.

    Parameters
    ----------
    contact
        The two feet.
    positions_mm
        (R * C, 2) cell centres.
    pitch_mm
        Pitch of columns and of rows.
    turned_deg
        Turn of the mat that the centres were turned by (`contact.cell_positions_mm`).
    """
    touched = positions_mm[contact.left.touched | contact.right.touched]
    turn = math.radians(turned_deg)
    across = 0.5 * pitch_mm[0] * np.array([math.cos(turn), math.sin(turn)])
    along = 0.5 * pitch_mm[1] * np.array([-math.sin(turn), math.cos(turn)])
    return np.concatenate([touched + s * across + t * along for s in (-1.0, 1.0) for t in (-1.0, 1.0)])


def base_of_support_mm(points_mm: FloatArray) -> FloatArray:
    """Convex hull of points of the feet (N, 2): its corners counter-clockwise, (H, 2).

    The base that both footprints span; how far people can lean within it is less: about to the ball.
    """
    from scipy.spatial import ConvexHull  # a third of a second

    return np.asarray(points_mm[ConvexHull(points_mm).vertices])


def edge_margin_mm(at_mm: FloatArray, base_mm: FloatArray) -> float:
    """Shortest distance from a point (2,) to the edge of a base; negative outside it.

    Parameters
    ----------
    at_mm
        A centre of pressure, or an extrapolated centre of mass, in the base's frame.
    base_mm
        (H, 2) corners counter-clockwise (`base_of_support_mm`).

    Examples
    --------
    >>> base = np.array([[0.0, 0.0], [300.0, 0.0], [300.0, 200.0], [0.0, 200.0]])
    >>> edge_margin_mm(np.array([120.0, 40.0]), base), edge_margin_mm(np.array([303.0, -4.0]), base)
    (40.0, -5.0)
    """
    along = np.roll(base_mm, -1, axis=0) - base_mm
    away = at_mm - base_mm
    place = np.clip((away * along).sum(axis=1) / (along**2).sum(axis=1), 0.0, 1.0)
    nearest = float(np.hypot(*(away - place[:, None] * along).T).min())
    inside = bool(np.all(along[:, 0] * away[:, 1] - along[:, 1] * away[:, 0] >= 0.0))
    return nearest if inside else -nearest


def extrapolated_com_m(com_m: float, velocity_m_s: float, leg_m: float) -> float:
    """Where the centre of mass is headed: ``x + v sqrt(l / g)``; balance is kept while that is in the base.

    Parameters
    ----------
    com_m, velocity_m_s
        Centre of mass over the floor and its velocity, along one axis.
    leg_m
        Length of the pendulum: height of the centre of mass over the ankles.

    Notes
    -----
    Hof, Gazendam and Sinke 2005, J Biomech 38:1; check values 2.5. Of people who sway on the spot.

    Examples
    --------
    >>> 0.150 - extrapolated_com_m(0.050, 0.10, 1.0)
    0.06807
    """
    return com_m + velocity_m_s * math.sqrt(leg_m / float(STANDARD_GRAVITY))
