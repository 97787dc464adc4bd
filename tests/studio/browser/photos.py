"""Photos with points for pages to show, kept as the app would keep them but without a decoding process."""

import io
from uuid import UUID, uuid4

import numpy as np
from PIL import Image, ImageDraw

from evenground.records.blobs import put_blob
from evenground.records.models import Visit
from evenground.report.posed_drawing import chains
from evenground.simulate.figure import pose_figure
from evenground.simulate.hands import render_hand
from evenground.studio.pages.hand_photos import keep_hand_photo
from evenground.studio.pages.saving import Sender, save_with_files
from tests.measure.test_posture_view import view_of

__all__ = ["SIZE", "hand_photo", "side_photo"]

SIZE = (1500, 2000)


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


def hand_photo(visit_id: UUID) -> str:
    """Keep a rendered hand as found; gives the photo's name."""
    row = Visit.objects.get(pk=visit_id)
    hand = render_hand(np.random.default_rng(3), forearm=False)
    stream = io.BytesIO()
    Image.fromarray(hand.rgb).save(stream, "JPEG", quality=90)
    sent = uuid4()
    said = {"side": hand.side, "scale": "card", "palm": "down"}
    keep_hand_photo(row, sent, said, (stream.getvalue(), "image/jpeg"), Sender(person=None))
    return sent.hex[:12]
