"""`evenground ground` takes plates and scales too, and says what they do not see."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from evenground.cli import app

RUN = CliRunner()
PLATES = "t\tFL\txL\tyL\tFR\txR\tyR\n" + "".join(
    f"{k / 20:.2f}\t{330 + k % 7}\t{-0.15 + 1e-4 * (k % 5)}\t{0.02 + k % 11 / 1e4}\t"
    f"{300 + k % 3}\t0.16\t0.03\n"
    for k in range(120)
)


def test_plates_as_a_table_give_load_force_and_sway(tmp_path: Path) -> None:
    (tmp_path / "p.txt").write_text(PLATES)
    asked = ["ground", str(tmp_path / "p.txt"), "--columns", "t,FL,xL,yL,FR,xR,yR", "--unit", "m", "--json"]
    said = json.loads(RUN.invoke(app, asked).stdout)
    assert said["feet"]["left"]["load_percent"]["value"] == pytest.approx(100 * 333 / 634, abs=0.1)
    assert said["feet"]["left"]["toe_out_deg"] is None
    assert said["sway"]["n"]["value"] == 120


def test_a_layout_file_may_name_the_columns(tmp_path: Path) -> None:
    (tmp_path / "p.txt").write_text(PLATES)
    (tmp_path / "l.toml").write_text('plates = ["t", "FL", "xL", "yL"]\nunit = "m"\n')
    shown = RUN.invoke(app, ["ground", str(tmp_path / "p.txt"), "--layout", str(tmp_path / "l.toml")]).stdout
    assert "Not measured: load; toe-out;" in shown
    assert "One plate carries both feet" in shown


def test_scales_give_the_load(tmp_path: Path) -> None:
    (tmp_path / "s.toml").write_text(
        '[[scale]]\nfoot = "left"\nkg = 44\n[[scale]]\nfoot = "right"\nkg = 36\n'
    )
    said = json.loads(RUN.invoke(app, ["ground", str(tmp_path / "s.toml"), "--json"]).stdout)
    assert said["feet"]["left"]["load_percent"]["value"] == pytest.approx(55.0)


@pytest.mark.parametrize("more", [["--columns", "t,F,x,y"], ["--columns", "t,F,x,y", "--unit", "kPa"]])
def test_columns_without_a_length_are_wrong_usage(more: list[str], tmp_path: Path) -> None:
    (tmp_path / "p.txt").write_text(PLATES)
    assert RUN.invoke(app, ["ground", str(tmp_path / "p.txt"), *more]).exit_code == 2


def test_a_picture_of_scales_is_wrong_usage(tmp_path: Path) -> None:
    (tmp_path / "s.toml").write_text(
        '[[scale]]\nfoot = "left"\nkg = 44\n[[scale]]\nfoot = "right"\nkg = 36\n'
    )
    asked = ["ground", str(tmp_path / "s.toml"), "--picture", str(tmp_path / "a.svg")]
    assert RUN.invoke(app, asked).exit_code == 2
