"""A photo of an address from the side: consent first, kept, its points placed by hand, measured."""

from collections.abc import Mapping
from typing import Annotated, Any
from uuid import UUID

from pydantic import BaseModel, ConfigDict, Field

from evenground.assess.posture_views import mat_percent
from evenground.capture.landmarks import landmarks_of
from evenground.errors import EvengroundError
from evenground.findings import Findings
from evenground.floor import Side
from evenground.measure.posture_view import SeenView, measure_view
from evenground.records.blobs import put_blob
from evenground.records.consent import require_consent
from evenground.records.merge import Merged, Slot
from evenground.records.models import ConsentKind, Visit
from evenground.records.reading_kinds import kind_named
from evenground.report.posed_drawing import LIMBS
from evenground.report.posed_picture import measured_drawing
from evenground.report.words import estimate_text
from evenground.studio.days import today_here
from evenground.studio.pages.point_sheet import Numbers, PhotoSheet, file_of, marks_of, placed_in, size_of
from evenground.studio.pages.saving import Saved, Sender, save_with_files, saved_before
from evenground.studio.pages.scene import Scene
from evenground.studio.pages.view import Fact, ShownPhoto
from evenground.studio.svg import Picture, picture
from evenground.studio.uploads import NoPhotoSentError, clean_photo
from evenground.studio.values import value_from
from evenground.units import LengthSystem
from evenground.visit import Family, Limb, LimbState, PostureView
from evenground.visit import Visit as Measured

__all__ = ["NAMES", "posture_view", "save_side_photo", "side_numbers", "side_photos", "side_sheet"]

Spot = tuple[float, float]

NAMES = {
    "vertex": "top of the head",
    "eye": "eye",
    "ear": "ear",
    "cervicale": "root of the neck",
    "shoulder": "shoulder",
    "elbow": "elbow",
    "wrist": "wrist",
    "hands": "middle of both hands",
    "hip": "hip",
    "knee": "knee",
    "ankle": "ankle",
    "heel": "heel",
    "toe_tip": "toe",
    "ball": "ball",
    "plumb_top": "plumb line, top",
    "plumb_bottom": "plumb line, bottom",
    "length_start": "known length, one end",
    "length_end": "known length, other end",
}
"""Points that are asked for, from the head down, in words."""
CHAINS = (*LIMBS[:3], ("ear", "eye"), ("plumb_top", "plumb_bottom"), ("length_start", "length_end"))

# Where points wait to be placed: an address in shares of its own height, x ahead of the heel, y up (ours).
WAITS: Mapping[str, Spot] = {
    "vertex": (0.34, 1.0),
    "eye": (0.37, 0.9),
    "ear": (0.31, 0.91),
    "cervicale": (0.22, 0.87),
    "shoulder": (0.18, 0.82),
    "elbow": (0.19, 0.62),
    "wrist": (0.21, 0.46),
    "hands": (0.23, 0.41),
    "hip": (-0.04, 0.57),
    "knee": (0.06, 0.31),
    "ankle": (0.03, 0.045),
    "heel": (0.0, 0.0),
    "toe_tip": (0.17, 0.0),
    "ball": (0.5, 0.0),
    "plumb_top": (-0.3, 1.0),
    "plumb_bottom": (-0.3, 0.05),
    "length_start": (-0.2, 0.0),
    "length_end": (-0.2, 0.6),
}
ANGLES = (
    ("trunk_deg", "trunk from the vertical"),
    ("thigh_deg", "thigh from the vertical"),
    ("knee_flex_deg", "knee flex, {side}"),
    ("arm_hang_deg", "arms from the vertical"),
    ("eye_line_deg", "eye line, + looking down"),
    ("eye_beyond_ball_mm", "eyes, + beyond the ball"),
    ("hands_height_mm", "hands above the floor"),
    ("hands_from_thigh_mm", "hands ahead of the thigh"),
    ("ball_from_toe_mm", "ball ahead of the toes"),
    ("centre_of_mass_percent", "balance, from the heel"),
)


class _SentPhoto(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)

    id: UUID
    family: Family
    side: Side
    repeat: Annotated[int, Field(ge=1, le=200)] = 1
    length: Annotated[str, Field(max_length=40)] = ""


def save_side_photo(
    row: Visit, fields: str, files: Mapping[str, tuple[str, Any]], system: LengthSystem, sender: Sender
) -> tuple[Saved, str]:
    """Keep a photo from the side; gives what was saved, and the view's name. Sent again it changes nothing.

    Raises
    ------
    RecordsError
        When nobody agreed to photos, or it cannot be stored.
    CaptureError, StudioError
        When the photo or the length cannot be taken; nothing is stored then.
    """
    sent = _SentPhoto.model_validate_json(fields)
    view = sent.id.hex[:12]
    before = saved_before(row, sent.id)
    if before is not None:
        return before, view
    require_consent(row.player, ConsentKind.PHOTOS, today_here())
    if "photo" not in files:
        raise NoPhotoSentError
    payload: dict[str, Any] = {"view": view, **sent.model_dump(include={"family", "side", "repeat"})}
    if sent.length.strip():
        kind = kind_named("side view")
        payload["length_mm"] = value_from(kind, "length_mm", sent.length, system, label="known length")
    said, stream = files["photo"]
    pixels, media = clean_photo(stream, said)
    payload |= _found(pixels, said, typed="length_mm" in payload)
    payload["photo"] = f"photos/{sent.side}-side-{view}.{'png' if media.endswith('png') else 'jpg'}"
    stored = {payload["photo"]: put_blob(pixels, media).sha256}
    return save_with_files(row, sent.id, ("side view", payload), stored, sender), view


def _found(pixels: bytes, name: str, *, typed: bool) -> dict[str, Any]:
    """Points that the printed plumb target gives, and its length unless another was typed."""
    from evenground.capture.photo import read_photo
    from evenground.capture.plumb_photo import find_plumb

    target = find_plumb(read_photo(pixels, file=name))
    if target is None:
        return {}
    found = {"plumb_top": target.top, "plumb_bottom": target.bottom}
    if typed:
        return {"found": found}
    ends = {"length_start": target.top, "length_end": target.bottom}
    length = {"length_mm": target.apart_mm, "length_error_mm": target.apart_error_mm}
    return {"found": found | ends, **length}


def posture_view(log: Merged, view: str) -> PostureView | None:
    """A photo's points as they stand in the log, None when there is no such photo from the side."""
    slot = log.slot("side view", {"view": view})
    return None if slot is None else _view(log, slot)


def _view(log: Merged, slot: Slot) -> PostureView:
    return PostureView(**slot.values, placed=placed_in(log, "side point", str(slot.key[0])))


def side_sheet(log: Merged, slot: Slot, visit: Measured, findings: Findings | None) -> PhotoSheet:
    """The page of one photo from the side."""
    view = _view(log, slot)
    digest = file_of(log, slot)
    width, height = size_of(digest, list(view.points.values()))
    return PhotoSheet(
        view=view.view,
        check="posture",
        kind="side view",
        title=f"{view.family.capitalize()}, address {view.repeat}, {view.side} side",
        how="Put each point where the joint turns, on the side that faces the camera. Hollow points wait "
        "for you and do not count yet: drag them, or choose one and tap its place.",
        says=f"The player from the {view.side} side",
        sha256=digest,
        width=width,
        height=height,
        marks=marks_of(NAMES, view.found, view.placed, _waiting(view.side, width, height)),
        chains=CHAINS,
        numbers=side_numbers(view, visit, findings),
    )


def _waiting(side: Side, width: int, height: int) -> dict[str, Spot]:
    """Where points wait on a photo: an address facing the way that this side of a player faces."""
    ahead = 1.0 if side == "right" else -1.0
    unit = min(0.8 * height, 0.95 * width)
    middle, floor = width / 2.0 - 0.1 * ahead * unit, height / 2.0 + 0.5 * unit
    return {n: (round(middle + ahead * x * unit), round(floor - y * unit)) for n, (x, y) in WAITS.items()}


def side_numbers(view: PostureView, visit: Measured, findings: Findings | None) -> Numbers:
    """Angles, hands, eyes and balance of one photo, or what is still to be placed."""
    mat = None if findings is None else mat_percent(findings, view.family)
    limbs: Mapping[Limb, LimbState] = {} if visit.body is None else visit.body.limbs
    try:
        found = measure_view(view, reference=visit.player.reference, limbs=limbs, mat_percent=mat)
    except EvengroundError as exc:
        return Numbers(trouble=f"{exc.what} {exc.do}")
    notes = [*([] if found.mat is None else [found.mat.text]), *found.angles.notes]
    return Numbers(facts=_facts(view, found), notes=tuple(notes), picture=_alone(view, found))


def _facts(view: PostureView, found: SeenView) -> tuple[Fact, ...]:
    facts = [
        Fact(what=words.format(side=view.side), figure=estimate_text(figure, decimals=0))
        for name, words in ANGLES
        if (figure := getattr(found.angles, name)) is not None
    ]
    if found.mat is not None:
        facts.append(Fact(what="balance by the mat", figure=estimate_text(found.mat.mat_percent, decimals=0)))
    return tuple(facts)


def _alone(view: PostureView, found: SeenView) -> Picture:
    return picture(
        measured_drawing(landmarks_of(view), found.angles),
        says="The figure alone, with its angles and its balance over the foot.",
        name="posed",
        wide_px=190.0,
        margin_px=(130.0, 26.0),
    )


def side_photos(scene: Scene) -> tuple[ShownPhoto, ...]:
    """Every photo from the side with its figure over it, the face blurred, in the order of the addresses."""
    views = sorted(scene.visit.posture_views, key=lambda v: (v.family, v.repeat, v.side))
    slots = {str(slot.key[0]): slot for slot in scene.log.of("side view")}
    moves = sum(entry.kind == "side point" for entry in scene.log.entries)  # a new one, a new picture
    shown = []
    for view in views:
        words = f"{view.family.capitalize()}, address {view.repeat}, {view.side} side"
        there = file_of(scene.log, slots[view.view]) and view.points
        drawn = str(moves) if there else ""
        shown.append(
            ShownPhoto(says=f"{words}, the face blurred", caption=words, view=view.view, drawn=drawn)
        )
    return tuple(shown)
