"""What the sizes of one body say about themselves, whatever any survey says."""

from collections.abc import Mapping, Sequence

from evenground.body.limbs import gone_for
from evenground.body.report import BodyWarning
from evenground.body.shoes import foot_length, shoe_size
from evenground.body.sides import SIDES_SDS, mean_of, side_warnings
from evenground.body.sizes import tape_sd, words
from evenground.estimate import difference
from evenground.visit import BodyCheck, BodySize, HandSize

__all__ = ["own_warnings"]

_DISAGREE_SDS = 3.0  # of the difference of two readings


def own_warnings(body: BodyCheck, hands: Sequence[HandSize] = ()) -> tuple[BodyWarning, ...]:
    """Repeats, sides, parts and wholes, limbs and shoes of one body that contradict each other."""
    warnings = [w for size in body.sizes for w in (*_repeat_warnings(size), *_limb_warnings(body, size))]
    return (*warnings, *_order_warnings(body), *side_warnings(body, hands), *_shoe_warnings(body))


def _repeat_warnings(size: BodySize) -> list[BodyWarning]:
    if len(size.readings_mm) < 2:
        return []
    apart = max(size.readings_mm) - min(size.readings_mm)
    limit = _DISAGREE_SDS * 2.0**0.5 * tape_sd(size.name)
    if apart <= limit:
        return []
    text = f"{words(size.name)}: readings differ by {apart:.0f} mm: measure once more."
    return [BodyWarning(code="repeats-differ", where=size.name, text=text)]


def _limb_warnings(body: BodyCheck, size: BodySize) -> list[BodyWarning]:
    limb = None if size.side is None else gone_for(body, size.name, size.side)
    if limb is None:
        return []
    text = (
        f"{size.side} {words(size.name)}: the {limb} is entered as {body.limbs[limb]}, so this size is used "
        "for nothing. Correct the side, or take it out."
    )
    return [BodyWarning(code="absent-limb", where=size.name, text=text)]


# The part is never larger than the whole, in any body.
_PARTS: Mapping[str, str] = {
    "shoulder_height": "stature",
    "neck_height": "stature",
    "crotch_height": "stature",
    "wrist_height": "shoulder_height",
    "tibial_height": "crotch_height",
    "ankle_height": "tibial_height",
    "upper_arm_length": "arm_length",
    "forearm_length": "arm_length",
    "foot_breadth": "foot_length",
    "heel_breadth": "foot_breadth",
    "ball_of_foot_length": "foot_length",
}


def _order_warnings(body: BodyCheck) -> list[BodyWarning]:
    warnings = []
    for part, whole in _PARTS.items():
        one, other = body.mean_mm(part), body.mean_mm(whole)
        if one is not None and other is not None and one >= other:
            text = (
                f"{words(part)} {one:.0f} mm is not below {words(whole)} {other:.0f} mm: were they swapped?"
            )
            warnings.append(BodyWarning(code="swapped", where=part, text=text))
    return warnings


def _shoe_warnings(body: BodyCheck) -> list[BodyWarning]:
    foot = body.mean_mm("foot_length")
    if body.shoe_size is None or foot is None:
        return []
    said = foot_length(shoe_size(body.shoe_size))
    apart = difference(mean_of("foot_length", [foot]), said)
    if abs(apart.value) <= SIDES_SDS.value * apart.se:
        return []
    text = (
        f"the shoe's {body.shoe_size} is made for a foot of about {said.value:.0f} mm, but the foot is "
        f"{foot:.0f} mm: measure the foot again, or correct the shoe's size and its system."
    )
    return [BodyWarning(code="unlike-the-shoe", where="foot_length", text=text)]
