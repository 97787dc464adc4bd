"""Known truth: angles of tagged bars in rendered photos, lens calibrated and not; unfit photos refused.

Every scene has a generator of its own, so the counts may be run in pieces: `scene_of` for some scenes, `rows`
over all of them.
"""

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bench.rows import row
from evenground.capture.bar_photo import Known, read_bar_photo, refuse_without
from evenground.capture.camera_file import Calibration
from evenground.capture.photo import Photo
from evenground.capture.sheets import sheets
from evenground.capture.tags import find_tags
from evenground.errors import CaptureError
from evenground.measure.tagged import CameraGuess, Seen, TaggedLine, floor_from_strip, line_between
from evenground.simulate.tags import FOCAL_PX, TagScene, render_scene

MEDIAN_DEG, TILT_COST_DEG, UNEVEN_COST_DEG = 0.1, 0.15, 0.01
MOST_AGAIN = 2.0
CALIBRATED = (True, False)
Row = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen1:
    """One measured scene: how far off the angle was, its standard error, and the part that comes anew."""

    off_deg: float
    se_deg: float
    again_deg: float


def corners_in(scene: TagScene) -> Mapping[int, NDArray[np.float64]]:
    """Corners of every tag found in a scene."""
    return find_tags(Photo(name="rendered", rgb=scene.rgb, reduced=1.0, focal_px=None)).corners_px


def measured(
    scene: TagScene, *, calibrated: bool, corners: Mapping[int, NDArray[np.float64]] | None = None
) -> TaggedLine | None:
    """The bar's line as the command takes it; None when a tag of it was not found."""
    plan = sheets()
    found = corners_in(scene) if corners is None else corners
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


def _seen(
    scene: TagScene, *, calibrated: bool, corners: Mapping[int, NDArray[np.float64]] | None = None
) -> Seen1 | None:
    line = measured(scene, calibrated=calibrated, corners=corners)
    if line is None:
        return None
    angle = line.anticlockwise_deg
    return Seen1(off_deg=angle.value - scene.anticlockwise_deg, se_deg=angle.se, again_deg=line.again_deg)


def scene_of(seed: int, k: int) -> tuple[Seen1 | None, Seen1 | None]:
    """One scene, measured with its calibration and without."""
    scene = render_scene(np.random.default_rng([seed, 0, k]))
    found = corners_in(scene)
    with_lens, without = (_seen(scene, calibrated=c, corners=found) for c in CALIBRATED)
    return with_lens, without


def costs_of(seed: int, k: int) -> tuple[Seen1 | None, ...]:
    """One scene from straight above, tilted by 20 deg, and with ends 20 mm apart; nothing else differs."""
    ways = ((0.0, 0.0), (20.0, 0.0), (0.0, 20.0))
    return tuple(
        _seen(
            render_scene(np.random.default_rng([seed, 1, k]), tilt_deg=tilt, ends_apart_mm=apart),
            calibrated=True,
        )
        for tilt, apart in ways
    )


def twice_of(seed: int, k: int) -> tuple[Seen1 | None, Seen1 | None]:
    """Two photos of one bar over one strip, from two places."""
    first, second = (
        _seen(
            render_scene(
                np.random.default_rng([seed, 2, k]), held=np.random.default_rng([seed, 3, k, place])
            ),
            calibrated=True,
        )
        for place in (0, 1)
    )
    return first, second


Fault = Callable[[np.random.Generator], tuple[TagScene, NDArray[np.uint8], Known]]


def _plain(rng: np.random.Generator, **how: Any) -> tuple[TagScene, NDArray[np.uint8], Known]:
    scene = render_scene(rng, **how)
    return scene, scene.rgb, Known()


def _mirrored(rng: np.random.Generator) -> tuple[TagScene, NDArray[np.uint8], Known]:
    scene = render_scene(rng)
    return scene, np.ascontiguousarray(scene.rgb[:, ::-1]), Known()


def _glare(rng: np.random.Generator) -> tuple[TagScene, NDArray[np.uint8], Known]:
    import cv2

    scene = render_scene(rng)
    rgb = scene.rgb.copy()
    x, y = scene.corners_px[int(rng.integers(2))].mean(axis=0)
    cv2.circle(rgb, (round(x), round(y)), 75, (255, 255, 255), -1)
    return scene, np.asarray(rgb, np.uint8), Known()


def _scaled(rng: np.random.Generator) -> tuple[TagScene, NDArray[np.uint8], Known]:
    """All printed at 95 %: the photo alone cannot tell, the bar's length by the tape does."""
    scene = render_scene(rng)
    return scene, scene.rgb, Known(bar_mm=scene.length_mm / 0.95)


FAULTS: dict[str, tuple[Fault, str]] = {
    "an end of the bar hidden": (
        lambda rng: _plain(rng, hidden=(int(rng.integers(2)),)),
        "not in the picture",
    ),
    "the strip hidden": (lambda rng: _plain(rng, hidden=tuple(range(20, 32))), "floor strip is not"),
    "mirrored": (_mirrored, "mirrored"),
    "dark": (lambda rng: _plain(rng, light=0.06), "too dark"),
    "blurred": (lambda rng: _plain(rng, blur_px=16.0), "blurred"),
    "glare on a tag of the bar": (_glare, "glare"),
    "printed at 95 %, the bar's length known": (_scaled, "one true scale"),
    "foot tags printed at 94 % of the strip": (
        lambda rng: _plain(rng, name="left-foot", tag_scale=0.94),
        "one true scale",
    ),
}


def refused(fault: str, seed: int, k: int) -> bool:
    """Whether an unfit photo is refused with the sentence that names what is wrong."""
    make, says = FAULTS[fault]
    scene, rgb, known = make(np.random.default_rng([seed, 4, k]))
    height, width = rgb.shape[:2]
    lens = Calibration(
        width_px=width,
        height_px=height,
        focal_px=scene.lens.focal_px,
        middle_px=scene.lens.middle_px,
        bends=scene.lens.bends,
        views=12,
        rms_px=0.2,
    )
    photo = Photo(name="rendered", rgb=rgb, reduced=1.0, focal_px=None)
    try:
        read = read_bar_photo(photo, handed="right", calibration=lens, known=known)
        refuse_without(read, "hip line" if "foot" not in fault else "left toe-out")
    except CaptureError as exc:
        return says in exc.what
    return False


def prove(count: int, seed: int) -> list[Row]:
    """Rows for `count` rendered scenes, and a tenth or less of it for what costs more."""
    few, unfit = max(count // 10, 3), max(count // 40, 1)
    return rows(
        [scene_of(seed, k) for k in range(count)],
        [costs_of(seed, k) for k in range(few)],
        [twice_of(seed, k) for k in range(few)],
        {fault: [refused(fault, seed, k) for k in range(unfit)] for fault in FAULTS},
    )


def rows(
    scenes: Sequence[tuple[Seen1 | None, ...]],
    costs: Sequence[tuple[Seen1 | None, ...]],
    twice: Sequence[tuple[Seen1 | None, ...]],
    unfit: dict[str, list[bool]],
) -> list[Row]:
    """What all scenes together say."""
    count = len(scenes)
    lost = sum(with_lens is None for with_lens, _ in scenes)
    found = [
        _told(
            "scenes in which a bar's tag was not found",
            f"{lost} of {count}",
            "2 % and two",
            lost <= 0.02 * count + 2,
        )
    ]
    width = {}
    for which, how in enumerate(("calibrated", "not calibrated")):
        seen = [pair[which] for pair in scenes]
        kept = [s for s in seen if s is not None]
        found.append(
            _cover(f"{how}: 95 % interval of the angle holds it", [s.off_deg / s.se_deg for s in kept])
        )
        median = float(np.median([abs(s.off_deg) for s in kept]))
        if which == 0:
            found.append(
                _told(f"{how}: median error, deg", f"{median:.3f}", f"{MEDIAN_DEG}", median <= MEDIAN_DEG)
            )
        width[how] = float(np.median([s.se_deg for s in kept]))
    least = 1.5 if count >= 100 else 1.2  # a handful of scenes may hold mostly ones near the picture's middle
    grown = width["not calibrated"] / width["calibrated"]
    found.append(
        _told(
            "stated error without a calibration, times that with",
            f"{grown:.1f}",
            f"over {least}",
            grown > least,
        )
    )
    return [*found, *_costs(costs), _twice(twice), *(_unfit(fault, said) for fault, said in unfit.items())]


def _cover(claim: str, scores: Sequence[float]) -> Row:
    """How often a 95 % interval holds the truth; the band is a binomial's four SD wider under 2,000."""
    n = len(scores)
    room = 4.0 * math.sqrt(0.05 * 0.95 / n) if n < 1900 else 0.0
    low, high = 0.93 - room, min(1.0, 0.97 + room)
    share = float(np.mean([abs(s) <= 1.96 for s in scores]))
    return _told(claim, f"{share:.3f}", f"{low:.3f} to {high:.3f}", low <= share <= high)


def _costs(costs: Sequence[tuple[Seen1 | None, ...]]) -> list[Row]:
    """What 20 deg of tilt and ends 20 mm apart add to the median error of the same scenes."""
    whole = [[s for s in each if s is not None] for each in costs]
    offs = np.array([[abs(s.off_deg) for s in each] for each in whole if len(each) == 3])
    straight, tilted, uneven = np.median(offs, axis=0)
    room = 0.1 / math.sqrt(len(offs))  # pairs differ by half a tenth of a degree
    return [
        _told(
            "20 deg of tilt cost, deg",
            f"{tilted - straight:.3f}",
            f"{TILT_COST_DEG}",
            tilted - straight <= TILT_COST_DEG,
        ),
        _told(
            "ends 20 mm apart cost, deg",
            f"{uneven - straight:.3f}",
            f"{UNEVEN_COST_DEG + room:.3f}",
            uneven - straight <= UNEVEN_COST_DEG + room,
        ),
    ]


def _twice(twice: Iterable[tuple[Seen1 | None, ...]]) -> Row:
    """How much two photos of one bar differ, over what the noise at their corners says.

    More than 1: seen from another place the strip's own print errors show a little differently too.
    """
    scores = [
        (one.off_deg - other.off_deg) / math.hypot(one.again_deg, other.again_deg)
        for one, other in twice
        if one is not None and other is not None
    ]
    times = float(np.sqrt(np.mean(np.square(scores))))
    most = MOST_AGAIN + 4.0 * MOST_AGAIN / math.sqrt(2.0 * len(scores))
    return _told(
        "two photos of one bar from two places differ, over the noise at their corners",
        f"{times:.1f}",
        f"{most:.1f}",
        times <= most,
    )


def _unfit(fault: str, said: Sequence[bool]) -> Row:
    right = sum(said)
    return _told(f"refused with its reason: {fault}", f"{right} of {len(said)}", "all", right == len(said))


def _told(claim: str, seen: str, limit: str, held: object) -> Row:
    return row(f"tags, {claim}", seen, limit, held)
