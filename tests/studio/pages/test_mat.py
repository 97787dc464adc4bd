"""The live mat's hub and its words: record, keep, let go, recover, watch a folder; streams are played."""

import asyncio
import json
import struct
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

import numpy as np
import pytest
from pytest_django import Settings

from evenground.capture import watched_folder
from evenground.capture.frames import MatFrames
from evenground.capture.journal import begin_journal
from evenground.capture.parquet import write_recording
from evenground.records.models import Visit
from evenground.records.privacy import erase_player
from evenground.studio import mats, own_mat
from evenground.studio.mats import MatHub
from evenground.studio.own_mat import the_hub
from evenground.studio.pages import mat
from evenground.studio.waiting import About, journal_name
from tests.played_mat import HEAD, LOAD_LEFT, RATE, STOOD, PlayedSource, PlayedStreams
from tests.studio.pages.conftest import Desk, visit_for

PATIENCE_S = 30.0


@pytest.fixture
def hub(
    studio: Path, settings: Settings, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Callable[[], MatHub]]:
    """The studio's hub on played streams; asked for again after `forget` it starts anew, as after a kill."""
    settings.LIVE_FOLDER = tmp_path / "live"
    monkeypatch.setattr(PlayedStreams, "names", ("mat",))
    monkeypatch.setattr(mats, "StreamsInReach", PlayedStreams)
    monkeypatch.setattr(mats, "LslSource", PlayedSource)
    monkeypatch.setattr(mats, "_TROUBLE_S", 0.1)
    yield the_hub
    for one in own_mat._hubs.values():
        one.close()
    own_mat._hubs.clear()


def until(holds: Callable[[], object]) -> None:
    end = time.monotonic() + PATIENCE_S
    while not holds():
        assert time.monotonic() < end
        time.sleep(0.02)


def sending(hub: MatHub) -> MatHub:
    """The hub once a mat sends."""
    hub.look()
    until(lambda: hub.view is not None and not hub.view.quiet)
    return hub


def post(desk: Desk, to: str, **body: Any) -> Any:
    headers = {"accept": "application/json"}
    return desk.client.post(
        f"{desk.at}mat/{to}/", json.dumps(body), content_type="application/json", headers=headers
    )


def record(desk: Desk, hub: MatHub, **more: Any) -> str:
    """Record half a second under a new id."""
    asked = {"id": str(uuid4()), "stance": "fitted", "footwear": "barefoot", "seconds": 0.6} | more
    assert post(desk, "record", **asked).status_code == 200
    until(lambda: hub.state.recording is None)
    return str(asked["id"])


def keep(desk: Desk, recording: str) -> Any:
    return post(desk, "keep", id=recording, stance="fitted", footwear="barefoot")


def placements(desk: Desk) -> list[Any]:
    return [slot.values for slot in desk.log.of("placement")]


def left_behind(folder: Path, visit: UUID, *, ended: bool = False) -> Path:
    """A journal of an app that was killed, or ended before anybody decided."""
    folder.mkdir(exist_ok=True)
    about = About(id=uuid4(), visit=visit, begun_at=datetime.now(UTC), stance="fitted", footwear="golf shoes")
    journal = begin_journal(folder / journal_name(about), HEAD, about.model_dump(mode="json"))
    journal.append(MatFrames(time_s=np.arange(100) / RATE, cells=STOOD.cells))
    if ended:
        journal.end()
    journal.close()
    return journal.path


def test_a_recording_waits_graded_and_is_stored_once_it_is_kept(
    desk: Desk, hub: Callable[[], MatHub], tmp_path: Path
) -> None:
    recording = record(desk, sending(hub()))
    (waiting,) = hub().waiting.for_visit(desk.visit.pk)
    assert waiting.ground is not None
    assert placements(desk) == []
    assert len(list((tmp_path / "live").iterdir())) == 1
    assert keep(desk, recording).status_code == 200
    assert [(p["stance"], p["footwear"]) for p in placements(desk)] == [("fitted", "barefoot")]
    assert list((tmp_path / "live").iterdir()) == []
    assert keep(desk, recording).json()["state"] == "saved"  # the page did not hear the first answer
    assert len(placements(desk)) == 1


def test_a_discarded_recording_leaves_nothing(desk: Desk, hub: Callable[[], MatHub], tmp_path: Path) -> None:
    recording = record(desk, sending(hub()))
    for _ in range(2):
        assert post(desk, "discard", id=recording).status_code == 200
    assert list((tmp_path / "live").iterdir()) == []
    assert keep(desk, recording).status_code == 422
    assert placements(desk) == []


def test_asked_twice_it_is_recorded_once_and_another_visit_has_to_wait(
    desk: Desk, hub: Callable[[], MatHub]
) -> None:
    mine = sending(hub())
    asked = {"id": str(uuid4()), "stance": "fitted", "footwear": "barefoot"}
    for _ in range(2):
        assert post(desk, "record", **asked).status_code == 200
    other = Desk(client=desk.client, visit=visit_for("Tarn Ellery"))
    refused = post(other, "record", **(asked | {"id": str(uuid4())}))
    assert refused.status_code == 422
    assert "recording already" in refused.json()["sentence"]
    assert not mat.state_of(mine, other.visit.pk, "metric")["recording"]["mine"]
    assert post(desk, "stop", id=str(uuid4())).status_code == 200  # another's id stops nothing
    assert mine.state.recording is not None
    until(lambda: (mine.view and mine.view.recorded) or 0)
    assert post(desk, "stop", id=asked["id"]).status_code == 200
    until(lambda: mine.state.recording is None)
    assert len(mine.waiting.for_visit(desk.visit.pk)) == 1
    assert mine.waiting.for_visit(other.visit.pk) == ()


def test_without_a_mat_nothing_is_recorded_and_it_says_why(desk: Desk, hub: Callable[[], MatHub]) -> None:
    refused = post(desk, "record", id=str(uuid4()), stance="fitted", footwear="barefoot")
    assert refused.status_code == 422
    assert "No mat sends" in refused.json()["sentence"]
    assert post(desk, "record", id="no id").status_code == 400


def test_another_visit_can_neither_keep_nor_discard_it(desk: Desk, hub: Callable[[], MatHub]) -> None:
    recording = record(desk, sending(hub()))
    other = Desk(client=desk.client, visit=visit_for("Tarn Ellery"))
    assert keep(other, recording).status_code == 422
    assert post(other, "discard", id=recording).status_code == 200
    assert len(hub().waiting.for_visit(desk.visit.pk)) == 1


@pytest.mark.parametrize("ended", [False, True])
def test_what_an_earlier_run_left_waits_on_the_page_and_can_be_kept(
    desk: Desk, hub: Callable[[], MatHub], tmp_path: Path, ended: bool
) -> None:
    left_behind(tmp_path / "live", desk.visit.pk, ended=ended)
    assert 'data-waiting="1"' in desk.page("ground")
    (waiting,) = hub().waiting.for_visit(desk.visit.pk)
    assert waiting.cut_off is not ended
    assert keep(desk, str(waiting.id)).status_code == 200
    assert 'data-waiting="0"' in desk.page("ground")
    assert len(placements(desk)) == 1


def test_kept_just_before_the_app_was_killed_it_does_not_wait_again(
    desk: Desk, hub: Callable[[], MatHub], tmp_path: Path
) -> None:
    journal = left_behind(tmp_path / "live", desk.visit.pk)
    raw = journal.read_bytes()
    (waiting,) = hub().waiting.for_visit(desk.visit.pk)
    keep(desk, str(waiting.id))
    own_mat._hubs.clear()
    journal.write_bytes(raw)  # the plug was pulled between the two
    assert 'data-waiting="0"' in desk.page("ground")
    assert not journal.exists()


def test_the_recording_of_an_erased_visit_is_forgotten(
    desk: Desk, hub: Callable[[], MatHub], tmp_path: Path
) -> None:
    journal = left_behind(tmp_path / "live", uuid4())
    desk.page("ground")
    assert not journal.exists()
    assert Visit.objects.count() == 1


def test_a_players_erasure_takes_what_waits_with_it(
    desk: Desk, hub: Callable[[], MatHub], tmp_path: Path
) -> None:
    other = visit_for("Tarn Ellery")
    gone, stays = (left_behind(tmp_path / "live", v) for v in (desk.visit.pk, other.pk))
    erase_player(desk.visit.player_id, by="R. Tall")
    assert (gone.exists(), stays.exists()) == (False, True)


def test_a_mat_that_stays_quiet_is_looked_for_anew(
    desk: Desk, hub: Callable[[], MatHub], monkeypatch: pytest.MonkeyPatch
) -> None:
    mine = sending(hub())
    monkeypatch.setattr(mats, "_QUIET_S", 0.1)
    monkeypatch.setattr(PlayedStreams, "names", ())
    nothing = MatFrames(time_s=np.zeros(0), cells=np.zeros((0, 40, 60), np.float32))
    monkeypatch.setattr(PlayedSource, "pull", lambda *_: nothing)
    until(lambda: mine.state.head is None)
    assert mine.state.says == "Looking for a mat."


def test_a_recording_without_end_ends_before_it_is_too_long_to_look_over(
    desk: Desk, hub: Callable[[], MatHub], monkeypatch: pytest.MonkeyPatch
) -> None:
    mine = sending(hub())
    monkeypatch.setattr(mats, "MOST_CELLS", 2400 * 25)  # half a second of this mat
    record(desk, mine, seconds=None)
    (waiting,) = mine.waiting.for_visit(desk.visit.pk)
    assert waiting.seconds == pytest.approx(0.5, abs=0.05)
    assert not waiting.cut_off


def test_of_several_mats_one_is_chosen_by_name(
    desk: Desk, hub: Callable[[], MatHub], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(PlayedStreams, "names", ("by the door", "by the window"))
    hub().look()
    until(lambda: hub().state.streams)
    assert hub().state.streams == ("by the door", "by the window")
    assert post(desk, "choose", name="by the window").status_code == 200
    until(lambda: hub().view is not None)


def test_a_file_that_comes_in_the_watched_folder_waits_for_whoever_keeps_it(
    desk: Desk,
    hub: Callable[[], MatHub],
    settings: Settings,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(watched_folder, "SETTLED_S", 0.1)
    settings.MAT_FOLDER = tmp_path / "saved"
    settings.MAT_FOLDER.mkdir()
    mine = hub()
    mine.look()
    until(lambda: mine._folder is not None)
    (settings.MAT_FOLDER / "notes.csv").write_text("no recording\n")
    until(lambda: "notes.csv" in mine.state.note)
    write_recording(STOOD, settings.MAT_FOLDER / "stand 1.parquet")
    until(lambda: mine.waiting.for_visit(desk.visit.pk))
    (waiting,) = mine.waiting.for_visit(desk.visit.pk)
    assert keep(desk, str(waiting.id)).status_code == 200
    assert keep(desk, str(waiting.id)).json()["state"] == "saved"
    assert len(placements(desk)) == 1
    assert (settings.MAT_FOLDER / "stand 1.parquet").exists()


def messages(desk: Desk, wanted: Callable[[list[Any]], object]) -> list[tuple[str, Any, bytes]]:
    """Messages of the stream until a test has what it wants."""

    async def read() -> list[tuple[str, Any, bytes]]:
        found: list[tuple[str, Any, bytes]] = []
        stream = mat._messages(scene)
        async for raw in stream:
            kind, said, cells = struct.unpack_from("<cII", raw)
            words = json.loads(raw[9 : 9 + said])
            assert len(raw) == 9 + said + cells
            found.append((kind.decode(), words, raw[9 + said :]))
            if wanted(found):
                break
        await stream.aclose()  # type: ignore[attr-defined]
        return found

    scene = desk.scene
    return asyncio.run(read())


def test_the_stream_gives_states_and_pictures_with_the_load_beside_the_feet(
    desk: Desk, hub: Callable[[], MatHub]
) -> None:
    sending(hub())
    found = messages(desk, lambda all_: any(k == "P" and w["moment"] for k, w, _ in all_) and len(all_) > 20)
    pictures = [(words, cells) for kind, words, cells in found if kind == "P"]
    words, cells = next(p for p in reversed(pictures) if p[0]["moment"])
    assert len(cells) == 2400
    assert max(cells) in range(150, 256)
    assert words["moment"]["left"] == pytest.approx(LOAD_LEFT, abs=6.0)
    assert words["moment"]["cop_left"][0] < words["moment"]["cop"][0] < words["moment"]["cop_right"][0]
    numbers = [w["n"] for w, _ in pictures]
    assert numbers == sorted(set(numbers))
    states = [words for kind, words, _ in found if kind == "S"]
    assert states[-1]["mat"] == {
        "name": "mat",
        "rows": 40,
        "columns": 60,
        "pitch": [10.0, 10.0],
        "rate": 50.0,
    }
    assert states[-1]["reach"].startswith("This machine only")


def test_an_owner_who_opened_it_to_the_network_reads_what_that_means(
    desk: Desk, hub: Callable[[], MatHub], settings: Settings
) -> None:
    settings.MATS_FROM_NETWORK = True
    reach = mat.state_of(hub(), desk.visit.pk, "metric")["reach"]
    assert reach.startswith("Open to the network")
    assert "anybody on the network can send one" in reach


def test_the_answer_is_one_stream_that_nothing_packs_or_keeps(desk: Desk, hub: Callable[[], MatHub]) -> None:
    answer = desk.client.get(f"{desk.at}mat/stream/")
    assert answer.streaming
    assert answer["Content-Encoding"] == "identity"
    assert answer["Cache-Control"] == "no-store"
