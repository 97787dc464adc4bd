"""Findings taken over from an earlier state of the visit: the same answer, and only where nothing changed."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any, BinaryIO

import pytest

from evenground.assess import assess
from evenground.capture.bundle import Bundle, read_bundle
from evenground.example import example_bundle
from evenground.findings import Findings
from evenground.plain import to_plain
from evenground.visit import StudioSnapshot, Visit

Change = Callable[[Visit, StudioSnapshot, dict[str, str]], tuple[Visit, StudioSnapshot, dict[str, str]]]


@pytest.fixture(scope="module")
def example() -> Bundle:
    """The example's visit with one placement on the mat and little else."""
    read = read_bundle(example_bundle())
    visit = replace(read.visit, ground=read.visit.ground[:1], hip_line=None, grip=None, own_clubs=())
    return replace(read, visit=visit)


@pytest.fixture(scope="module")
def before(example: Bundle) -> Findings:
    return assess(example.visit, example.studio, example.open_blob, digests=example.digests)


def again(
    example: Bundle, earlier: Findings | None, change: Change = lambda *all_: all_
) -> tuple[Findings, list[str]]:
    """The findings of a changed visit, and which files were opened for them."""
    opened: list[str] = []

    def open_blob(name: str) -> BinaryIO:
        opened.append(name)
        return example.open_blob(name)

    visit, studio, digests = change(example.visit, example.studio, dict(example.digests))
    return assess(visit, studio, open_blob, digests=digests, earlier=earlier), opened


def with_body(visit: Visit, **changes: Any) -> Visit:
    assert visit.body is not None
    return replace(visit, body=replace(visit.body, **changes))


def test_a_recording_that_nothing_changed_about_is_not_read_again(example: Bundle, before: Findings) -> None:
    def cleared(*of: Any) -> Any:
        visit, studio, digests = of
        return replace(visit, screening="measuring only"), studio, digests

    found, opened = again(example, before, cleared)
    assert example.visit.ground[0].recording not in opened
    alone, _ = again(example, None, cleared)
    assert to_plain(found) == to_plain(alone)


@pytest.mark.parametrize(
    "change",
    [
        lambda v, s, d: (with_body(v, mass_kg=61.0), s, d),
        lambda v, s, d: (with_body(v, limbs={"left foot": "prosthetic"}), s, d),
        lambda v, s, d: (replace(v, player=replace(v.player, handed="left")), s, d),
        lambda v, s, d: (replace(v, shoes=replace(v.shoes, length_mm=301.0)), s, d),
        lambda v, s, d: (replace(v, ground=(replace(v.ground[0], footwear="barefoot"),)), s, d),
        lambda v, s, d: (v, replace(s, mat_thickness_mm=12.0), d),
        lambda v, s, d: (v, s, d | {v.ground[0].recording: "another file"}),
    ],
)
def test_a_recording_is_read_again_when_anything_that_it_means_something_with_changed(
    change: Change, example: Bundle, before: Findings
) -> None:
    _, opened = again(example, before, change)
    assert example.visit.ground[0].recording in opened
