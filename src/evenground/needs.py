"""What a check needs of the body: one that needs what a player does not use drops out, with its reason."""

from evenground.visit import Check, Limb, Visit

__all__ = ["not_asked"]

STANDING: tuple[Check, ...] = ("as arrived", "ball", "ground", "hip line", "posture", "grip")
LEGS: tuple[Limb, ...] = ("left leg", "right leg", "left foot", "right foot")
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
