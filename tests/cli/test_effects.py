import json
from pathlib import Path

from typer.testing import CliRunner

from evenground.cli import app
from evenground.example import example_bundle


def test_a_bundle_gives_its_effects_by_response_as_json_and_as_words(tmp_path: Path) -> None:
    chart = tmp_path / "effects.svg"
    said = CliRunner().invoke(app, ["effects", str(example_bundle()), "--chart", str(chart)])
    plain = CliRunner().invoke(app, ["effects", str(example_bundle()), "--json"])
    found = json.loads(plain.stdout)["found"]
    assert next(iter(found)) == "hip line"
    assert {"condition", "start", "end", "change", "reason"} == set(found["hip line"]["effects"][0])
    assert "moves it by" in said.stdout
    assert "never varied: phase (before), footwear (golf shoes) and hands (hanging)" in said.stdout
    assert len(list(tmp_path.glob("effects*.svg"))) == len(found)
