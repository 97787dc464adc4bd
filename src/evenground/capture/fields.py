"""Typed-in TOML tables: sizes as numbers or text with a unit, one sentence for whatever is wrong.

A model built on `Typed` names its sizes with their unit (`hand_mm`). The file may then say either::

    hand_mm = 193.0          # a number in that unit
    hand = "7 5/8 in"        # text with its own unit, under the name without the suffix
"""

import difflib
import re
import tomllib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Annotated, Any, TypeVar

from pydantic import (
    AllowInfNan,
    BaseModel,
    ConfigDict,
    Field,
    Strict,
    ValidationError,
    ValidationInfo,
    field_validator,
    model_validator,
)
from pydantic_core import ErrorDetails, PydanticCustomError

from evenground.errors import CaptureError, EvengroundError
from evenground.units import parse_angle_deg, parse_length_mm, parse_mass_kg

__all__ = [
    "Count",
    "MissingFileError",
    "NotTomlError",
    "Number",
    "Short",
    "Typed",
    "UnreadableFieldError",
    "YesNo",
    "checked",
    "load_toml",
    "read_toml",
]

Number = Annotated[float, Strict(), AllowInfNan(allow_inf_nan=False)]
"""A finite number; text and true/false are refused."""

Count = Annotated[int, Strict()]
"""A whole number; text, fractions and true/false are refused."""

YesNo = Annotated[bool, Strict()]
"""True or false; text and numbers are refused."""

Short = Annotated[str, Field(min_length=1, max_length=120)]
"""A name or a few words."""

_LONGEST_SHOWN = 60
_LARGEST_BYTES = 4_000_000

_READERS: dict[str, Callable[[str, str], float]] = {
    "mm": lambda text, field: parse_length_mm(text, field=field, signed=True),
    "m": lambda text, field: parse_length_mm(text, field=field, signed=True) / 1000.0,
    "kg": lambda text, field: parse_mass_kg(text, field=field),
    "g": lambda text, field: parse_mass_kg(text, field=field) * 1000.0,
    "deg": lambda text, field: parse_angle_deg(text, field=field),
}
_EXAMPLES = {"mm": "30 1/2 in", "m": "6 ft", "kg": "12 st 4 lb", "g": "1 3/4 oz", "deg": "3.5 deg"}


class MissingFileError(CaptureError):
    """A file that was named is not there or cannot be opened."""

    do = "Check the name and that the file may be read."

    def __init__(self, file: str, why: str) -> None:
        super().__init__(file, why)
        self.where = file
        self.what = f"This file cannot be opened ({why})."


class NotTomlError(CaptureError):
    """A file that should be TOML and is not."""

    do = "Open it in a text editor and correct that place; docs/formats.md shows the form."

    def __init__(self, file: str, why: str) -> None:
        super().__init__(file, why)
        self.where = file
        self.what = f"This file is not readable TOML: {why}."


class UnreadableFieldError(CaptureError):
    """A value in a file that is missing, unknown or not allowed: which file, which field, what is allowed."""

    def __init__(self, file: str, field: str, wrong: str, allowed: str, more: int = 0) -> None:
        super().__init__(file, field, wrong, allowed, more)
        self.where = ", ".join(part for part in (file, field) if part)
        self.what = f"{wrong}."
        others = f" ({more} more like this in the file.)" if more else ""
        self.do = f"{allowed}{'.' if allowed and not allowed.endswith('.') else ''}{others}".strip()


class _Text:
    """A size given as text: under which key and in which unit it is wanted."""

    __slots__ = ("key", "unit", "value")

    def __init__(self, key: str, unit: str, value: object) -> None:
        self.key, self.unit, self.value = key, unit, value


def _unit_of(field: str) -> str | None:
    """Unit at the end of a field's name, if it is one that can be typed."""
    base, _, unit = field.rpartition("_")
    return unit if base and unit in _READERS else None


class Typed(BaseModel):
    """Base of every table typed by hand: frozen, unknown keys refused, sizes also as text with a unit.

    Use `Number` and `Count` for numbers without one of the typed units; sizes (`_mm`, `_m`, `_kg`, `_g`,
    `_deg`) never take text under their own name, and `nan` and `inf` never pass.
    """

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)

    @classmethod
    def __pydantic_init_subclass__(cls, **kwargs: Any) -> None:
        """Refuse a model in which one text key could mean two fields."""
        super().__pydantic_init_subclass__(**kwargs)
        bases = [name.rpartition("_")[0] for name in cls.model_fields if _unit_of(name)]
        twice = {base for base in bases if bases.count(base) > 1}
        if twice:
            msg = f"{cls.__name__}: {', '.join(sorted(twice))} would stand for two fields"
            raise TypeError(msg)

    @classmethod
    def text_keys(cls) -> dict[str, str]:
        """Key without unit -> field, for every size of this table."""
        keys = {name.rpartition("_")[0]: name for name in cls.model_fields if _unit_of(name)}
        return {key: name for key, name in keys.items() if key not in cls.model_fields}

    @model_validator(mode="before")
    @classmethod
    def _take_text(cls, data: object) -> object:
        if not isinstance(data, Mapping):
            return data
        taken = dict(data)
        for key, name in cls.text_keys().items():
            if key not in taken:
                continue
            if name in taken:
                raise PydanticCustomError("given_twice", "{key} and {name}", {"key": key, "name": name})
            taken[name] = _Text(key, _unit_of(name) or "", taken.pop(key))
        return taken

    @field_validator("*", mode="before")
    @classmethod
    def _read_text(cls, value: object, info: ValidationInfo) -> object:
        if isinstance(value, _Text):
            return _amount(value.value, value)
        unit = _unit_of(info.field_name or "")
        if unit and _holds_text(value):
            raise PydanticCustomError("text_in_number", "", {"unit": unit, "name": info.field_name})
        return value


def _holds_text(value: object) -> bool:
    many = value if isinstance(value, list | tuple) else [value]
    return any(isinstance(item, str | bool) for item in many)


def _amount(value: object, asked: _Text) -> object:
    if isinstance(value, list):
        return [_amount(item, asked) for item in value]
    if not isinstance(value, str):
        raise PydanticCustomError(
            "number_in_text", "", {"unit": asked.unit, "key": asked.key, "value": value}
        )
    try:
        return _READERS[asked.unit](value, "")
    except EvengroundError as exc:
        raise PydanticCustomError("size", "", {"key": asked.key, "what": exc.what, "do": exc.do}) from exc


M = TypeVar("M", bound=BaseModel)


def load_toml(path: Path, model: type[M]) -> M:
    """Read one TOML file into a model.

    Raises
    ------
    MissingFileError
        If the file cannot be opened.
    NotTomlError
        If it is not TOML, not UTF-8, or larger than 4 MB.
    UnreadableFieldError
        If a value in it is missing, unknown or not allowed.
    """
    try:
        with path.open("rb") as stream:
            raw = stream.read(_LARGEST_BYTES + 1)
    except OSError as exc:
        raise MissingFileError(path.name, (exc.strerror or "unknown reason").lower()) from exc
    return read_toml(raw, model, file=path.name)


def read_toml(raw: bytes, model: type[M], *, file: str) -> M:
    """Read the bytes of a TOML file into a model; `file` names it in messages. Errors as in `load_toml`."""
    if len(raw) > _LARGEST_BYTES:
        raise NotTomlError(file, f"it is larger than {_LARGEST_BYTES // 1_000_000} MB")
    try:
        data = tomllib.loads(raw.decode("utf-8-sig"))
    except UnicodeDecodeError as exc:
        raise NotTomlError(file, f"byte {exc.start + 1} is not UTF-8 text") from exc
    except tomllib.TOMLDecodeError as exc:
        raise NotTomlError(file, _plain(str(exc))) from exc
    except RecursionError as exc:
        raise NotTomlError(file, "its lists or tables are nested too deeply") from exc
    return checked(model, data, file=file)


def checked(model: type[M], data: object, *, file: str) -> M:
    """Validate data against a model.

    Raises
    ------
    UnreadableFieldError
        The first thing that is wrong, with how many more there are.
    """
    try:
        return model.model_validate(data)
    except ValidationError as exc:
        raise _sentence(exc, model, file) from exc


def _sentence(exc: ValidationError, model: type[BaseModel], file: str) -> UnreadableFieldError:
    """Turn what pydantic found into one sentence of ours."""
    details = exc.errors(include_url=False)
    first = details[0]
    context = first.get("ctx", {})
    loc = first["loc"]
    if "key" in context and first["type"] in {"size", "number_in_text"}:
        at = max((i for i, part in enumerate(loc) if isinstance(part, str)), default=0)
        loc = (*loc[:at], context["key"], *loc[at + 1 :])
    wrong, allowed = _wording(first, model)
    return UnreadableFieldError(file, _path(loc), wrong, allowed, len(details) - 1)


def _path(loc: tuple[int | str, ...]) -> str:
    """Where in the file, as a person counts: ``trials 4, width_mm``."""
    said: list[str] = []
    for part in loc:
        if isinstance(part, int):
            said[-1:] = [f"{said[-1] if said else 'entry'} {part + 1}"]
        else:
            said.append(_plain(part))
    return ", ".join(said)


def _plain(value: object) -> str:
    text = _printable(value if isinstance(value, str) else repr(value))
    return text if len(text) <= _LONGEST_SHOWN else f"{text[:_LONGEST_SHOWN]}..."


def _printable(text: str) -> str:
    return "".join(c if c.isprintable() else "?" for c in text)


def _shown(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, Mapping):
        return "a table"
    if isinstance(value, list | tuple):
        return f"a list of {len(value)}"
    return f'"{_plain(value)}"' if isinstance(value, str) else _plain(value)


_LIMITS = {
    "greater_than": ("gt", "more than"),
    "greater_than_equal": ("ge", "at least"),
    "less_than": ("lt", "less than"),
    "less_than_equal": ("le", "at most"),
}
_WANTED = {
    "float_type": "a number is needed",
    "float_parsing": "a number is needed",
    "int_type": "a whole number is needed",
    "int_parsing": "a whole number is needed",
    "int_from_float": "a whole number is needed",
    "string_type": "text in quotes is needed",
    "bool_type": "true or false is needed",
    "bool_parsing": "true or false is needed",
    "finite_number": "a finite number is needed",
    "list_type": "a list in square brackets is needed",
    "tuple_type": "a list in square brackets is needed",
    "dict_type": "a table is needed",
    "model_type": "a table is needed",
    "model_attributes_type": "a table is needed",
    "date_type": "a date like 2026-05-09 is needed",
    "date_from_datetime_parsing": "a date like 2026-05-09 is needed",
    "date_parsing": "a date like 2026-05-09 is needed",
}


def _wording(found: ErrorDetails, model: type[BaseModel]) -> tuple[str, str]:
    """What was wrong, and what is allowed, as two short sentences without their full stops."""
    kind, context, value = found["type"], found.get("ctx", {}), found["input"]
    if kind == "missing":
        return "This is missing", "Add it; docs/formats.md says what it holds"
    if kind == "extra_forbidden":
        return _unknown(found, model)
    if kind in _LIMITS:
        bound, words = _LIMITS[kind]
        unit = next((_unit_of(p) for p in reversed(found["loc"]) if isinstance(p, str)), None)
        limit = f"{context[bound]:g}" if isinstance(context[bound], float) else f"{context[bound]}"
        return f"{_shown(value)} is not allowed", f"It has to be {words} {limit}{f' {unit}' if unit else ''}"
    if kind in _WANTED:
        return f"{_shown(value)} does not fit here", f"Here {_WANTED[kind]}"
    if kind in {"literal_error", "enum"}:
        return f"{_shown(value)} is not one of the choices", f"Allowed: {context['expected']}"
    if kind in {"too_short", "too_long"}:
        bound, words = ("min_length", "at least") if kind == "too_short" else ("max_length", "at most")
        return f"{_shown(value)} does not fit here", f"It needs {words} {context[bound]} entries"
    return _own_wording(kind, context, value, found["msg"])


def _own_wording(kind: str, context: dict[str, Any], value: object, said: str) -> tuple[str, str]:
    if kind == "size":
        return context["what"].removesuffix("."), context["do"]
    if kind == "given_twice":
        return (
            f"{context['key']} and {context['name']} are both given",
            "Keep one: the number in that unit, or the text with its own unit",
        )
    if kind == "text_in_number":
        base = context["name"].rpartition("_")[0]
        example = _EXAMPLES[context["unit"]]
        return (
            f"{_shown(value)} is not a number in {context['unit']}",
            f'Give the number alone, or write {base} = "{example}" with its unit',
        )
    if kind == "number_in_text":
        key, unit = context["key"], context["unit"]
        return (
            f"{_shown(context['value'])} has no unit",
            f'Write {key} = "{_EXAMPLES[unit]}" as text, or {key}_{unit} = a number',
        )
    own = re.sub(r"^(Value|Assertion) error, ", "", _printable(said)).removesuffix(".")
    return own[:1].upper() + own[1:], ""


def _unknown(found: ErrorDetails, model: type[BaseModel]) -> tuple[str, str]:
    known = _keys_at(model, found["loc"][:-1])
    near = difflib.get_close_matches(str(found["loc"][-1]), known, n=1)
    if near:
        return "This key is not known", f"Did you mean {near[0]}? Known here: {', '.join(known)}"
    return "This key is not known", f"Known here: {', '.join(known)}" if known else "Take it out"


def _keys_at(model: type[BaseModel], loc: tuple[int | str, ...]) -> list[str]:
    """Keys of the table at a place, found found through the models' annotations; empty if unclear."""
    here: type[BaseModel] | None = model
    for part in loc:
        if isinstance(part, int) or here is None:
            continue
        field = here.model_fields.get(part)
        here = _model_in(field.annotation) if field is not None else None
    return list(here.model_fields) if here is not None else []


def _model_in(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    found = [_model_in(inner) for inner in getattr(annotation, "__args__", ())]
    return next((inner for inner in found if inner is not None), None)
