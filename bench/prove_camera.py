"""Known truth: angles of tagged bars in rendered photos, with the lens calibrated and not."""

import math
from collections import Counter
from typing import Any

import numpy as np

from evenground.capture.photo import Photo
from evenground.capture.sheets import sheets
from evenground.capture.tags import find_tags
from evenground.measure.tagged import CameraGuess, Seen, TaggedLine, floor_from_strip, line_between
from evenground.simulate.tags import FOCAL_PX, TagScene, render_scene

MEDIAN_DEG, TILT_COST_DEG = 0.1, 0.15


def measured(scene: TagScene, *, calibrated: bool) -> TaggedLine | None:
    """The bar's line as the command takes it; None when a tag of it was not found."""
    plan = sheets()
    found = find_tags(Photo(name="rendered", rgb=scene.rgb, reduced=1.0, focal_px=None)).corners_px
    first, last, size = plan.ends["bar"]
    if first not in found or last not in found:
        return None
    camera = CameraGuess(
        focal_px=FOCAL_PX, middle_px=scene.middle_px, lens=scene.lens if calibrated else None
    )
    strip = {i: c for i, c in found.items() if i in plan.strip_mm}
    floor = floor_from_strip(strip, plan.strip_mm, camera)
    ends = (Seen(corners_px=found[tag], size_mm=size) for tag in (first, last))
    return line_between(floor, *ends)


def prove(count: int, seed: int) -> list[dict[str, Any]]:
    """Rows for `count` rendered scenes, each measured with and without its calibration."""
    rng = np.random.default_rng(seed)
    off: dict[bool, list[float]] = {True: [], False: []}
    wide: dict[bool, list[float]] = {True: [], False: []}
    held: Counter[bool] = Counter()
    lost = 0
    for _ in range(count):
        scene = render_scene(rng)
        for calibrated in (True, False):
            line = measured(scene, calibrated=calibrated)
            if line is None:
                lost += calibrated
                continue
            angle = line.anticlockwise_deg
            off[calibrated].append(abs(angle.value - scene.anticlockwise_deg))
            wide[calibrated].append(angle.half_width())
            held[calibrated] += angle.interval().holds(scene.anticlockwise_deg)
    room = 4.0 * math.sqrt(0.05 * 0.95 / count) if count < 2000 else 0.0
    rows = [
        _row(
            "tags: scenes in which a bar's tag was not found",
            f"{lost} of {count}",
            "2 % and two",
            lost <= 0.02 * count + 2,
        )
    ]
    for calibrated, how in ((True, "calibrated"), (False, "not calibrated")):
        median, share = float(np.median(off[calibrated])), held[calibrated] / len(off[calibrated])
        low, high = 0.93 - room, min(1.0, 0.97 + room)
        limit = f"{low:.3f} to {high:.3f}"
        rows.append(
            _row(
                f"tags, {how}: 95 % interval of the angle holds it",
                f"{share:.3f}",
                limit,
                low <= share <= high,
            )
        )
        if calibrated:
            held_median = median <= MEDIAN_DEG
            rows.append(
                _row("tags, calibrated: median error, deg", f"{median:.3f}", f"{MEDIAN_DEG}", held_median)
            )
    least = 1.5 if count >= 100 else 1.2  # a handful of scenes may hold mostly ones near the picture's middle
    grown = float(np.median(wide[False]) / np.median(wide[True]))
    rows.append(
        _row(
            "tags: stated error without a calibration, times that with",
            f"{grown:.1f}",
            f"over {least}",
            grown > least,
        )
    )
    return rows + _costs(max(count // 10, 3), rng)


def _costs(each: int, rng: np.random.Generator) -> list[dict[str, Any]]:
    """What 20 deg of tilt and ends 20 mm apart add to the median error."""
    medians = {}
    for name, tilt, apart in (("straight", 0.0, 0.0), ("tilted", 20.0, 0.0), ("uneven", 0.0, 20.0)):
        off = []
        for _ in range(each):
            scene = render_scene(rng, tilt_deg=tilt, ends_apart_mm=apart)
            line = measured(scene, calibrated=True)
            if line is not None:
                off.append(abs(line.anticlockwise_deg.value - scene.anticlockwise_deg))
        medians[name] = float(np.median(off))
    tilt_cost, uneven_cost = medians["tilted"] - medians["straight"], medians["uneven"] - medians["straight"]
    noise = 1.0 / math.sqrt(each) * 0.1
    return [
        _row(
            "tags: 20 deg of tilt cost, deg",
            f"{tilt_cost:.3f}",
            f"{TILT_COST_DEG}",
            tilt_cost <= TILT_COST_DEG,
        ),
        _row("tags: ends 20 mm apart cost, deg", f"{uneven_cost:.3f}", f"{noise:.3f}", uneven_cost <= noise),
    ]


def _row(claim: str, seen: str, limit: str, held: bool) -> dict[str, Any]:  # noqa: FBT001
    return {"claim": claim, "seen": seen, "limit": limit, "held": held}
