"""The rooms import inwards only: capture -> measure -> fit -> report, shared shapes below all of them."""

import ast
from pathlib import Path

import pytest

SRC = Path(__file__).parents[1] / "src" / "evenground"
OUTER = {"capture", "records", "report", "studio", "archive", "simulate", "cli", "assess"}
SHARED = (
    "visit.py",
    "floor.py",
    "instruments.py",
    "library.py",
    "estimate.py",
    "units.py",
    "size_text.py",
    "stock.py",
    "errors.py",
    "sourced.py",
    "plain.py",
    "body",
)
NEVER: dict[str, set[str]] = {
    "fit": OUTER,
    "measure": OUTER | {"fit"},
    **dict.fromkeys(SHARED, OUTER | {"fit", "measure"}),
}


def rooms_imported(path: Path) -> set[str]:
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):  # also sees imports inside functions
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            names |= {f"{node.module}.{alias.name}" for alias in node.names}
    return {name.split(".")[1] for name in names if name.startswith("evenground.")}


@pytest.mark.parametrize("path", sorted(SRC.rglob("*.py")), ids=lambda p: str(p.relative_to(SRC)))
def test_module_imports_only_what_its_room_allows(path: Path) -> None:
    room = path.relative_to(SRC).parts[0]
    assert not rooms_imported(path) & NEVER.get(room, set())
