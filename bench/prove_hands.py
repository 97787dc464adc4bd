"""Known truth: sizes of rendered hands, how often their intervals hold, what must be refused."""

import math
from collections import Counter
from typing import Any

import numpy as np
from PIL import Image

from bench.rows import row
from evenground.capture.hand_photo import find_hand
from evenground.capture.photo import Photo
from evenground.errors import EvengroundError
from evenground.measure.hand_outline import find_landmarks
from evenground.measure.hand_sizes import HandSizes, hand_sizes
from evenground.simulate.hands import Fault, RenderedHand, render_hand

FAULTS: tuple[Fault, ...] = ("no scale", "closed fingers", "two hands", "cut off", "blurred")
FIGURES = ("length", "breadth", "index", "middle", "ring", "little")
LIMIT_MM = {"length": 3.0, **dict.fromkeys(FIGURES[1:], 1.5)}
DEAR = 4  # a rendered hand costs about two seconds: one for every four of the count


def measured(hand: RenderedHand) -> HandSizes:
    """Sizes as the command line takes them, the camera's distance known."""
    small = Image.fromarray(hand.rgb)
    small.thumbnail((1600, 1600), Image.Resampling.LANCZOS)
    photo = Photo(name="rendered", rgb=np.asarray(small), reduced=1.0, focal_px=None)
    found = find_hand(photo, "card", camera_mm=hand.camera_mm)
    return hand_sizes(find_landmarks(found.shape), found.measuring)


def prove(count: int, seed: int) -> list[dict[str, Any]]:
    """Rows for a quarter of `count` rendered hands (500 of 2,000), and for a tenth of that of each fault."""
    hands = max(count // DEAR, 1)
    rng = np.random.default_rng(seed)
    off: dict[str, list[float]] = {name: [] for name in FIGURES}
    held: Counter[str] = Counter()
    sides = refused = 0
    for _ in range(hands):
        truth = render_hand(rng)
        try:
            sizes = measured(truth)
        except EvengroundError:
            refused += 1
            continue
        sides += sizes.side == truth.side
        for name, estimate, true in _pairs(sizes, truth):
            off[name].append(abs(estimate.value - true))
            held[name] += estimate.interval().holds(true)
    done = hands - refused
    rows = [
        row(
            "hands: measured of those rendered fit to be",
            f"{done} of {hands}",
            "at least 95 %",
            done >= 0.95 * hands,
        )
    ]
    rows.append(row("hands: side named rightly", f"{sides} of {done}", "all", sides == done))
    room = 4.0 * math.sqrt(0.05 * 0.95 / max(done, 1)) if hands < 500 else 0.0
    for name in FIGURES:
        median, share = float(np.median(off[name])), held[name] / done
        low, high = 0.93 - room, min(1.0, 0.97 + room)
        rows.append(
            row(
                f"hands: median error of {name}, mm",
                f"{median:.2f}",
                f"{LIMIT_MM[name]}",
                median <= LIMIT_MM[name],
            )
        )
        rows.append(
            row(
                f"hands: 95 % interval of {name} holds the truth",
                f"{share:.3f}",
                f"{low:.3f} to {high:.3f}",
                low <= share <= high,
            )
        )
    return rows + _faults(max(hands // 10, 1), rng)


def _pairs(sizes: HandSizes, truth: RenderedHand) -> list[tuple[str, Any, float]]:
    fingers: list[tuple[str, Any, float]] = [
        (name, sizes.fingers_mm[name], truth.fingers_mm[name])
        for name in ("index", "middle", "ring", "little")
    ]
    return [
        ("length", sizes.hand_length_mm, truth.hand_length_mm),
        ("breadth", sizes.hand_breadth_mm, truth.hand_breadth_mm),
        *fingers,
    ]


def _faults(each: int, rng: np.random.Generator) -> list[dict[str, Any]]:
    rows = []
    for fault in FAULTS:
        measured_all_the_same = 0
        for _ in range(each):
            try:
                measured(render_hand(rng, fault=fault))
            except EvengroundError:
                continue
            measured_all_the_same += 1
        claim = f"hands: pictures with {fault} that are measured all the same"
        rows.append(row(claim, f"{measured_all_the_same} of {each}", "0", measured_all_the_same == 0))
    return rows
