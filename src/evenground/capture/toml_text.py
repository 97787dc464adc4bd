"""Writes tables of plain values as TOML that reads back the same."""

import json
from collections.abc import Iterable, Mapping
from dataclasses import MISSING, fields
from datetime import date
from typing import Any

__all__ = ["entries", "entry", "given", "table", "value"]


def given(thing: Any) -> dict[str, Any]:
    """Fields that say something: neither missing nor what they are anyway."""
    values = {f.name: getattr(thing, f.name) for f in fields(thing)}
    usual = {f.name: f.default for f in fields(thing) if f.default is not MISSING}
    usual |= {f.name: f.default_factory() for f in fields(thing) if f.default_factory is not MISSING}
    return {k: v for k, v in values.items() if v is not None and not (k in usual and v == usual[k])}


def table(name: str, values: Mapping[Any, Any]) -> list[str]:
    """Lines of ``[name]`` after an empty one."""
    return ["", f"[{name}]", *(f"{_key(k)} = {value(v)}" for k, v in values.items())]


def entry(name: str, values: Mapping[str, Any]) -> list[str]:
    """Lines of one ``[[name]]`` after an empty one."""
    return ["", f"[[{name}]]", *(f"{_key(k)} = {value(v)}" for k, v in values.items())]


def entries(name: str, things: Iterable[Any]) -> list[str]:
    """Lines of one ``[[name]]`` for each dataclass."""
    return [line for thing in things for line in entry(name, given(thing))]


def _key(key: str) -> str:
    return key if key.replace("_", "").isalnum() and key.isascii() else value(key)


def value(value_: Any) -> str:
    """One TOML value; text as JSON writes it, whose escapes TOML shares but for the delete character.

    Examples
    --------
    >>> value(("left", 2.0, True))
    '["left", 2, true]'
    """
    if isinstance(value_, str):
        return json.dumps(value_, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value_, bool):
        return "true" if value_ else "false"
    if isinstance(value_, list | tuple):
        return f"[{', '.join(value(v) for v in value_)}]"
    if isinstance(value_, Mapping):
        return f"{{{', '.join(f'{_key(k)} = {value(v)}' for k, v in value_.items())}}}"
    if isinstance(value_, date):
        return value_.isoformat()
    return repr(value_).removesuffix(".0")
