"""The pages are held to the code: every command, public function and source is where one looks for it."""

import ast
import re
from pathlib import Path
from typing import Any

import pytest
import typer

from evenground.cli import app
from evenground.sourced import Sourced

ROOT = Path(__file__).parents[1]
SRC = ROOT / "src" / "evenground"
MANUAL = (ROOT / "docs" / "manual.md").read_text("utf-8")
METHOD = "\n".join(
    p.read_text("utf-8")
    for p in [ROOT / "docs" / "method.md", *sorted((ROOT / "docs" / "method").glob("*.md"))]
)


def commands() -> dict[str, Any]:
    group: Any = typer.main.get_command(app)
    return dict(group.commands)


@pytest.mark.parametrize("name", sorted(commands()))
def test_each_command_has_help_and_a_heading_in_the_manual(name: str) -> None:
    assert commands()[name].help
    assert re.search(rf"^## {name}$", MANUAL, re.MULTILINE)


@pytest.mark.parametrize("heading", re.findall(r"^## (.+)$", MANUAL, re.MULTILINE))
def test_each_heading_of_the_manual_is_a_command(heading: str) -> None:
    assert heading in commands()


def public_functions() -> list[str]:
    """Dotted names of the functions that `measure` and `fit` name in ``__all__``."""
    found = []
    for path in sorted([*SRC.glob("measure/*.py"), *SRC.glob("fit/*.py")]):
        tree = ast.parse(path.read_text("utf-8"))
        listed = {
            ast.literal_eval(item)
            for node in tree.body
            if isinstance(node, ast.Assign)
            and getattr(node.targets[0], "id", "") == "__all__"
            and isinstance(node.value, ast.List)
            for item in node.value.elts
        }
        functions = [n.name for n in tree.body if isinstance(n, ast.FunctionDef) and n.name in listed]
        found += [f"{path.parent.name}.{path.stem}.{name}" for name in functions]
    return found


@pytest.mark.parametrize("name", public_functions())
def test_each_public_function_of_measure_and_fit_is_on_the_method_pages(name: str) -> None:
    assert name.rpartition(".")[2] in METHOD


def sourced_constants() -> list[tuple[str, Sourced]]:
    import importlib
    import pkgutil

    import evenground

    found = []
    for module in pkgutil.walk_packages(evenground.__path__, "evenground."):
        if module.name.split(".")[1] not in {"body", "fit", "measure"}:
            continue
        for name, value in vars(importlib.import_module(module.name)).items():
            if isinstance(value, Sourced):
                found.append((f"{module.name}.{name}", value))
    return found


def test_each_constant_has_a_source_and_a_unit_in_its_name_or_field() -> None:
    constants = sourced_constants()
    assert len(constants) > 20
    assert not [name for name, value in constants if len(value.source) < 4]


def test_no_page_or_source_file_names_a_size_of_grip() -> None:
    names = re.compile(r"\b(mid-?size|jumbo|undersize|oversize)\b", re.IGNORECASE)
    files = [*SRC.rglob("*.py"), *SRC.rglob("*.typ"), *SRC.rglob("*.html"), *(ROOT / "docs").rglob("*.md")]
    assert not [str(f.relative_to(ROOT)) for f in files if names.search(f.read_text("utf-8"))]
