"""`evenground workshop`: an order from the example, its steps, the tape it teaches, and what is refused."""

import json
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from evenground.capture.order_file import load_order
from evenground.capture.stock import load_stock
from evenground.cli import app
from evenground.errors import EvengroundError
from evenground.example import example_bundle
from evenground.fit.grip_measured import same_outline_mm


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(app, ["workshop", *map(str, arguments)])


@pytest.fixture(scope="module")
def ordered(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The order of the example, as it was written."""
    out = tmp_path_factory.mktemp("order") / "order.toml"
    done = run("order", example_bundle(), out)
    assert done.exit_code == 0, done.output
    assert "orders putter" in done.stdout
    return out.read_text("utf-8")


@pytest.fixture
def file(ordered: str, tmp_path: Path) -> Path:
    path = tmp_path / "order.toml"
    path.write_text(ordered, "utf-8")
    return path


def take(file: Path, *steps: tuple[str, ...]) -> Result:
    """Each step in turn; the last one's result."""
    for state, *more in steps:
        done = run("step", file, "--club", "putter", "--state", state, "--who", "Pia", *more)
    return done


def shown(file: Path) -> dict[str, Any]:
    said: dict[str, Any] = json.loads(run("show", file, "--json").stdout)
    return said


def sizes(file: Path, off: float, times: int = 1) -> tuple[str, ...]:
    line = load_order(file).clubs[0]
    upper, lower = line.upper_ordered_mm or 0.0, line.lower_ordered_mm or 0.0
    once = ("--upper-mm", f"{upper + off:.2f}", "--lower-mm", f"{lower + off:.2f}")
    return ("measured", *(times * once))


def test_a_club_goes_all_the_way_and_every_step_stays(file: Path) -> None:
    before = file.read_text("utf-8")
    done = take(file, ("received",), ("built",), sizes(file, 0.1), ("accepted",))
    assert done.exit_code == 0
    assert "putter is accepted." in done.stdout
    assert file.read_text("utf-8").startswith(before)  # appended, never rewritten
    (club,) = shown(file)["clubs"]
    assert (club["state"], club["open"]) == ("accepted", False)
    assert [s["state"] for s in club["steps"]] == ["received", "built", "measured", "accepted"]


def test_out_of_tolerance_stays_open_and_proposes_a_thickness_and_layers(file: Path) -> None:
    done = take(file, ("received",), ("built",), sizes(file, 0.72, times=2))
    assert "0.7 mm too thick under the upper hand" in done.stdout
    said = shown(file)
    assert said["clubs"][0]["open"] is True
    assert said["clubs"][0]["judgement"]["within"] is False
    assert said["clubs"][0]["next_build"]["layers"] == {"upper": 1, "lower": 1}  # it has one layer already
    assert said["tape"]["double_sided_mm"]["value"] > 0.127
    text = run("show", file).stdout
    assert "still out of tolerance: take another grip" in text
    assert "a layer of double-sided tape is 0.1" in text
    refused = take(file, ("accepted",))
    assert isinstance(refused.exception, EvengroundError)
    assert "only be accepted with a reason" in str(refused.exception)
    assert take(file, ("accepted", "--reason", "the player likes it")).exit_code == 0


def test_the_stock_list_is_written_again_with_the_tape_as_learned(file: Path, tmp_path: Path) -> None:
    take(file, ("received",), ("built",), sizes(file, 0.5))
    stock, out = example_bundle() / "stock.toml", tmp_path / "stock.toml"
    assert run("show", file, "--stock", stock, "--write-stock", out).exit_code == 0
    was, now = load_stock(stock), load_stock(out)
    assert now.grips == was.grips
    assert now.tape.double_sided_mm > was.tape.double_sided_mm
    assert now.tape.double_sided_se_mm == pytest.approx(
        shown(file)["tape"]["double_sided_mm"]["se"], abs=1e-6
    )
    assert out.read_text("utf-8").startswith(stock.read_text("utf-8").partition("[tape]")[0])


@pytest.mark.parametrize(
    ("steps", "said"),
    [
        (
            [("accepted",)],
            "putter: It is ordered and cannot be accepted now. What may follow: received, cancelled.",
        ),
        (
            [("received",), ("built",), ("measured", "--upper-mm", "23")],
            "size under the lower hand is missing",
        ),
        (
            [("received",), ("built", "--upper-layers", "-1", "--lower-layers", "2")],
            "-1 layers under the upper hand",
        ),
        ([("received",), ("built", "--upper-layers", "2")], "layers under both hands, or under neither"),
        ([("lost",)], "Allowed: 'ordered', 'received'"),
        (
            [("received",), ("built",), ("measured", "--upper-mm", "0.9", "--lower-mm", "21")],
            "more than 5 mm",
        ),
    ],
)
def test_a_step_that_cannot_be_is_refused_and_nothing_is_written(
    steps: list[tuple[str, ...]], said: str, file: Path
) -> None:
    take(file, *steps[:-1]) if steps[:-1] else None
    before = file.read_bytes()
    done = take(file, steps[-1])
    assert isinstance(done.exception, EvengroundError)
    assert said in str(done.exception)
    assert file.read_bytes() == before


def test_a_grip_that_is_not_round_comes_back_by_width_and_depth(file: Path) -> None:
    take(file, ("received",), ("built",))
    take(file, ("measured", "--upper-mm", "30 x 24", "--upper-mm", "27.1", "--lower-mm", "1.18 × 0.94 in"))
    (step,) = [s for s in load_order(file).standings()[0].steps if s.state == "measured"]
    assert step.upper_mm == pytest.approx((27.083, 27.1), abs=0.001)  # the page of grips says 27.083
    assert step.lower_mm == pytest.approx((same_outline_mm(1.18 * 25.4, 0.94 * 25.4),))
    done = take(file, ("measured", "--upper-mm", "thick", "--lower-mm", "21"))
    assert "upper hand" in str(done.exception)


def test_a_club_that_was_not_ordered_is_told(file: Path) -> None:
    done = run("step", file, "--club", "spoon", "--state", "received", "--who", "Pia")
    assert "names the club spoon, which was not ordered (ordered: putter)" in str(done.exception)


def test_an_order_is_never_written_over_and_may_be_empty(file: Path, tmp_path: Path) -> None:
    assert run("order", example_bundle(), file).exit_code == 2
    none = run("order", example_bundle(), tmp_path / "none.toml", "--club", "driver")
    assert "There is nothing to order." in str(none.exception)
    assert not (tmp_path / "none.toml").exists()
