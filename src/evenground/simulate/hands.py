"""Rendered hands with known sizes: outlines of many shapes, skin, rings, sleeves, shadows, a tilted phone."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from evenground.floor import Side
from evenground.measure.hand_outline import FINGERS, Finger

__all__ = ["RenderedHand", "draw_hand", "render_hand"]

FloatArray = NDArray[np.float64]
Fault = Literal["none", "no scale", "closed fingers", "two hands", "cut off", "blurred"]

CANVAS_PX_PER_MM = 5.0
TABLE_MM = (330.0, 300.0)
CARD_MM = (85.60, 53.98)
CARD_RELATIVE_SD = 0.0015  # ours: as much as a card is trusted for when it gives the scale
CREASE_SD_MM = 2.5
WEB_NEAR_MM = 6.0
KNUCKLE_SD_MM = 2.2
HEIGHT_MM = (8.0, 4.0)

# Skin from light to dark, grounds that a studio has; RGB.
SKINS = ((236, 200, 178), (219, 172, 145), (190, 138, 108), (141, 96, 70), (98, 64, 47), (66, 44, 36))
GROUNDS = ((242, 242, 238), (70, 92, 120), (62, 98, 74), (40, 42, 46), (204, 210, 196), (120, 40, 44))
CARDS = ((24, 60, 120), (20, 20, 22), (150, 20, 30), (235, 235, 230))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Hand:
    """Outline (N, 2) in mm, wrist's middle at the origin, fingers toward +y, thumb toward +x; its truth."""

    outline: FloatArray
    tips: Mapping[Finger, FloatArray]
    webs: Mapping[tuple[Finger, Finger], FloatArray]
    bases: Mapping[Finger, FloatArray]
    knuckles: tuple[FloatArray, FloatArray]
    wrist: tuple[FloatArray, FloatArray]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RenderedHand:
    """A picture and what is true of the hand in it, lengths in mm; `fault` says what is wrong with it."""

    rgb: NDArray[np.uint8]
    side: Side
    hand_length_mm: float
    hand_breadth_mm: float
    fingers_mm: Mapping[Finger, float]
    camera_mm: float
    height_mm: float
    fault: Fault


def _smooth(points: FloatArray, per: int = 6) -> FloatArray:
    """A closed curve through points: centripetal enough for a hand, by cubic pieces (Catmull-Rom)."""
    before, after, further = (np.roll(points, k, axis=0) for k in (1, -1, -2))
    t = (np.arange(per) / per)[None, :, None]
    p0, p1, p2, p3 = (p[:, None, :] for p in (before, points, after, further))
    curve = 0.5 * (
        2.0 * p1
        + (p2 - p0) * t
        + (2.0 * p0 - 5.0 * p1 + 4.0 * p2 - p3) * t**2
        + (3.0 * p1 - p0 - 3.0 * p2 + p3) * t**3
    )
    return np.asarray(curve.reshape(-1, 2))


def _finger(
    base: FloatArray, lean_deg: float, length: float, wide: float, slim: float
) -> tuple[FloatArray, FloatArray]:
    """Side and tip points of a finger, from its thumb side over the tip to the other; and its tip."""
    along = np.array([math.sin(math.radians(lean_deg)), math.cos(math.radians(lean_deg))])
    across = np.array([along[1], -along[0]])
    tip_r = slim / 2.0
    points = [
        base + along * length * s + across * (wide + (slim - wide) * s) / 2.0 for s in (0.35, 0.62, 0.85)
    ]
    middle = base + along * (length - tip_r)
    for turn in (60, 30, 0, -30, -60):
        a = math.radians(turn)
        points.append(middle + tip_r * (math.cos(a) * along + math.sin(a) * across))
    points += [
        base + along * length * s - across * (wide + (slim - wide) * s) / 2.0 for s in (0.85, 0.62, 0.35)
    ]
    return np.array(points), base + along * length


def _round(web: FloatArray) -> list[FloatArray]:
    """A web as skin has it: a small saddle, not the point of a V, that the curve does not dip under."""
    side = ((2.2, 4.0), (1.6, 0.9), (0.0, 0.0), (-1.6, 0.9), (-2.2, 4.0))
    return [web + np.array(at) for at in side]


def draw_hand(
    rng: np.random.Generator, *, length_mm: float | None = None, forearm: bool = True, gap: float = 1.0
) -> _Hand:
    """A left hand, palm down, seen with y up: a body's own proportions, fingers spread by chance.

    Parameters
    ----------
    rng
        Where the draws come from.
    length_mm
        Hand length; drawn with the survey's mean and SD when None.
    forearm
        Whether an arm follows; otherwise the outline ends at the wrist.
    gap
        How far the fingers are spread; 0 closes them.
    """
    length = float(rng.normal(188.0, 12.0)) if length_mm is None else length_mm
    finger = length * float(rng.normal(0.430, 0.012))
    breadth = length * float(rng.normal(0.462, 0.014))
    half = breadth / 2.0
    level = length - finger
    lean = {
        "index": gap * rng.uniform(4.0, 16.0),
        "middle": rng.uniform(-2.0, 2.0),
        "ring": -gap * rng.uniform(3.0, 10.0),
        "little": -gap * rng.uniform(12.0, 26.0),
    }
    place = {
        "index": 0.36 * breadth,
        "middle": 0.12 * breadth,
        "ring": -0.13 * breadth,
        "little": -0.37 * breadth,
    }
    under = {"index": level - 4.0, "middle": level, "ring": level - 2.5, "little": level - 14.0}
    share = {"index": 0.90, "middle": 1.0, "ring": 0.93, "little": 0.72}
    wide = breadth * rng.uniform(0.205, 0.225) * (1.0 if gap > 0.0 else 1.22)
    slim = 0.74 if gap > 0.0 else 1.0
    fingers: dict[Any, tuple[FloatArray, FloatArray]] = {}
    bases: dict[Any, FloatArray] = {}
    for name in ("index", "middle", "ring", "little"):
        bases[name] = np.array([place[name], under[name]])
        own = wide * (0.86 if name == "little" else 1.0)
        fingers[name] = _finger(
            bases[name], lean[name], share[name] * finger * float(rng.normal(1.0, 0.02)), own, slim * own
        )
    middle_tip = fingers["middle"][1]
    fingers["middle"] = _finger(bases["middle"], lean["middle"], finger, wide, slim * wide)
    middle_tip = fingers["middle"][1]
    stretch = length / float(
        np.hypot(*middle_tip)
    )  # the length runs straight from the wrist's middle to the tip
    thumb_base = np.array([half * 0.98, 0.36 * length])
    thumb_lean = rng.uniform(30.0, 52.0)
    thumb = _finger(
        np.array([half * 0.72, 0.20 * length]), thumb_lean, 0.44 * length, 0.24 * breadth, 0.18 * breadth
    )
    webs: dict[tuple[Finger, Finger], FloatArray] = {
        ("thumb", "index"): thumb_base,
        ("index", "middle"): np.array([(place["index"] + place["middle"]) / 2.0, level - 1.0]),
        ("middle", "ring"): np.array([(place["middle"] + place["ring"]) / 2.0, level]),
        ("ring", "little"): np.array([(place["ring"] + place["little"]) / 2.0, level - 9.0]),
    }
    # Where the knuckles stand out differs from hand to hand by as much as it did between 20 outlines.
    radial = np.array([half, 0.49 * thumb_base[1] + 0.615 * finger + rng.normal(0.0, KNUCKLE_SD_MM)])
    ulnar = np.array([-half, webs["ring", "little"][1] - 0.29 * finger + rng.normal(0.0, KNUCKLE_SD_MM)])
    radial[0], ulnar[0] = radial[0] + rng.normal(0.5, 0.7), ulnar[0] - rng.normal(0.5, 0.7)
    wrist_half = breadth * rng.uniform(0.335, 0.37)
    wrist = (np.array([wrist_half, 0.0]), np.array([-wrist_half, 0.0]))
    # Where the hand bends into the arm is not where its crease lies: that is a matter of each hand.
    bend = float(rng.normal(0.0, CREASE_SD_MM)) if forearm else 0.0
    wrist = (wrist[0] + np.array([0.0, bend]), wrist[1] + np.array([0.0, bend]))
    arm = [np.array([-wrist_half * f, -d]) for f, d in ((0.98, 25.0), (1.02, 60.0), (1.1, 200.0)) if forearm]
    ends = (wrist[0], wrist[1]) if forearm else (wrist[0], wrist[0], wrist[1], wrist[1])
    arm_back = [np.array([-x, y]) for x, y in reversed(arm)]
    chain = [
        *ends[: len(ends) // 2],
        np.array([half * 0.93, 0.13 * length]),
        *thumb[0][::1],
        webs["thumb", "index"],
        radial,
        *fingers["index"][0],
        *_round(webs["index", "middle"]),
        *fingers["middle"][0],
        *_round(webs["middle", "ring"]),
        *fingers["ring"][0],
        *_round(webs["ring", "little"]),
        *fingers["little"][0],
        ulnar,
        np.array([-half * 0.99, 0.24 * length]),
        np.array([-half * 0.86, 0.08 * length]),
        *ends[len(ends) // 2 :],
        *arm,
        *arm_back,
    ]
    outline = stretch * _smooth(np.array(chain))
    drawn: dict[Finger, FloatArray] = {"thumb": thumb[1], **{n: f[1] for n, f in fingers.items()}}
    tips = {n: stretch * drawn[n] for n in FINGERS}
    return _Hand(
        outline=outline,
        tips=tips,
        webs={pair: _deepest(outline, stretch * webs[pair], *(tips[n] for n in pair)) for pair in webs},
        bases={n: stretch * at for n, at in bases.items()},
        knuckles=(stretch * radial, stretch * ulnar),
        wrist=(stretch * wrist[0], stretch * wrist[1]),
    )


def _deepest(outline: FloatArray, web: FloatArray, one: FloatArray, other: FloatArray) -> FloatArray:
    """The web as it is defined: the outline's point there that lies furthest from the line of both tips."""
    near = outline[np.hypot(*(outline - web).T) < WEB_NEAR_MM]
    along = other - one
    off = (near - one) @ np.array([-along[1], along[0]])
    return np.asarray(near[np.argmax(np.abs(off))])


def _truth_fingers(hand: _Hand) -> dict[Finger, float]:
    """Web to tip of the four fingers as sizes are defined: by the middle of the webs where a finger has two.

    Where it has one, level with it along the line from the tip to midway between that web and the knuckle.
    """
    found: dict[Finger, float] = {}
    both: tuple[Finger, ...] = ("middle", "ring")
    for name in both:
        own = [at for pair, at in hand.webs.items() if name in pair]
        found[name] = float(np.hypot(*(hand.tips[name] - (own[0] + own[1]) / 2.0)))
    ends: tuple[tuple[Finger, tuple[Finger, Finger], FloatArray], ...] = (
        ("index", ("index", "middle"), hand.knuckles[0]),
        ("little", ("ring", "little"), hand.knuckles[1]),
    )
    for name, pair, knuckle in ends:
        axis = hand.tips[name] - (hand.webs[pair] + knuckle) / 2.0
        axis = axis / np.hypot(*axis)
        found[name] = float((hand.tips[name] - hand.webs[pair]) @ axis)
    return found


def render_hand(
    rng: np.random.Generator,
    *,
    fault: Fault = "none",
    tilt_deg: float | None = None,
    camera_mm: float | None = None,
    forearm: bool | None = None,
) -> RenderedHand:
    """A photo of a hand beside a card.

    Parameters
    ----------
    rng
        Where every draw comes from: hand, skin, ground, light, rings, sleeve, camera.
    fault
        What is wrong with the picture, for tests of what must be refused.
    tilt_deg
        How far the camera looks from the side; drawn up to 12 deg when None.
    camera_mm
        Its distance; drawn from 600 to 1000 mm when None.
    forearm
        Whether an arm runs out of the picture; drawn when None.
    """
    with_arm = bool(rng.random() < 0.8) if forearm is None else forearm
    hand = draw_hand(rng, forearm=with_arm, gap=0.0 if fault == "closed fingers" else 1.0)
    side: Side = "left" if rng.random() < 0.5 else "right"
    # Drawn as seen from above with y up, a left hand's thumb is on the right; pictures have y down.
    flip = np.array([1.0 if side == "left" else -1.0, -1.0])
    turn = math.radians(rng.uniform(-12.0, 12.0))
    rotation = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    low = TABLE_MM[1] - (62.0 if with_arm else 40.0)
    place = np.array([130.0 if side == "left" else 205.0, low])
    if fault == "cut off":
        place = place - np.array([0.0, low - 120.0])

    distance = float(rng.uniform(600.0, 1000.0)) if camera_mm is None else camera_mm
    height = max(0.0, float(rng.normal(*HEIGHT_MM)))
    under = np.array(TABLE_MM) / 2.0  # the point of the table straight under the camera

    def on_table(points: FloatArray) -> FloatArray:
        there = (points * flip) @ rotation.T + place
        return np.asarray(under + (there - under) * distance / (distance - height))

    canvas = _canvas(rng, on_table, hand, fault, side)
    tilt = float(rng.uniform(0.0, 12.0)) if tilt_deg is None else tilt_deg
    rgb = _photographed(
        rng, canvas, distance, tilt, blur=7.0 if fault == "blurred" else rng.uniform(0.5, 1.1)
    )
    return RenderedHand(
        rgb=rgb,
        side=side,
        hand_length_mm=float(np.hypot(*hand.tips["middle"])),
        hand_breadth_mm=float(np.hypot(*(hand.knuckles[0] - hand.knuckles[1]))),
        fingers_mm=_truth_fingers(hand),
        camera_mm=distance,
        height_mm=height,
        fault=fault,
    )


def _canvas(
    rng: np.random.Generator, on_table: Any, hand: _Hand, fault: Fault, side: Side
) -> NDArray[np.uint8]:
    """The table from straight above, in `CANVAS_PX_PER_MM`."""
    import cv2

    size = (int(TABLE_MM[1] * CANVAS_PX_PER_MM), int(TABLE_MM[0] * CANVAS_PX_PER_MM))
    skin = np.array(SKINS[int(rng.integers(len(SKINS)))], float)
    grounds = [g for g in GROUNDS if np.linalg.norm(np.array(g) - skin) > 90.0]
    ground = np.array(grounds[int(rng.integers(len(grounds)))], float)
    cards = [c for c in CARDS if np.linalg.norm(np.array(c) - ground) > 90.0]
    picture: NDArray[Any] = np.empty((*size, 3), np.float32)
    picture[:] = ground
    y, x = np.mgrid[0 : size[0], 0 : size[1]].astype(np.float32)
    picture *= (
        1.0 + rng.uniform(-0.12, 0.12) * (x / size[1] - 0.5) + rng.uniform(-0.12, 0.12) * (y / size[0] - 0.5)
    )[..., None]
    mask = _filled(on_table(hand.outline), size)
    if fault == "two hands":
        other = _filled(on_table(hand.outline) * np.array([1.0, 0.62]) + np.array([92.0, 20.0]), size)
        mask = np.maximum(mask, other)
    away = np.array([[1.0, 0.0, rng.uniform(-14.0, 14.0)], [0.0, 1.0, rng.uniform(2.0, 14.0)]])
    shadow = cv2.GaussianBlur(cv2.warpAffine(mask, away, (size[1], size[0])), (0, 0), 9.0)
    picture *= 1.0 - rng.uniform(0.08, 0.3) * shadow[..., None]
    grain: NDArray[Any] = cv2.GaussianBlur(rng.normal(0.0, 1.0, size).astype(np.float32), (0, 0), 6.0)
    grain = grain / max(float(grain.std()), 1e-6) * 0.03 + rng.normal(0.0, 0.012, size).astype(np.float32)
    tone = skin[None, None] * (1.0 + grain)[..., None]
    edge = cv2.distanceTransform((mask > 0.5).astype(np.uint8), cv2.DIST_L2, 5) / CANVAS_PX_PER_MM
    tone = tone * (0.86 + 0.14 * np.clip(edge / 6.0, 0.0, 1.0))[..., None]  # a finger darkens at its side
    picture = picture * (1.0 - mask[..., None]) + tone.astype(np.float32) * mask[..., None]
    _ring(rng, picture, mask, on_table, hand)
    _sleeve(rng, picture, mask, on_table)
    if fault != "no scale":
        card = np.array([[-0.5, -0.5], [0.5, -0.5], [0.5, 0.5], [-0.5, 0.5]]) * np.array(CARD_MM)
        card = card * (1.0 + rng.normal(0.0, CARD_RELATIVE_SD))
        angle = math.radians(rng.uniform(-25.0, 25.0))
        about = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
        beside = TABLE_MM[1] - 48.0 if fault in ("two hands", "cut off") else 58.0
        at = np.array([TABLE_MM[0] - 62.0 if side == "left" else 62.0, beside])
        laid = _filled(card @ about.T + at, size)
        picture = (
            picture * (1.0 - laid[..., None])
            + np.array(cards[int(rng.integers(len(cards)))], np.float32) * laid[..., None]
        )
    return np.asarray(np.clip(picture, 0.0, 255.0), np.uint8)


def _filled(outline: FloatArray, size: tuple[int, int]) -> NDArray[np.float32]:
    """A polygon in mm as a mask with soft edges."""
    import cv2

    mask = np.zeros(size, np.uint8)
    cv2.fillPoly(mask, [np.rint(outline * CANVAS_PX_PER_MM * 256.0).astype(np.int32)], 255, cv2.LINE_AA, 8)
    return mask.astype(np.float32) / 255.0


def _ring(
    rng: np.random.Generator,
    picture: NDArray[np.float32],
    mask: NDArray[np.float32],
    on_table: Any,
    hand: _Hand,
) -> None:
    """A metal ring on one finger, in half of the pictures; nail varnish in a quarter."""
    import cv2

    if rng.random() < 0.5:
        name: Finger = ("index", "middle", "ring")[int(rng.integers(3))]
        base, tip = hand.bases[name], hand.tips[name]
        along = (tip - base) / np.hypot(*(tip - base))
        across = np.array([along[1], -along[0]]) * 9.0
        middle = base + 0.22 * (tip - base)
        band = on_table(
            np.array(
                [
                    middle + across - along * 2,
                    middle - across - along * 2,
                    middle - across + along * 2,
                    middle + across + along * 2,
                ]
            )
        )
        gold = np.zeros(mask.shape, np.uint8)
        cv2.fillPoly(gold, [np.rint(band * CANVAS_PX_PER_MM).astype(np.int32)], 1)
        picture[(gold > 0) & (mask > 0.5)] = (196.0, 164.0, 84.0)
    if rng.random() < 0.25:
        colour = tuple(float(v) for v in rng.uniform(30.0, 220.0, 3))
        for name in FINGERS[1:]:
            base, tip = hand.bases[name], hand.tips[name]
            at = on_table((tip - 0.07 * (tip - base))[None])[0] * CANVAS_PX_PER_MM
            cv2.circle(picture, (round(at[0]), round(at[1])), int(4.5 * CANVAS_PX_PER_MM / 1.0), colour, -1)
            picture[mask < 0.5] = picture[mask < 0.5]


def _sleeve(
    rng: np.random.Generator, picture: NDArray[np.float32], mask: NDArray[np.float32], on_table: Any
) -> None:
    """Cloth over the forearm, from 35 mm below the wrist, in a third of the pictures."""
    import cv2

    if rng.random() < 0.33:
        cloth = np.zeros(mask.shape, np.uint8)
        corners = on_table(np.array([[60.0, -38.0], [-60.0, -38.0], [-70.0, -220.0], [70.0, -220.0]]))
        cv2.fillPoly(cloth, [np.rint(corners * CANVAS_PX_PER_MM).astype(np.int32)], 1)
        wide = cv2.dilate((mask > 0.5).astype(np.uint8), np.ones((13, 13), np.uint8))
        picture[(cloth > 0) & (wide > 0)] = rng.uniform(20.0, 90.0, 3)


def _photographed(
    rng: np.random.Generator, canvas: NDArray[np.uint8], distance: float, tilt_deg: float, *, blur: float
) -> NDArray[np.uint8]:
    """The table through a phone's camera, tilted about an axis of its own, noisy and soft."""
    import cv2

    wide, tall = 2000, 1800
    focal = wide * 0.95 * distance / (TABLE_MM[0] * 1.02)
    about = rng.uniform(0.0, 2.0 * math.pi)
    axis = np.array([math.cos(about), math.sin(about), 0.0]) * math.radians(tilt_deg)
    rotation, _ = cv2.Rodrigues(axis)
    to_table = np.array([[1.0, 0.0, -TABLE_MM[0] / 2.0], [0.0, 1.0, -TABLE_MM[1] / 2.0], [0.0, 0.0, 0.0]])
    lens = np.array([[focal, 0.0, wide / 2.0], [0.0, focal, tall / 2.0], [0.0, 0.0, 1.0]])
    plane = rotation @ to_table
    plane[2, 2] += distance
    shrink = np.diag([1.0 / CANVAS_PX_PER_MM, 1.0 / CANVAS_PX_PER_MM, 1.0])
    seen: NDArray[Any] = cv2.warpPerspective(
        canvas, lens @ plane @ shrink, (wide, tall), flags=cv2.INTER_AREA, borderMode=cv2.BORDER_REPLICATE
    )
    seen = np.asarray(cv2.GaussianBlur(seen, (0, 0), blur), np.float32)
    seen = seen + rng.normal(0.0, rng.uniform(1.0, 4.0), seen.shape).astype(np.float32)
    return np.asarray(np.clip(seen * rng.uniform(0.85, 1.1), 0.0, 255.0), np.uint8)
