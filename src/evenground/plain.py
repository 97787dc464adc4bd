"""Results as plain JSON: frozen dataclasses become objects, estimates their five fields, tuples lists."""

import json
import math
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from enum import Enum
from typing import Any

__all__ = ["dump", "to_plain"]


def to_plain(thing: Any) -> Any:
    """Turn a result into dicts, lists, strings and finite numbers.

    A class with a ``to_json`` method decides for itself. A number that is not finite has no place in JSON and
    is a bug, so it raises.

    Examples
    --------
    >>> to_plain({"when": date(2026, 5, 9), "widths": (1, 2.5)})
    {'when': '2026-05-09', 'widths': [1, 2.5]}
    """
    if hasattr(thing, "to_json"):
        return to_plain(thing.to_json())
    if is_dataclass(thing) and not isinstance(thing, type):
        return {f.name: to_plain(getattr(thing, f.name)) for f in fields(thing)}
    if isinstance(thing, Mapping):
        return {str(k): to_plain(v) for k, v in thing.items()}
    if isinstance(thing, list | tuple | set | frozenset):
        return [to_plain(v) for v in thing]
    if thing is None or isinstance(thing, bool | str | int):
        return thing.value if isinstance(thing, Enum) else thing
    if isinstance(thing, date):
        return thing.isoformat()
    if hasattr(thing, "tolist"):  # numpy scalars and arrays, without importing numpy here
        return to_plain(thing.tolist())
    if isinstance(thing, float):
        if not math.isfinite(thing):
            msg = f"{thing} cannot stand in JSON"
            raise ValueError(msg)
        return thing
    msg = f"{type(thing).__name__} has no plain form"
    raise TypeError(msg)


def dump(thing: Any) -> str:
    """The JSON text of a result, keys in the order of its fields, indented for reading."""
    return json.dumps(to_plain(thing), indent=2, ensure_ascii=False, allow_nan=False)
