import json
from dataclasses import replace
from pathlib import Path

from typer.testing import CliRunner

from evenground.capture.bundle import read_bundle
from evenground.capture.bundle_writer import write_bundle
from evenground.cli import app
from evenground.example import example_bundle


def test_one_line_gives_its_sources_shares_and_what_would_help(tmp_path: Path) -> None:
    read = read_bundle(example_bundle())
    write_bundle(tmp_path / "visit", replace(read.visit, ground=()), replace(read.studio, stock=None), {})
    asked = ["budget", str(tmp_path / "visit"), "irons.width"]
    said = CliRunner().invoke(app, [*asked, "--chart", str(tmp_path / "b.svg")]).stdout
    assert "what would help" in said
    assert "% of it is" in said
    assert len(list(tmp_path.glob("b*.svg"))) == 2
    found = json.loads(CliRunner().invoke(app, [*asked, "--json"]).stdout)["budgets"]
    assert {b["line"] for b in found} == {"irons.width"}
    assert sum(found[0]["shares"]) > 0.999
