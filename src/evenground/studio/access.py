"""Who may open what: one table for every address of the app; what is not in it is closed to everybody."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.http import HttpRequest
from django.urls import ResolverMatch

from evenground.records.models import Person, Role

__all__ = ["ACCESS", "Rule", "lesser", "person_of", "role_of", "rule_for"]

OWNER = frozenset({Role.OWNER})
TEACHERS = OWNER | {Role.TEACHER}
EVERYONE = TEACHERS | {Role.ASSISTANT}
_RANK = (Role.ASSISTANT, Role.TEACHER, Role.OWNER)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """Who may open an address.

    Attributes
    ----------
    roles
        Empty together with `open_door`: nobody has to be signed in.
    open_door
        Anyone on this machine, or on a paired device, signed in or not.
    unpaired
        Also a device that is not paired yet.
    asks_itself
        A program's address: the view checks its own token instead of a session.
    passive
        A page calls it by itself, so it does not count as somebody being there.
    locked_too
        Open while the session waits for its password.
    """

    roles: frozenset[Role] = frozenset()
    open_door: bool = False
    unpaired: bool = False
    asks_itself: bool = False
    passive: bool = False
    locked_too: bool = False


_ANYBODY = Rule(open_door=True, unpaired=True, passive=True, locked_too=True)
_AT_THE_DOOR = Rule(open_door=True, locked_too=True)
_HANDS = Rule(roles=EVERYONE)
_LOOKS_AGAIN = Rule(roles=EVERYONE, passive=True)
_TEACHER = Rule(roles=TEACHERS)
_OWNER = Rule(roles=OWNER)
_PROGRAM = Rule(asks_itself=True, unpaired=True, passive=True)

ACCESS: Mapping[str, Rule] = {
    # The door
    "font": _ANYBODY,
    "look": _ANYBODY,
    "pair": Rule(open_door=True, unpaired=True, locked_too=True),
    "sign-in": _AT_THE_DOOR,
    "link": _AT_THE_DOOR,
    "sign-out": Rule(roles=EVERYONE, locked_too=True),
    "lock": Rule(roles=EVERYONE, locked_too=True),
    "unlock": Rule(roles=EVERYONE, locked_too=True, passive=True),
    # Today
    "today": _HANDS,
    "today-now": _LOOKS_AGAIN,
    "visit-start": _HANDS,
    "instrument-check": _HANDS,
    "instrument": _HANDS,
    # Players
    "players": _HANDS,
    "players-found": _HANDS,
    "player-new": _HANDS,
    "player": _HANDS,
    "player-edit": _HANDS,
    "consent-new": _HANDS,
    "consent-withdraw": _HANDS,
    "file": _HANDS,
    # Visits: every hand in the studio measures
    "visit": _HANDS,
    "visit:": _HANDS,
    "visit:news": _LOOKS_AGAIN,
    "visit:mat-stream": _LOOKS_AGAIN,
    # Cards: everybody reads and prints, teachers decide and sign
    "card": _HANDS,
    "effects": _HANDS,
    "card-line": _TEACHER,
    "card-cues": _TEACHER,
    "card-accept-rest": _TEACHER,
    "card-sign": _TEACHER,
    "card-draft-paper": _HANDS,
    "card-signed": _HANDS,
    "card-signed-paper": _HANDS,
    # The interface for scripts: each request shows its own token; people read the documentation
    "api:": _PROGRAM,
    "api:openapi-view": _HANDS,
    "api:openapi-json": _HANDS,
    "tokens": _TEACHER,
    "token-end": _TEACHER,
    # Schools: every hand works at a station, teachers make one and take its lists away
    "schools": _HANDS,
    "school-new": _TEACHER,
    "school": _HANDS,
    "school-scan": _HANDS,
    "school-event": _HANDS,
    "school-leaves": _HANDS,
    "school-badges": _HANDS,
    "school-cards": _TEACHER,
    "school-roster": _TEACHER,
    "moving": _TEACHER,
    # The person signed in
    "me": _HANDS,
    "me-password": _HANDS,
    "session-end": _HANDS,
    "pair-start": _TEACHER,
    "device-end": _TEACHER,
    # The studio
    "studio": _TEACHER,
    "settings": _OWNER,
    "instruments": _TEACHER,
    "instrument-retire": _TEACHER,
    "cameras": _TEACHER,
    "camera-calibrate": _TEACHER,
    "camera-choose": _TEACHER,
    "sheet": _HANDS,
    "studio-routine": _TEACHER,
    "studio-cues": _TEACHER,
    "stock": _TEACHER,
    "stock-file": _TEACHER,
    "orders": _TEACHER,
    "order": _TEACHER,
    "order-model": _OWNER,
    "order-new": _TEACHER,
    "order-step": _TEACHER,
    "order-tape": _TEACHER,
    "studies": _TEACHER,
    "study": _TEACHER,
    "study-use": _OWNER,
    "people": _OWNER,
    "person-change": _OWNER,
    "person-link": _OWNER,
    "sessions": _OWNER,
    "audit": _OWNER,
    "audit-csv": _OWNER,
    "players-csv": _OWNER,
}


def rule_for(match: ResolverMatch, table: Mapping[str, Rule] = ACCESS) -> Rule | None:
    """The rule of an address: by its own name, or by its namespace as ``"name:"``; None closes it."""
    name = match.view_name
    return table.get(name) or table.get(f"{name.split(':')[0]}:")


def lesser(one: Role, other: Role) -> Role:
    """The role that may do less.

    Examples
    --------
    >>> lesser(Role.OWNER, Role.ASSISTANT).value
    'assistant'
    """
    return min(one, other, key=_RANK.index)


def person_of(request: HttpRequest) -> Person | None:
    """Who is signed in, None when nobody is."""
    user = getattr(request, "user", None)
    return user if isinstance(user, Person) and user.is_active else None


def role_of(request: HttpRequest) -> Role | None:
    """What the person signed in may do in this session: a paired device's session may do less."""
    person = person_of(request)
    if person is None:
        return None
    cap = request.session.get("most")
    own = Role(person.role)
    return own if cap is None else lesser(own, Role(cap))
