"""Several placements told as one: each figure's mean, its error from between the placements."""

from dataclasses import fields, is_dataclass
from typing import Any

from evenground.estimate import Estimate, pool
from evenground.measure.grade import Flag, Grade
from evenground.measure.ground_types import Ground

__all__ = ["pool_placements"]


def pool_placements(placements: list[Ground]) -> Ground:
    """How the player stands, from several placements.

    Parameters
    ----------
    placements
        One a placement, the feet put down anew for each; at least one, three or more to mean anything.

    Returns
    -------
    pooled
        Every figure by `estimate.pool`: the mean, its error from between the placements. A figure that some
        placement lacks is None. Usable when all are; flags name the placement.

    Raises
    ------
    TooFewRepeatsError
        Without any placement.
    """
    pooled: Ground = _pool(list(placements) or [pool([])])
    return pooled


def _pool(things: list[Any]) -> Any:
    """Pool estimates field by field through the result classes."""
    first = things[0]
    known: Any = next((thing for thing in things if thing is not None), None)
    if hasattr(known, "pooled"):  # it knows better than field by field
        return known.pooled(things)
    if isinstance(first, tuple):  # sentences: each once
        return tuple(dict.fromkeys(said for thing in things for said in thing))
    if any(thing is None for thing in things):
        return None
    if isinstance(first, Estimate):
        return pool(things)
    if isinstance(first, Grade):
        return _pool_grades(things)
    if not is_dataclass(first):
        msg = f"{type(first).__name__} cannot be pooled"
        raise TypeError(msg)
    kind: Any = type(first)
    return kind(**{f.name: _pool([getattr(thing, f.name) for thing in things]) for f in fields(kind)})


def _pool_grades(grades: list[Grade]) -> Grade:
    if len(grades) == 1:
        return grades[0]
    flags = [
        Flag(code=flag.code, where=f"placement {i}, {flag.where}", text=flag.text)
        for i, grade in enumerate(grades, 1)
        for flag in grade.flags
    ]
    return Grade(usable=all(grade.usable for grade in grades), flags=tuple(flags))
