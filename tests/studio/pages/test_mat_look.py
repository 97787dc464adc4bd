"""The ground page looks at any file before it is added, keeps its layout, and takes typed scales."""

import io
import json
import tomllib
from typing import Any
from uuid import uuid4

import numpy as np
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from evenground.measure.ground import Ground
from evenground.measure.recording import FloatArray
from evenground.records.blobs import open_blob
from evenground.records.models import Reading
from evenground.simulate.mat import Mat, Standing, simulate_mat
from tests.studio.pages.conftest import Desk, visit_for
from tests.sure import sure


@pytest.fixture(scope="module")
def feet() -> FloatArray:
    made = simulate_mat(
        Standing(load_left_percent=58.0), Mat(rows=44, columns=60), None, rng=np.random.default_rng(4)
    )
    return np.asarray(np.round(made.recording.cells[0], 1))


def export(cells: FloatArray) -> bytes:
    """As a mat's window shows it: toes on top, decimal commas."""
    return "\n".join(";".join(f"{v:.1f}".replace(".", ",") for v in row) for row in cells[::-1]).encode()


def looked(desk: Desk, raw: bytes, name: str = "export.txt", **sent: Any) -> Any:
    file = SimpleUploadedFile(name, raw)
    body = {"sent": json.dumps(sent), "recording": file}
    return desk.client.post(f"{desk.at}send/look/", body, headers={"accept": "application/json"})


def added(desk: Desk, raw: bytes, layout: str) -> Any:
    sent = {"id": str(uuid4()), "stance": "fitted", "footwear": "barefoot"}
    body = {
        "sent": json.dumps(sent),
        "recording": SimpleUploadedFile("export.txt", raw),
        "layout": SimpleUploadedFile("layout.toml", layout.encode()),
    }
    return desk.client.post(f"{desk.at}send/recording/", body, headers={"accept": "application/json"})


def placed(desk: Desk) -> Ground:
    findings = desk.scene.findings
    assert findings is not None
    found = findings.value("placement 1")
    assert isinstance(found, Ground)
    return found


def test_a_look_shows_the_picture_and_why_and_stores_nothing(desk: Desk, feet: FloatArray) -> None:
    before = desk.seq
    answer = looked(desk, export(feet)).json()
    assert answer["state"] == "seen"
    assert '<svg class="drawing' in answer["html"]
    assert "check this" in answer["html"]
    assert tomllib.loads(answer["layout"])["first_row"] == "toe"
    assert (desk.seq, Reading.objects.count()) == (before, before)


def test_what_was_looked_at_is_added_as_it_was_seen(desk: Desk, feet: FloatArray) -> None:
    layout = looked(desk, export(feet), pitch_mm=8.0, unit="kPa").json()["layout"]
    assert added(desk, export(feet), layout).status_code == 200
    assert sure(placed(desk).feet.left.load_percent).value == pytest.approx(58.0, abs=0.5)


def test_mirroring_the_look_swaps_the_feet(desk: Desk, feet: FloatArray) -> None:
    layout = looked(desk, export(feet), mirror=True, pitch_mm=8.0).json()["layout"]
    added(desk, export(feet), layout)
    assert sure(placed(desk).feet.right.load_percent).value == pytest.approx(58.0, abs=0.5)


def test_a_layout_is_kept_for_the_next_export_of_that_mat(desk: Desk, feet: FloatArray) -> None:
    layout = looked(desk, export(feet), mirror=True, pitch_mm=8.25).json()["layout"]
    added(desk, export(feet), layout)
    other = Desk(client=desk.client, visit=visit_for("Ida Moor"))
    answer = looked(other, export(feet * 0.9)).json()
    assert (answer["kept"], answer["layout"]) == (True, layout)
    assert "added before" in answer["html"]
    anew = looked(other, export(feet), anew=True).json()
    assert (anew["kept"], anew["layout"] == layout) == (False, False)
    assert looked(other, export(feet[:-1])).json()["kept"] is False  # another shape


def test_the_beginning_of_a_long_file_is_enough(desk: Desk, feet: FloatArray) -> None:
    whole = (export(feet) + b"\n\n") * 6
    answer = looked(desk, whole[: int(len(whole) * 0.7)], cut=True).json()
    layout = tomllib.loads(answer["layout"])
    assert (layout["frames"], layout["rows"], layout["columns"]) == ("stacked", 44, 60)


@pytest.mark.parametrize(
    ("raw", "name", "said"),
    [
        (b"", "a.txt", "This file is empty."),
        (b"words\nand words\n", "a.txt", "No grid of numbers is found"),
        (b"PAR1", "a.parquet", "cut off"),
        (b"MZ\x00\x03\x00\x00\x05", "a.dat", "not text"),
    ],
)
def test_a_file_that_cannot_be_looked_at_is_refused_in_a_sentence(
    desk: Desk, raw: bytes, name: str, said: str
) -> None:
    answer = looked(desk, raw, name)
    assert answer.status_code == 422
    assert said in answer.json()["sentence"]


def test_scales_are_kept_as_a_placement(desk: Desk) -> None:
    sent = {"left": "44", "right": "36", "apart": "300", "stance": "fitted", "footwear": "golf shoes"}
    assert desk.send("scales", **sent).status_code == 200
    ground = placed(desk)
    assert sure(ground.feet.left.load_percent).value == pytest.approx(55.0)
    assert sure(ground.cop_mm.x).value == pytest.approx(-15.0)
    reading = Reading.objects.get(kind="placement")
    digest = reading.blob_links.get(name=reading.payload["recording"]).blob_id
    with open_blob(digest) as stored:
        kept = tomllib.load(io.BytesIO(stored.read()))
    assert [scale["kg"] for scale in kept["scale"]] == [[44.0], [36.0]]
    page = desk.page("ground")
    assert "Scales see no feet" in page


def test_four_scales_tell_heels_from_forefeet(desk: Desk) -> None:
    sent = {"left": "24 kg", "right": "35 lb", "left_forefoot": "20", "right_forefoot": "20"}
    desk.send("scales", **sent, ahead="6 in", stance="fitted", footwear="golf shoes")
    ground = placed(desk)
    assert sure(ground.feet.left.heel_load_percent).value == pytest.approx(100.0 * 24.0 / 44.0)
    assert ground.cop_mm.y is not None


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"left": "44", "right": ""}, "The scale under the right foot is missing."),
        (
            {"left": "24", "right": "16", "left_forefoot": "20"},
            "The scale under the right forefoot is missing.",
        ),
        ({"left": "wide", "right": "36"}, "wide"),
        ({"left": "44", "right": "36", "apart": "3 m"}, "3 m"),
    ],
)
def test_half_typed_scales_are_refused_in_a_sentence(desk: Desk, typed: dict[str, str], said: str) -> None:
    answer = desk.send("scales", **typed, stance="fitted", footwear="golf shoes")
    assert answer.status_code == 422
    assert said in answer.json()["sentence"]
