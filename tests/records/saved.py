"""A records database as a release left it, as SQL text; `python -m tests.records.saved FILE` writes one.

The text is made once for each release and then kept as it is: it stands for what a studio has on its disk.
"""

import os
import sqlite3
import sys
import tempfile
from pathlib import Path
from uuid import UUID

import django
from django.core.management import call_command
from django.db import connection

VISIT = UUID("5d0b2c4e-7f5e-4d0b-9f52-3c0f6a1e2b01")


def load(text: str, file: Path) -> None:
    """Make the database that a saved text describes."""
    with sqlite3.connect(file) as made:
        made.executescript(text)
    made.close()


def fill() -> None:
    """A small studio: two players, a visit with a correction, a void and a moved reading, a signed card."""
    from evenground.records.blobs import put_blob
    from evenground.records.cards import draft_card, sign_card
    from evenground.records.log import append, correct, move, void
    from evenground.records.models import Consent, ConsentKind, Person, Player, Role
    from evenground.records.visits import start_visit, studio_file, use_snapshot
    from tests.records.making import DAY, NOON, entry

    def named(number: int) -> UUID:
        return UUID(int=VISIT.int + number)

    use_snapshot(studio_file(None))
    owner = Person.objects.create_person("olga", None, name="O. Underhill", role=Role.OWNER)
    wren = Player.objects.create(pk=named(900), name="Wren Halloway", handed="left", birth_year=1988)
    ash = Player.objects.create(pk=named(901), name="Ash Fennimore", handed="right", birth_year=2015)
    Consent.objects.create(
        player=ash,
        kind=ConsentKind.PHOTOS,
        given_on=DAY,
        text_version="1",
        given_by="G. F.",
        by_guardian=True,
    )
    mine = start_visit(wren, day=DAY, teacher="R. Tall", visit_id=VISIT, at=NOON, person=owner)
    theirs = start_visit(ash, day=DAY, visit_id=named(902), at=NOON, person=owner)
    frames = put_blob(b"frames of a mat", "application/vnd.apache.parquet")
    stand = {"recording": "mat/one.parquet", "footwear": "barefoot", "stance": "fitted"}
    append(mine.pk, entry("placement", id=named(1), **stand, blobs={"mat/one.parquet": frames.sha256}))
    append(mine.pk, entry("hip-line set-up", id=named(2), landmark="rear top of the hip bones"))
    append(mine.pk, entry("hip-line trial", id=named(3), trial=1, width="15 in", hip_line_deg=3.25))
    fixed = {"trial": 1, "width_mm": 381.5, "hip_line_deg": 3.25}
    correct(mine.pk, named(3), fixed, new_id=named(4), at=NOON, person=owner)
    append(mine.pk, entry("body mass", id=named(5), mass_kg=17))
    void(mine.pk, named(5), "scales tilted", new_id=named(6), at=NOON, person=owner)
    append(theirs.pk, entry("hip-line trial", id=named(7), trial=1, width_mm=400, hip_line_deg=-1))
    move(theirs.pk, [named(7)], mine.pk, "wrong badge", move_id=named(8), at=NOON, person=owner)
    card = draft_card(mine.pk, [{"key": "irons", "now": "375 to 390 mm"}], {"visit": "x"}, "ab" * 32)
    sign_card(card.pk, owner, b"%PDF-1.7 signed")


def main(target: Path) -> None:
    """Make such a database with this version of the program and save it as text."""
    with tempfile.TemporaryDirectory() as home:
        os.environ |= {"EVENGROUND_HOME": home, "DJANGO_SETTINGS_MODULE": "evenground.studio.settings"}
        django.setup()
        from evenground.studio.settings import HOME

        HOME.prepare()
        call_command("migrate", "records", verbosity=0)  # its own tables and those they need
        fill()
        connection.close()
        with sqlite3.connect(HOME.sqlite_file) as made:
            target.write_text("\n".join(made.iterdump()) + "\n", "utf-8")
        made.close()


if __name__ == "__main__":
    main(Path(sys.argv[1]))
