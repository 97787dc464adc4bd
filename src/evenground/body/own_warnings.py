"""What the sizes of one body say about themselves, whatever any survey says."""

from collections.abc import Mapping, Sequence

from evenground.body.limbs import gone_for
from evenground.body.report import BodyWarning
from evenground.body.shoes import foot_length, shoe_size
from evenground.body.sizes import tape_sd, words
from evenground.estimate import Estimate, difference, from_repeats
from evenground.sourced import Sourced
from evenground.visit import BodyCheck, BodySize, HandSize

__all__ = ["SIDES_DIFFER_SHARE", "SIDES_SDS", "mean_of", "own_warnings"]

SIDES_DIFFER_SHARE = Sourced(
    0.01, "", "ours: SD of left less right in healthy people, as a share of the size"
)
SIDES_SDS = Sourced(3.2, "", "ours: one or two of a thousand pairs measured well are called unlike by chance")
_DISAGREE_SDS = 3.0  # of the difference of two readings


def mean_of(name: str, readings: Sequence[float]) -> Estimate:
    """Mean of the repeats with the tape's error: two or three repeats know their own spread badly."""
    return from_repeats(readings, unit="mm", known_sd=tape_sd(name), what=name)


def own_warnings(body: BodyCheck, hands: Sequence[HandSize] = ()) -> tuple[BodyWarning, ...]:
    """Repeats, sides, parts and wholes, limbs and shoes of one body that contradict each other."""
    warnings = [w for size in body.sizes for w in (*_repeat_warnings(size), *_limb_warnings(body, size))]
    return (*warnings, *_order_warnings(body), *_side_warnings(body, hands), *_shoe_warnings(body))


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


def _side_warnings(body: BodyCheck, hands: Sequence[HandSize]) -> list[BodyWarning]:
    """Left and right of one size further apart than tapes and healthy bodies are."""
    warnings = []
    sided = {(s.name, s.side): mean_of(s.name, s.readings_mm) for s in body.sizes if s.side and s.readings_mm}
    for hand in hands:
        for name, mm in (("hand_length", hand.length_mm), ("palm_length", hand.palm_length_mm)):
            sided[name, hand.side] = Estimate(value=mm, se=hand.se_mm, unit="mm")
    for name in dict.fromkeys(name for name, _ in sided):
        left, right = sided.get((name, "left")), sided.get((name, "right"))
        if left is None or right is None:
            continue
        apart = difference(left, right).widened(SIDES_DIFFER_SHARE.value * (left.value + right.value) / 2.0)
        if abs(apart.value) > SIDES_SDS.value * apart.se:
            text = (
                f"{words(name)}: left {left.value:.0f} mm and right {right.value:.0f} mm are "
                f"{abs(apart.value):.0f} mm apart, more than {SIDES_SDS.value * apart.se:.0f} mm seldom is: "
                "measure both again."
            )
            warnings.append(BodyWarning(code="sides-differ", where=name, text=text))
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
