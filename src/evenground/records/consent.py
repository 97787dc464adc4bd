"""Whether a player, or a minor's guardian, has agreed; asked before anything that needs it."""

from datetime import date

from evenground.errors import RecordsError
from evenground.records.models import Consent, ConsentKind, Player

__all__ = [
    "BirthYearMissingError",
    "ConsentMissingError",
    "GuardianMissingError",
    "has_consent",
    "require_consent",
]


class ConsentMissingError(RecordsError):
    """Something needs the player's consent and there is none."""

    do = "Have the consent read and given first, then go on."

    def __init__(self, kind: str) -> None:
        super().__init__(kind)
        self.where = "consent"
        self.what = f"There is no consent for {kind} by the player."


class GuardianMissingError(RecordsError):
    """Something needs a guardian's consent, since the player is a minor, and there is none."""

    do = "Have the guardian read and give the consent first; measuring without photos can go on."

    def __init__(self, kind: str) -> None:
        super().__init__(kind)
        self.where = "consent"
        self.what = f"The player is a minor and there is no guardian's consent for {kind}."


class BirthYearMissingError(RecordsError):
    """Nobody can tell whether the player is a minor."""

    do = "Enter the birth year; only the year is kept."

    def __init__(self) -> None:
        super().__init__()
        self.where = "consent"
        self.what = "Without the birth year it is not known whether a guardian has to agree."


def has_consent(player: Player, kind: ConsentKind, day: date) -> bool:
    """Whether there is consent on a day; a minor's counts only when a guardian gave it."""
    given = Consent.objects.filter(player=player, kind=kind, given_on__lte=day)
    standing = given.exclude(withdrawn_on__lte=day)
    return standing.filter(by_guardian=True).exists() if player.is_minor(day) else standing.exists()


def require_consent(player: Player, kind: ConsentKind, day: date) -> None:
    """Stop here unless there is consent; asked before every photo.

    Raises
    ------
    BirthYearMissingError, GuardianMissingError, ConsentMissingError
        When it cannot be told whether a guardian has to agree, or when nobody has.
    """
    minor = player.is_minor(day)
    if minor is None:
        raise BirthYearMissingError
    if not has_consent(player, kind, day):
        raise GuardianMissingError(kind) if minor else ConsentMissingError(kind)
