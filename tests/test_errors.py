"""Every error survives the way back from a worker, and says one sentence with something to do."""

import importlib
import inspect
import pickle
import pkgutil
import types
import typing
from collections.abc import Iterator, Mapping, Sequence
from enum import Enum
from pathlib import Path
from typing import Any

import pytest

import evenground
from evenground import errors
from evenground.errors import CaptureError, EvengroundError

FAMILIES = tuple(getattr(errors, name) for name in errors.__all__ if name != "EvengroundError")
SKIPPED_ROOMS = ("evenground.__main__",)  # it runs the command


def every_module() -> Iterator[str]:
    for module in pkgutil.walk_packages(evenground.__path__, "evenground.", onerror=lambda _: None):
        if not module.name.startswith(SKIPPED_ROOMS) and ".migrations" not in module.name:
            yield module.name


def every_error() -> list[type[EvengroundError]]:
    for name in every_module():
        importlib.import_module(name)
    found: list[type[EvengroundError]] = []
    waiting = [EvengroundError]
    while waiting:
        one = waiting.pop()
        ours = one.__module__.startswith("evenground.")
        found += [one] if ours and one.__init__ is not EvengroundError.__init__ else []
        waiting += one.__subclasses__()
    return sorted(set(found), key=lambda c: (c.__module__, c.__qualname__))


def example_of(annotation: Any) -> Any:
    """A value of an annotated type, as plain as it can be."""
    origin, inner = typing.get_origin(annotation), typing.get_args(annotation)
    if origin is typing.Literal:
        return inner[0]
    if origin in (typing.Union, types.UnionType):
        return example_of(inner[0])
    if origin is typing.Annotated:
        return example_of(inner[0])
    if origin is tuple:
        return tuple(example_of(a) for a in inner if a is not Ellipsis)
    if origin in (list, set, frozenset):
        return origin([example_of(inner[0])])
    if origin in (Sequence, typing.Sequence):
        return (example_of(inner[0]),)
    if origin in (dict, Mapping, typing.Mapping):
        return {example_of(inner[0]): example_of(inner[1])}
    if inspect.isclass(annotation) and issubclass(annotation, Enum):
        return next(iter(annotation))
    plain: dict[Any, Any] = {str: "word", int: 3, float: 2.5, bool: True, Path: Path("file"), bytes: b"x"}
    return plain.get(annotation, "word")


def example(error: type[EvengroundError]) -> EvengroundError:
    hints = typing.get_type_hints(error.__init__)
    given: dict[str, Any] = {}
    for name, parameter in list(inspect.signature(error.__init__).parameters.items())[1:]:
        assert parameter.kind is not parameter.KEYWORD_ONLY, f"{error.__name__}.{name} is lost when pickled"
        given[name] = example_of(hints[name])
    return error(*given.values())


ERRORS = every_error()


def test_the_walk_finds_errors_in_every_room() -> None:
    rooms = {e.__module__.split(".")[1] for e in ERRORS}
    assert {"estimate", "units", "capture", "measure", "fit"} <= rooms
    assert len(ERRORS) > 50


@pytest.mark.parametrize("error", ERRORS, ids=lambda e: f"{e.__module__}.{e.__qualname__}")
def test_error_survives_pickling_with_the_same_sentence(error: type[EvengroundError]) -> None:
    raised = example(error)
    again = pickle.loads(pickle.dumps(raised))  # noqa: S301 - our own bytes
    assert type(again) is error
    assert str(again) == str(raised)
    assert (again.where, again.what, again.do, again.code) == (
        raised.where,
        raised.what,
        raised.do,
        raised.code,
    )


@pytest.mark.parametrize("error", ERRORS, ids=lambda e: f"{e.__module__}.{e.__qualname__}")
def test_error_belongs_to_a_family_and_says_what_was_wrong_on_one_line(error: type[EvengroundError]) -> None:
    said = example(error)
    assert issubclass(error, FAMILIES)
    assert error.__name__.endswith("Error")
    assert said.what
    assert said.what != EvengroundError.what
    assert "\n" not in str(said)


@pytest.mark.parametrize("family", FAMILIES)
def test_family_without_facts_still_says_something(family: type[EvengroundError]) -> None:
    assert str(family()) == "Something could not be done."


def test_sentence_joins_where_what_and_what_to_do() -> None:
    class BarTooHighError(CaptureError):
        do = "Lower it."

        def __init__(self) -> None:
            super().__init__()
            self.where, self.what = "bar", "The bar is too high."

    assert str(BarTooHighError()) == "bar: The bar is too high. Lower it."
    assert BarTooHighError().code == "bar-too-high"
