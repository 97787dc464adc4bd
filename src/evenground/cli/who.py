"""Finding a player by name or id, for the commands that are about one."""

from typing import TYPE_CHECKING
from uuid import UUID

from evenground.errors import RecordsError

if TYPE_CHECKING:
    from evenground.records.models import Player

__all__ = ["WhoError", "player_called"]


class WhoError(RecordsError):
    """No player of that name, or several."""

    def __init__(self, said: str, found: tuple[str, ...]) -> None:
        super().__init__(said, found)
        self.where = said
        if found:
            self.what = f"{len(found)} players are called that."
            self.do = f"Give one of these ids: {', '.join(found)}."
        else:
            self.what = "No player has this name or id."
            self.do = (
                "Write the name as the app shows it, or the id that stands in the address of their page."
            )


def player_called(said: str) -> "Player":
    """The one player of a name or id; open the records first.

    Raises
    ------
    WhoError
        When there is none, or more than one of that name.
    """
    from evenground.records.models import Player

    try:
        found = list(Player.objects.filter(pk=UUID(said)))
    except ValueError:
        found = list(Player.objects.filter(name__iexact=said.strip()))
    if len(found) != 1:
        raise WhoError(said, tuple(str(row.pk) for row in found))
    return found[0]
