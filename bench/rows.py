"""Rows of the proof page, as every topic gives them."""

from typing import Any

__all__ = ["row", "share_row"]


def row(claim: str, seen: str, limit: str, held: object) -> dict[str, Any]:
    """One claim: what was seen, what it may be, and whether it held."""
    return {"claim": claim, "seen": seen, "limit": limit, "held": bool(held)}


def share_row(
    claim: str, share: float, limits: tuple[float, float] = (0.93, 0.97), room: float = 0.0
) -> dict[str, Any]:
    """How often something held: within its limits, wider by `room` where the count is small."""
    low, high = limits[0] - room, min(1.0, limits[1] + room)
    return row(claim, f"{share:.3f}", f"{low:.3f} to {high:.3f}", low <= share <= high)
