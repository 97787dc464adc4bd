"""Looking after a studio's records with the commands: backup, restore, export, erase, user, doctor."""

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest


@pytest.fixture(scope="module")
def said(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """What the commands said, in a process whose Django has that studio's settings."""
    folder = tmp_path_factory.mktemp("keeping")
    environ = {k: v for k, v in os.environ.items() if not k.startswith(("EVENGROUND_", "DJANGO_"))}
    command = [sys.executable, "-m", "tests.cli.keeping", str(folder / "home"), str(folder / "out")]
    done = subprocess.run(command, capture_output=True, text=True, check=False, env=environ)
    assert done.returncode == 0, done.stderr
    told: dict[str, Any] = json.loads(done.stdout)
    return told | {"folder": folder}


def test_a_restore_brings_everything_back_but_whoever_was_erased(said: dict[str, Any]) -> None:
    assert said["backup"]["status"] == 0
    restored = json.loads(said["restore"]["said"])
    assert restored["erased_again"] == 1
    assert Path(restored["aside"]).is_dir()
    assert said["after"]["players"] == ["Ilvy Tarrowmere"]
    assert said["after"]["role"]


def test_after_a_restore_nobody_is_signed_in_and_nothing_is_told_from_the_cache(said: dict[str, Any]) -> None:
    after = said["after"]
    assert (after["sessions"], after["devices"], after["findings"]) == (0, 0, 0)


def test_nothing_is_restored_under_a_running_app(said: dict[str, Any]) -> None:
    assert said["restore while the app runs"]["status"] == 1
    assert "The records in this folder are in use." in said["restore while the app runs"]["said"]


def test_a_player_is_exported_by_name_and_a_wrong_name_says_what_to_do(said: dict[str, Any]) -> None:
    assert said["export"]["status"] == 0
    told = json.loads((said["folder"] / "out" / "ilvy" / "player.json").read_text("utf-8"))
    assert told["name"] == "Ilvy Tarrowmere"
    assert said["export nobody"] == {
        "status": 1,
        "said": "Nobody: No player has this name or id. Write the name as the app shows it, or the id that "
        "stands in the address of their page.",
    }


def test_a_player_is_erased_only_when_the_name_is_written_again(said: dict[str, Any]) -> None:
    assert said["erase, name mistyped"]["status"] == 1
    assert "Nothing was erased." in said["erase, name mistyped"]["said"]
    assert said["erase"]["status"] == 0


def test_the_doctor_finds_sound_records_sound_and_a_changed_file(said: dict[str, Any]) -> None:
    assert said["doctor"]["status"] == 0
    assert json.loads(said["doctor"]["said"])["sound"] is True
    assert said["doctor, a file changed"]["status"] == 1
    looked_at = json.loads(said["doctor, a file changed"]["said"])["looked_at"]
    assert [c["what"] for c in looked_at if "1 are not what was stored" in c["wrong"]] == ["stored files"]


def test_people_are_taken_in_with_a_link_and_the_last_owner_stays(said: dict[str, Any]) -> None:
    assert "/link/" in said["first user"]["said"]
    assert said["last owner off"]["status"] == 1
    assert "at least one owner" in said["last owner off"]["said"]
    assert said["nobody off"]["status"] == 1
    assert [line.split()[:2] for line in said["users"]["said"].splitlines()[1:]] == [
        ["quill", "owner"],
        ["tamsel", "teacher"],
    ]
