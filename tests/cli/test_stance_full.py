"""`evenground stance` with conditions, a rest, the teacher's list, a least turn; and at the edges."""

import json
import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from evenground.cli import app

WIDTHS = (280, 410, 540, 345, 475, 310, 440, 380)
HEAD = "trial,width_mm,hip_line_deg,family,phase,footwear\n"


def line(trial: int, width: float, more: float = 0.0, end: str = ",before,golf shoes") -> str:
    """A player who is square at 430 mm."""
    return f"{trial},{width},{(430.0 - width) / 50.0 + more:.2f},{end}\n"


def stance(tmp_path: Path, text: str, *options: str) -> str:
    """What is printed, or the sentence that refuses."""
    path = tmp_path / "trials.csv"
    path.write_text(text, "utf-8")
    done = CliRunner().invoke(app, ["stance", str(path), "--stature-mm", "1780", *options])
    return done.stdout if done.exception is None else f"{done.exception} {done.stderr}"


def whole(phase: str = "after", change: float = 3.0) -> str:
    before = [line(i, w, end="before,golf shoes") for i, w in enumerate(WIDTHS, 1)]
    later = [line(20 + i, w, change, f"{phase},golf shoes") for i, w in enumerate((410, 475, 345, 410))]
    return (HEAD + "".join([*before, *later])).replace("family,", "")


def test_before_and_after_is_told_and_drawn(tmp_path: Path) -> None:
    chart = tmp_path / "phases.svg"
    said = stance(tmp_path, whole(), "--chart", str(chart))
    assert re.search(
        r"After the routine \(not shown to come from it\) the hip line at \d+ mm differs: ", said
    )
    assert "after" in chart.read_text("utf-8")


def test_a_rest_is_told_as_the_control(tmp_path: Path) -> None:
    said = stance(tmp_path, whole("rested", 0.1))
    assert "After a rest, the control, the hip line at" in said
    assert "does not differ beyond its error" in said


def test_shoes_that_were_varied_are_told(tmp_path: Path) -> None:
    text = HEAD + "".join(
        line(i, w, 3.0 * (i % 2), f",before,{'barefoot' if i % 2 else 'golf shoes'}")
        for i, w in enumerate(WIDTHS, 1)
    )
    told = json.loads(stance(tmp_path, text, "--json"))
    assert [e["name"] for e in told["effects"]] == ["footwear"]
    assert "Footwear, golf shoes against barefoot: the hip line at" in stance(tmp_path, text)


def test_only_listed_widths_are_proposed(tmp_path: Path) -> None:
    text = HEAD + "".join(line(i, w) for i, w in enumerate((320, 440, 500), 1))
    told = json.loads(stance(tmp_path, text, "--allowed-mm", "320, 440 500", "--json"))
    assert {f["best_width_mm"] for f in told["families"].values()} <= {320.0, 440.0, 500.0}
    assert "'3 4 x' is no list of widths" in stance(tmp_path, text, "--allowed-mm", "3 4 x")


def test_a_least_turn_comes_with_its_turns(tmp_path: Path) -> None:
    turns = tmp_path / "turns.csv"
    turns.write_text("toward,turn_deg,width_mm\ntrail,60,300\ntrail,40,500\ntrail,61,300\n", "utf-8")
    text = HEAD + "".join(line(i, w) for i, w in enumerate(WIDTHS, 1))
    asked = ("--turn-at-least-deg", "52", "--turns", str(turns))
    assert "has to leave at least 52 deg of turn away from the target" in stance(tmp_path, text, *asked)
    assert "Turn twice or more to that side" in stance(tmp_path, text, "--turn-at-least-deg", "52")


@pytest.mark.parametrize(
    ("lines", "sentence"),
    [
        (line(1, 410), "1 trial cannot show how the hip line follows the width."),
        (line(1, 410) * 1 + line(2, 410), "2 trials cannot show"),
        (line(1, 16) + line(2, 17) + line(3, 18), "that looks like inches, not millimetres"),
        (line(1, 410) + line(2, 16.1) + line(3, 500), "16.1 in trial 2 looks like inches among widths"),
        (line(1, 410) + line(2, 4100, 73.4) + line(3, 500), "A stance width of 4100 mm is not possible."),
        (line(1, 410) + line(1, 450) + line(3, 500), "Trial 1 already stands in line 2."),
        (line(1, 410) + line(2, 450).replace("-0.40", "-240") + line(3, 500), "is out of range"),
    ],
)
def test_each_edge_has_its_sentence(tmp_path: Path, lines: str, sentence: str) -> None:
    assert sentence in stance(tmp_path, HEAD + lines)


def test_three_readings_all_equal_at_one_width_claim_nothing_elsewhere(tmp_path: Path) -> None:
    text = HEAD + "".join(f"{i},410,0.0,,before,\n" for i in (1, 2, 3))
    told = json.loads(stance(tmp_path, text, "--json"))
    far = [p for p in told["curve"] if abs(p["width_mm"] - 410.0) > 120.0]
    assert max(p["p_square"] for p in far) < 0.7
    assert told["noise_deg"]["value"] >= 0.9  # three equal readings never make a bar better than its grid


def test_a_missing_trial_number_is_no_fault(tmp_path: Path) -> None:
    text = HEAD + "".join(line(i, w) for i, w in zip((1, 4, 9, 12), WIDTHS, strict=False))
    assert "chance of square" in stance(tmp_path, text)


def test_an_angle_ten_times_too_large_is_named_and_counted(tmp_path: Path) -> None:
    right = [line(i, w) for i, w in enumerate(WIDTHS, 1)]
    assert "check it" not in stance(tmp_path, HEAD + "".join(right))
    wrong = [r.replace("3,540,-2.20", "3,540,-22.0") for r in right]
    said = stance(tmp_path, HEAD + "".join(wrong))
    found = re.search(r"Trial (\d) reads (-22) deg where the other trials expect (-\d\.\d)", said)
    assert found is not None, said
    assert found[1] == "3"
    assert -4.0 < float(found[3]) < 0.0
    assert said.count("check it; it is counted as it stands") == 1
