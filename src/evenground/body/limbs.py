"""Which sizes can be held against the survey for this player: limbs that are gone, and who sits."""

from evenground.body.sizes import ALL, MASS, Part
from evenground.floor import Side
from evenground.visit import BodyCheck, Limb

__all__ = ["gone_for", "why_not_compared"]

_LIMBS: dict[Part, dict[Side, Limb]] = {
    "legs": {"left": "left leg", "right": "right leg"},
    "arms": {"left": "left arm", "right": "right arm"},
    "hands": {"left": "left hand", "right": "right hand"},
    "feet": {"left": "left foot", "right": "right foot"},
}


def gone_for(body: BodyCheck, name: str, side: Side) -> Limb | None:
    """The limb of one side that a size would need and that is absent or prosthetic."""
    needs = ALL[name].needs if name in ALL else ()
    limbs = (_LIMBS[part][side] for part in needs)
    return next((limb for limb in limbs if body.limbs.get(limb) in ("absent", "prosthetic")), None)


def why_not_compared(body: BodyCheck, name: str) -> str | None:
    """Why a size of this player is held against nothing, None when it is compared.

    One limb is enough for a size that either side has; a height, a span or the mass needs the whole body.
    """
    if name not in ALL:
        return None
    if body.seated and ALL[name].standing:
        return "the player is measured seated"
    if name == MASS:
        lost = next((limb for limb, state in body.limbs.items() if state in ("absent", "prosthetic")), None)
        return None if lost is None else f"the {lost} is {body.limbs[lost]}"
    gone = [limb for side in ("left", "right") if (limb := gone_for(body, name, side)) is not None]
    if len(gone) > (1 if ALL[name].sided else 0):
        return f"the {gone[0]} is {body.limbs[gone[0]]}"
    return None
