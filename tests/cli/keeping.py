"""Looks after an invented studio with the commands, one after another; run as a process of its own.

Prints, as JSON, each command's exit status and what it said.
"""

import json
import sys
from datetime import date
from pathlib import Path
from typing import Any

from typer.testing import CliRunner

from evenground.cli import app
from evenground.cli.common import report_errors
from evenground.studio.desk import open_desk


def told(*words: str, typed: str | None = None) -> dict[str, Any]:
    """Run a command as `main` does."""
    try:
        with report_errors():
            done = CliRunner().invoke(app, list(words), input=typed)
            if done.exception is not None and not isinstance(done.exception, SystemExit):
                raise done.exception
    except SystemExit as exc:
        return {"status": exc.code, "said": str(exc.__cause__)}
    return {"status": done.exit_code, "said": done.stdout}


def main(home: Path, out: Path) -> dict[str, Any]:
    opened = open_desk(home)
    from evenground.example import example_bundle
    from evenground.records.blobs import path_of
    from evenground.records.importing import import_bundle
    from evenground.records.models import Blob, FindingsRow, Person, Player, Role
    from evenground.records.visits import start_visit
    from evenground.studio.models import DeskSession, PairedDevice

    said: dict[str, Any] = {}
    said["first user"] = told("user", "quill", "--role", "owner")
    owner = Person.objects.get()
    row = import_bundle(example_bundle(), person=owner)
    start_visit(Player.objects.create(name="Wren Halloway", handed="left"), day=date(2026, 5, 9))
    FindingsRow.objects.create(visit=row, input_hash="of another time", body={})
    said["backup"] = told("backup", str(out / "backups"), "--json")
    file = json.loads(said["backup"]["said"])["file"]
    said["export"] = told("export", "Ilvy Tarrowmere", str(out / "ilvy"))
    said["export nobody"] = told("export", "Nobody", str(out / "nobody"))
    said["erase, name mistyped"] = told("erase", "wren halloway", "--by", "Quill", typed="Wren\n")
    said["erase"] = told("erase", "wren halloway", "--by", "Quill", typed="Wren Halloway\n")
    DeskSession.objects.create(session_key="k", session_data="", expire_date="2099-01-01T00:00Z")
    PairedDevice.objects.create(name="tablet", person=owner)
    with opened.held():
        said["restore while the app runs"] = told("restore", file)
    said["restore"] = told("restore", file, "--json")
    said["after"] = {
        "players": sorted(Player.objects.values_list("name", flat=True)),
        "role": Person.objects.get(sign_in="quill").role == Role.OWNER,
        "findings": FindingsRow.objects.count(),
        "sessions": DeskSession.objects.count(),
        "devices": PairedDevice.objects.filter(revoked_at__isnull=True).count(),
    }
    said["doctor"] = told("doctor", "--files", "--json")
    path_of(Blob.objects.values_list("pk", flat=True)[0]).write_bytes(b"changed")
    said["doctor, a file changed"] = told("doctor", "--json")
    said["last owner off"] = told("user", "quill", "--off")
    said["nobody off"] = told("user", "nobody", "--off")
    said["teacher"] = told("user", "tamsel", "--role", "teacher")
    said["users"] = told("user")
    return said


if __name__ == "__main__":
    print(json.dumps(main(Path(sys.argv[1]), Path(sys.argv[2]))))
