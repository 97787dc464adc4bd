"""The page on the bundle names every key that is read, and its samples load."""

import re
import typing
from pathlib import Path

import pytest
from pydantic import BaseModel

from evenground.capture.fields import read_toml
from evenground.capture.studio_file import StudioFile, studio_from
from evenground.capture.visit_file import VisitFile, visit_from

PAGES = Path(__file__).parents[2] / "docs"
TEXT = "\n".join(
    p.read_text("utf-8") for p in [PAGES / "formats.md", *sorted((PAGES / "formats").glob("*.md"))]
)


def tables(model: type[BaseModel]) -> list[type[BaseModel]]:
    """A model and every table inside it."""
    found = [model]
    waiting = [field.annotation for field in model.model_fields.values()]
    while waiting:
        annotation = waiting.pop()
        if isinstance(annotation, type) and issubclass(annotation, BaseModel):
            found += tables(annotation)
        waiting += typing.get_args(annotation)
    return found


KEYS = sorted(
    {
        (table.__name__, key)
        for top in (VisitFile, StudioFile)
        for table in tables(top)
        for key in table.model_fields
    }
)


def test_walk_finds_the_tables_inside_tables() -> None:
    assert ("HipLineTrialTable", "heel_line_deg") in KEYS
    assert ("ErrorsTable", "ball_mm") in KEYS


@pytest.mark.parametrize(("table", "key"), KEYS)
def test_every_key_is_on_the_page(table: str, key: str) -> None:
    named = {part for code in re.findall(r"`([^`\n]+)`", TEXT) for part in re.split(r"[^\w]+", code)}
    assert key in named


def sample(start: str) -> str:
    block = re.search(rf"```toml\n({start}.*?)```", TEXT, re.DOTALL)
    assert block is not None
    return block.group(1)


def test_sample_visit_of_the_page_loads() -> None:
    visit = visit_from(read_toml(sample("format = 1\nvisit =").encode(), VisitFile, file="visit.toml"))
    assert visit.player.name == "Ilvy Tarrowmere"
    assert visit.aim is not None


def test_sample_studio_of_the_page_loads() -> None:
    studio = studio_from(read_toml(sample("format = 1\nstock =").encode(), StudioFile, file="studio.toml"))
    assert studio.settings.name == "Fennaway Loft"
