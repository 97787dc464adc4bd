"""`evenground posture` and `evenground address`: figures, JSON, pictures, one sentence for what is wrong."""

import json
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from typer.testing import CliRunner

from evenground.capture.landmarks import BadLandmarksError, read_landmarks
from evenground.cli import app
from evenground.report.posed_picture import NoPhotoError
from tests.outside.test_segments import GOLFER

RUN = CliRunner()


def landmarks(**changes: Any) -> dict[str, Any]:
    """The worked golfer as a picture: 700 pixels a metre, y down."""
    points = {n: [round(800 + x * 700, 2), round(1400 - y * 700, 2)] for n, (x, y) in GOLFER.items()}
    plain = {
        "unit": "px",
        "points": points,
        "scale": {"start": [100, 1400], "end": [100, 700], "length_mm": 1000},
        "plumb": {"top": [120, 100], "bottom": [120, 1400]},
        "mat": {"percent": 70, "error_percent": 2},
    }
    return {**plain, **changes}


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "address.json"
    path.write_text(json.dumps(landmarks()), "utf-8")
    return path


def test_json_holds_the_worked_angles_and_the_mats_verdict(file: Path) -> None:
    said = json.loads(RUN.invoke(app, ["posture", str(file), "--json"]).stdout)
    assert said["figures"]["trunk_deg"]["value"] == pytest.approx(38.83, abs=0.05)  # check values bsp-6
    assert said["figures"]["knee_flex_deg"]["value"] == pytest.approx(23.77, abs=0.05)
    assert said["figures"]["hands_height_mm"]["value"] == pytest.approx(740.0, abs=1.0)
    assert said["mat"]["agree"] is False


def test_figure_alone_and_over_the_photo_with_the_face_blurred(file: Path, tmp_path: Path) -> None:
    photo = tmp_path / "photo.png"
    Image.effect_noise((1400, 1500), 90).convert("RGB").save(photo)
    alone, over, bare = (tmp_path / n for n in ("figure.svg", "over.png", "bare.png"))
    assert RUN.invoke(app, ["posture", str(file), "--out", str(alone)]).exit_code == 0
    for out, more in ((over, []), (bare, ["--show-face"])):
        args = ["posture", str(file), "--photo", str(photo), "--out", str(out), *more]
        assert RUN.invoke(app, args).exit_code == 0
    assert "<svg" in alone.read_text("utf-8")
    box = (1010, 330, 1040, 360)  # beside the head's points, inside the blur

    def spread(path: Path) -> int:
        with Image.open(path) as seen:
            low, high = seen.convert("L").crop(box).getextrema()
        return int(high) - int(low)  # type: ignore[arg-type]

    assert spread(over) < 30 < spread(bare)


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"points": {"heel": [0, 0], "nose": [1, 1]}}, "nobody knows a landmark called 'nose'"),
        ({"scale": {"start": [1, 1], "end": [1, 1], "length_mm": 500}}, "both ends are the same point"),
        ({"unit": "inch"}, "unit: Input should be 'px' or 'mm'"),
        ({"points": {"heel": [0, float("nan")]}}, "points.heel.1"),
    ],
)
def test_a_wrong_file_gets_one_sentence(tmp_path: Path, changes: dict[str, Any], says: str) -> None:
    path = tmp_path / "wrong.json"
    path.write_text(json.dumps(landmarks(**changes)), "utf-8")
    with pytest.raises(BadLandmarksError, match=r"docs/formats/posture\.md") as caught:
        read_landmarks(path)
    assert says in str(caught.value)


def test_points_off_the_photo_are_not_drawn_anywhere(file: Path, tmp_path: Path) -> None:
    small = tmp_path / "small.png"
    Image.new("RGB", (300, 300)).save(small)
    result = RUN.invoke(app, ["posture", str(file), "--photo", str(small), "--out", str(tmp_path / "o.png")])
    assert isinstance(result.exception, NoPhotoError)


def test_address_of_a_body_file_names_what_was_predicted_and_draws_the_figure(tmp_path: Path) -> None:
    body = tmp_path / "body.toml"
    body.write_text('stature = "5 ft 11 in"\nmass_kg = 82\narm_length_mm = 610\n', "utf-8")
    args = [
        "address",
        str(body),
        "--family",
        "irons",
        "--length",
        "37 in",
        "--lie-deg",
        "62.5",
        "--reference",
        "men",
    ]
    said = json.loads(RUN.invoke(app, [*args, "--json"]).stdout)
    assert said["hands_height_mm"] == pytest.approx(743.4, abs=0.5)  # (939.8 - 101.6) sin 62.5
    assert "arm_length" not in said["predicted"]
    assert "trochanter_height" in said["predicted"]
    drawn = tmp_path / "figure.pdf"
    told = RUN.invoke(app, [*args, "--held-kg", "2", "--out", str(drawn)])
    assert drawn.read_bytes().startswith(b"%PDF")
    assert "Stop at pain" in told.stdout
