"""`studio.toml`: settings, errors and stock, each mistake named."""

import pytest

from evenground.capture.fields import UnreadableFieldError, read_toml
from evenground.capture.studio_file import StudioFile, studio_from
from evenground.visit import StudioErrors, StudioSettings, StudioSnapshot
from tests.capture.bundle_samples import STUDIO, swapped


def studio(text: str) -> StudioSnapshot:
    return studio_from(read_toml(text.encode(), StudioFile, file="studio.toml"))


def test_whole_sample_lands_in_the_shapes() -> None:
    assert studio(STUDIO) == StudioSnapshot(
        settings=StudioSettings(name="Upstairs Room", units="inch eighths", margin_deg=1.5, valid_weeks=8),
        errors=StudioErrors(hip_line_deg=1.2, width_mm=3.0),
        stock="stock.toml",
        mat_thickness_mm=4.5,
    )


def test_file_with_only_its_format_gives_the_defaults() -> None:
    assert studio("format = 1\n") == StudioSnapshot()


def test_thickness_may_be_typed_with_its_unit() -> None:
    text = swapped("mat_thickness_mm = 4.5", 'mat_thickness = "1/4 in"', STUDIO)
    assert studio(text).mat_thickness_mm == pytest.approx(6.35)  # NIST SP 811: 1 in = 25.4 mm exactly


MISTAKES = {
    "format": (swapped("format = 1", "format = 3", STUDIO), ["format", "3", "Allowed: 1"]),
    "units": (
        swapped('"inch eighths"', '"inches"', STUDIO),
        ["settings, units", '"inches"', "'inch quarters'"],
    ),
    "paper": (swapped("valid_weeks = 8", 'paper = "A3"', STUDIO), ["settings, paper", '"A3"', "'us-letter'"]),
    "margin": (
        swapped("margin_deg = 1.5", "margin_deg = 0", STUDIO),
        ["settings, margin_deg", "more than 0 deg"],
    ),
    "wide margin": (
        swapped("margin_deg = 1.5", "margin_deg = 12", STUDIO),
        ["settings, margin_deg", "at most 10 deg"],
    ),
    "weeks": (
        swapped("valid_weeks = 8", "valid_weeks = 1.5", STUDIO),
        ["settings, valid_weeks", "whole number"],
    ),
    "order": (
        swapped("valid_weeks = 8", 'order_families = "no"', STUDIO),
        ["order_families", "true or false"],
    ),
    "no error": (
        swapped("hip_line_deg = 1.2", "hip_line_deg = 0", STUDIO),
        ["errors, hip_line_deg", "more than 0 deg"],
    ),
    "unknown": (
        swapped("width_mm = 3.0", "widths_mm = 3.0", STUDIO),
        ["errors, widths_mm", "Did you mean width_mm"],
    ),
    "stock": (swapped('"stock.toml"', "7", STUDIO), ["stock", "7", "text in quotes"]),
}


@pytest.mark.parametrize(("text", "parts"), MISTAKES.values(), ids=MISTAKES.keys())
def test_mistake_is_named_with_its_field_and_what_is_allowed(text: str, parts: list[str]) -> None:
    with pytest.raises(UnreadableFieldError) as caught:
        studio(text)
    for part in ["studio.toml", *parts]:
        assert part in str(caught.value)
