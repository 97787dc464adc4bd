"""Speed promise: a 12-megapixel photo of a hand, file to sizes, within a second; beside decoding it alone."""

import io
import statistics
import time
from typing import Any

import numpy as np
from PIL import Image

from evenground.capture.hand_photo import find_hand
from evenground.capture.photo import read_photo
from evenground.measure.hand_outline import find_landmarks
from evenground.measure.hand_sizes import hand_sizes
from evenground.simulate.hands import render_hand

LIMIT_S = 1.0
ROUNDS = 5


def run() -> dict[str, Any]:
    """A rendered hand enlarged to 4000 x 3000 and written as a phone's JPEG."""
    truth = render_hand(np.random.default_rng(3))
    stream = io.BytesIO()
    Image.fromarray(truth.rgb).resize((4000, 3600)).crop((0, 0, 4000, 3600)).save(stream, "JPEG", quality=92)
    raw = stream.getvalue()
    ours, plain = [], []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        found = find_hand(read_photo(raw, most_side=1600), "card", camera_mm=truth.camera_mm)
        sizes = hand_sizes(find_landmarks(found.shape), found.measuring)
        ours.append(time.perf_counter() - start)
        start = time.perf_counter()
        with Image.open(io.BytesIO(raw)) as opened:
            np.asarray(opened.convert("RGB"))
        plain.append(time.perf_counter() - start)
    assert sizes.side == truth.side
    assert abs(sizes.hand_breadth_mm.value - truth.hand_breadth_mm) < 3.0
    mine = statistics.median(ours)
    return {
        "spread_s": [min(ours), max(ours)],
        "promises": [
            {
                "promise": "a 14-megapixel hand photo, file to sizes",
                "ours": f"{mine:.2f} s",
                "beside": f"{statistics.median(plain):.2f} s for decoding the whole photo",
                "limit": f"{LIMIT_S:.0f} s",
                "held": mine <= LIMIT_S,
            }
        ],
    }
