"""Results as JSON: every field, nothing infinite, nothing unknown."""

import json
import math
from dataclasses import dataclass
from datetime import date
from enum import Enum

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenground.estimate import Estimate
from evenground.plain import dump, to_plain


class Shade(Enum):
    DARK = "dark"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    first: object
    second: object = None


def test_dataclass_becomes_an_object_in_the_order_of_its_fields() -> None:
    assert list(to_plain(Pair(first=1, second=None)).items()) == [("first", 1), ("second", None)]


def test_estimate_becomes_its_five_fields() -> None:
    plain = to_plain(Pair(first=Estimate(value=1.0, se=0.5, unit="mm")))
    assert plain["first"] == {"value": 1.0, "se": 0.5, "dof": None, "n": 1, "unit": "mm"}


def test_numpy_numbers_and_arrays_become_numbers_and_lists() -> None:
    plain = to_plain({"a": np.float64(1.5), "b": np.array([[1, 2], [3, 4]]), "c": np.bool_(True)})
    assert plain == {"a": 1.5, "b": [[1, 2], [3, 4]], "c": True}
    assert type(plain["a"]) is float


def test_date_becomes_its_iso_form() -> None:
    assert to_plain((date(2026, 5, 9),)) == ["2026-05-09"]


def test_true_stays_true() -> None:
    assert dump([True, False, None]) == "[\n  true,\n  false,\n  null\n]"


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf, np.float64("nan"), np.array([1.0, math.inf])])
def test_number_that_is_not_finite_is_a_bug(bad: object) -> None:
    with pytest.raises(ValueError, match="cannot stand in JSON"):
        to_plain(Pair(first=[bad]))


@pytest.mark.parametrize("thing", [object(), {1, 2}.__iter__(), Pair, 1j, b"bytes"])
def test_thing_without_a_plain_form_is_a_bug(thing: object) -> None:
    with pytest.raises(TypeError, match="has no plain form"):
        to_plain(thing)


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
    max_leaves=10,
)


@given(JSON)
def test_plain_things_survive_the_text_unchanged(thing: object) -> None:
    assert json.loads(dump(thing)) == thing
