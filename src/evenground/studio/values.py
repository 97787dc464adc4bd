"""A field's text as the value its reading stores: which control a field has follows from its table."""

from typing import Any, Literal, get_args, get_origin

from pydantic.fields import FieldInfo

from evenground.records.reading_kinds import Kind
from evenground.studio.typed import NotAChoiceError, NotACountError, read_typed, unit_of
from evenground.units import LengthSystem

__all__ = ["choices_of", "value_from"]

YES = ("yes", "true", "on", "1")
NO = ("no", "false", "off", "0")
LONGEST_COUNT = 9


def choices_of(kind: Kind, field: str) -> tuple[str, ...]:
    """The words that a field may hold, empty when it is not a field of words to choose from.

    Examples
    --------
    >>> from evenground.records.reading_kinds import kind_named
    >>> choices_of(kind_named("hip-line trial"), "phase")
    ('before', 'rested', 'after')
    """
    info = kind.table.model_fields.get(field)
    return () if info is None else _literals(info.annotation)


def _literals(annotation: Any) -> tuple[str, ...]:
    if get_origin(annotation) is Literal:
        return tuple(str(word) for word in get_args(annotation))
    for inner in get_args(annotation):
        found = _literals(inner)
        if found:
            return found
    return ()


def value_from(
    kind: Kind, field: str, text: str, system: LengthSystem, *, label: str = "", word: str = ""
) -> float | int | str | bool:
    """What was typed or chosen for a field, as it is stored; sizes may have their own unit.

    Parameters
    ----------
    kind, field
        Which field of which kind of reading.
    text
        What was typed.
    system
        The studio's preference, for a bare number.
    label
        What the screen calls the field.
    word
        The side of a size given without a sign.

    Raises
    ------
    CaptureError
        When the text is not what the field holds.
    """
    said, name = text.strip(), label or field
    info = kind.table.model_fields.get(field)
    if info is None or not said or _literals(info.annotation):
        return said
    if _holds(info, bool):
        return _yes_no(name, said)
    if _holds(info, int):
        return _count(name, said)
    if unit_of(field, system):
        return read_typed(field, said, system, label=name, word=word)
    return said


def _holds(info: FieldInfo, wanted: type) -> bool:
    return wanted in _within(info.annotation)


def _within(annotation: Any) -> tuple[Any, ...]:
    """An annotation and all that it is made of."""
    return (annotation, *(found for inner in get_args(annotation) for found in _within(inner)))


def _yes_no(name: str, said: str) -> bool:
    if said.lower() in YES:
        return True
    if said.lower() in NO:
        return False
    raise NotAChoiceError(name, said, ("yes", "no"))


def _count(name: str, said: str) -> int:
    if not (said.isascii() and said.isdigit() and len(said) <= LONGEST_COUNT):
        raise NotACountError(name, said)
    return int(said)
