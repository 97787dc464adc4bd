"""Photos with points for pages to show, kept as the app would keep them but without a decoding process."""

import io
from uuid import UUID, uuid4

import numpy as np
from PIL import Image, ImageDraw

from evenground.records.blobs import put_blob
from evenground.records.models import Visit
from evenground.report.posed_drawing import chains
from evenground.simulate.figure import pose_figure
from evenground.studio.pages.saving import Sender, save_with_files
from tests.measure.test_posture_view import view_of

__all__ = ["SIZE", "hand_photo", "side_photo"]

SIZE = (1500, 2000)
SKIN = (176, 136, 112)


def side_photo(visit_id: UUID, *, placed: bool = True) -> tuple[str, dict[str, tuple[float, float]]]:
    """Keep a photo of a posed figure; gives its name, and where its points are in truth."""
    row = Visit.objects.get(pk=visit_id)
    figure = view_of(pose_figure(np.random.default_rng(8), landmark_sd_mm=1.0))
    spots = np.array(list(figure.placed.values()))
    low, high = spots.min(axis=0), spots.max(axis=0)
    scale = float((0.86 * np.array(SIZE) / (high - low)).min())
    places = (spots - (low + high) / 2.0) * scale + np.array(SIZE) / 2.0
    at = {n: (round(x, 1), round(y, 1)) for n, (x, y) in zip(figure.placed, places.tolist(), strict=True)}
    view, sender = uuid4().hex[:12], Sender(person=None)
    photo = {"photo": f"photos/left-side-{view}.jpg"}
    payload = {"view": view, "family": "irons", "side": "left", "length_mm": 1000.0, **photo}
    digest = put_blob(_drawn(at), "image/jpeg").sha256
    save_with_files(row, uuid4(), ("side view", payload), {photo["photo"]: digest}, sender)
    for name, (x, y) in at.items() if placed else ():
        point = {"view": view, "point": name, "x_px": x, "y_px": y}
        save_with_files(row, uuid4(), ("side point", point), {}, sender)
    return view, at


def _drawn(at: dict[str, tuple[float, float]]) -> bytes:
    """Somebody at address in front of a hedge, as far as a pen can draw it."""
    seen = Image.new("RGB", SIZE, (122, 138, 112))
    pen = ImageDraw.Draw(seen)
    pen.rectangle((0, at["heel"][1], *SIZE), fill=(96, 124, 78))
    for chain in chains(at):
        pen.line(chain, fill=(62, 70, 96), width=84, joint="curve")
    x, y = ((a + b) / 2.0 for a, b in zip(at["vertex"], at["cervicale"], strict=True))
    pen.ellipse((x - 90, y - 100, x + 90, y + 100), fill=(196, 158, 132))
    for one, other, colour in (
        ("plumb_top", "plumb_bottom", (240, 240, 236)),
        ("length_start", "length_end", 0),
    ):
        pen.line((at[one], at[other]), fill=colour, width=8)
    stream = io.BytesIO()
    seen.save(stream, "JPEG", quality=80)
    return stream.getvalue()


# A drawn left hand, back up, 0.15 mm a pixel, where its points would be found.
HAND = {
    "thumb tip": (1050.0, 900.0),
    "index tip": (860.0, 330.0),
    "middle tip": (640.0, 230.0),
    "ring tip": (430.0, 310.0),
    "little tip": (240.0, 560.0),
    "thumb-index web": (860.0, 1010.0),
    "index-middle web": (730.0, 760.0),
    "middle-ring web": (540.0, 750.0),
    "ring-little web": (390.0, 810.0),
    "knuckles, index side": (880.0, 900.0),
    "knuckles, little side": (310.0, 960.0),
    "wrist, thumb side": (790.0, 1500.0),
    "wrist, little side": (410.0, 1500.0),
}


def hand_photo(visit_id: UUID) -> str:
    """Keep a drawn hand as if it had been found; gives the photo's name."""
    row, view = Visit.objects.get(pk=visit_id), uuid4().hex[:12]
    seen = Image.new("RGB", (1200, 1600), (226, 222, 212))
    pen = ImageDraw.Draw(seen)
    pen.polygon(
        [HAND[n] for n in ("wrist, thumb side", "wrist, little side", "knuckles, little side")]
        + [(880, 900)],
        fill=SKIN,
    )
    for finger, below in (
        ("thumb", (800, 1250)),
        ("index", (800, 950)),
        ("middle", (640, 950)),
        ("ring", (480, 960)),
        ("little", (350, 1000)),
    ):
        pen.line((HAND[f"{finger} tip"], below), fill=SKIN, width=130)
    stream = io.BytesIO()
    seen.save(stream, "JPEG", quality=80)
    photo = f"photos/left-hand-{view}.jpg"
    payload = {
        "view": view,
        "side": "left",
        "palm_up": False,
        "scale": "card",
        "photo": photo,
        "found": HAND,
        "picture_to_mm": (0.15, 0.0, 0.0, 0.0, 0.15, 0.0, 0.0, 0.0, 1.0),
        "point_sd_mm": 0.08,
        "scale_relative_sd": 0.003,
        "palm_mm": 42.0,
        "palm_middle": (90.0, 160.0),
        "seen_as": "left",
        "wrist_found": "forearm",
    }
    digest = put_blob(stream.getvalue(), "image/jpeg").sha256
    save_with_files(row, uuid4(), ("hand photo", payload), {photo: digest}, Sender(person=None))
    return view
