"""`evenground user`: who works here, somebody new, a new password, somebody who left."""

from enum import StrEnum
from typing import TYPE_CHECKING, Annotated

import typer

from evenground.cli.common import DataFolder, table
from evenground.errors import StudioError

if TYPE_CHECKING:
    from evenground.records.models import Person

__all__ = ["NoSuchUserError", "user"]


class NoSuchUserError(StudioError):
    """Nobody signs in with that name."""

    do = "Run evenground user without a name to see who there is, or give --role to make somebody new."

    def __init__(self, name: str) -> None:
        super().__init__(name)
        self.where = name
        self.what = "Nobody signs in with this name."


class RoleWord(StrEnum):
    """The roles, as they are typed."""

    OWNER = "owner"
    TEACHER = "teacher"
    ASSISTANT = "assistant"


def user(
    name: Annotated[str, typer.Argument(help="The name somebody signs in with; without it: a list.")] = "",
    *,
    role: Annotated[RoleWord | None, typer.Option("--role", help="Make or change: what they may do.")] = None,
    off: Annotated[
        bool, typer.Option("--off", help="Switch them off; what they did keeps their name.")
    ] = False,
    link: Annotated[bool, typer.Option("--link", help="A one-time link to set a new password.")] = False,
    data: DataFolder = None,
) -> None:
    """List who works here, take somebody in, change what they may do, or let them set a password."""
    from evenground.studio.desk import open_desk

    open_desk(data)
    from evenground.records.models import Person, Role
    from evenground.studio.staff import change, password_link, take_in

    if not name:
        rows = [(p.sign_in, p.role, _state(p), p.name) for p in Person.objects.order_by("name")]
        print(table(rows, header=("signs in as", "role", "", "name")))
        return
    person = Person.objects.filter(sign_in=name.strip().casefold()).first()
    if person is None and role is None:
        raise NoSuchUserError(name)
    if person is None:
        person, link = take_in(name, name, Role(str(role)), by=None), True
    elif role is not None or off:
        change(person, role=Role(str(role or person.role)), active=not off, by=None)
    if link:
        token = password_link(person, by=None)
        print(f"Within a day, once, after the address that serve prints: /link/{token}")
    print(f"{person.sign_in}: {person.role}{_state(person)}")


def _state(person: "Person") -> str:
    return "" if person.is_active else " (off)"
