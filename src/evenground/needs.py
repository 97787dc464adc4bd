"""What a check needs of the body: one that needs what a player does not use drops out, with its reason."""

from evenground.errors import MeasureError
from evenground.library import RoutineVersion
from evenground.visit import Check, Limb, Visit

__all__ = ["NotOfferedError", "load_not_offered", "not_asked", "routine_form", "routine_not_offered"]

STANDING: tuple[Check, ...] = ("as arrived", "ball", "ground", "hip line", "posture", "grip")
LEGS: tuple[Limb, ...] = ("left leg", "right leg", "left foot", "right foot")
ARMS: tuple[Limb, ...] = ("left arm", "right arm", "left hand", "right hand")
BOTH_HANDS: tuple[tuple[Limb, ...], ...] = (("left arm", "left hand"), ("right arm", "right hand"))


def not_asked(visit: Visit, check: Check) -> str | None:
    """Why a check drops out for this player, None when it stands.

    A stance between two feet cannot be measured of a seated player, nor of one without a leg or foot; a
    prosthesis that is stood on counts as standing. Hands are measured one by one: they drop out only with
    both. Turn loads the trunk: without a screening that cleared the player it is not asked.
    """
    body = visit.body
    if check == "turn" and visit.screening != "cleared":
        return "the screening did not clear the player to turn"
    if body is None:
        return None
    if check in STANDING and body.seated:
        return "the player is seated"
    gone = [limb for limb, state in body.limbs.items() if state in ("absent", "not tested")]
    if check in STANDING:
        missing = [limb for limb in gone if limb in LEGS]
        return f"{missing[0]} {body.limbs[missing[0]]}" if missing else None
    if check == "hands" and all(any(limb in gone for limb in side) for side in BOTH_HANDS):
        return "neither hand can be measured"
    return None


class NotOfferedError(MeasureError):
    """What loads or moves the body, where the screening did not clear it or the body does not suit it."""

    do = "Leave it out; what loads or moves the body waits for a screening that cleared the player."

    def __init__(self, what: str, reason: str) -> None:
        super().__init__(what, reason)
        self.where = what
        self.what = f"It is not offered: {reason}."


def _uncleared(visit: Visit) -> str | None:
    if visit.screening == "cleared":
        return None
    if visit.screening is None:
        return "the screening is not answered yet"
    return "the screening did not clear the player"


def routine_not_offered(visit: Visit) -> str | None:
    """Why the hip routine is not offered, None when it may be done."""
    return _uncleared(visit)


def routine_form(visit: Visit) -> RoutineVersion:
    """In which form the routine suits this player: sitting for who sits or does not stand on two own legs.

    Raises
    ------
    NotOfferedError
        When the screening did not clear the player.
    """
    reason = routine_not_offered(visit)
    if reason is not None:
        raise NotOfferedError("hip routine", reason)
    limbs = {} if visit.body is None else visit.body.limbs
    sits = visit.body is not None and (visit.body.seated or any(limb in limbs for limb in LEGS))
    return "seated" if sits else "usual"


def load_not_offered(visit: Visit) -> str | None:
    """Why no mass is held at the chest, None when it may be: cleared, on two feet, with both arms."""
    reason = _uncleared(visit) or not_asked(visit, "ground")
    if reason is not None or visit.body is None:
        return reason
    arm = next((limb for limb in ARMS if limb in visit.body.limbs), None)
    return None if arm is None else f"{arm} {visit.body.limbs[arm]}"
