"""Photos of tags on the pages: consent first, cleaned, measured, kept with the reading that each becomes.

One photo is one reading of one check: a hip-line trial, a turn, a stance's toe-out, the ball's place, an aim.
"""

import io
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Literal
from uuid import UUID

from pydantic import BaseModel, ConfigDict

from evenground.assess.instruments import printed_mm
from evenground.capture.bar_photo import Known, Line, ReadPhoto, TaggedAngle, read_bar_photo, refuse_without
from evenground.capture.photo import read_photo
from evenground.capture.studio_file import studio_from
from evenground.errors import StudioError
from evenground.floor import Handed, lead_side, trail_side
from evenground.measure.turn import turn_words
from evenground.plain import dump
from evenground.records.blobs import put_blob
from evenground.records.consent import require_consent
from evenground.records.models import Blob, ConsentKind, Visit
from evenground.records.reading_kinds import kind_named
from evenground.records.visits import studio_file
from evenground.studio.cameras import camera_named, cameras
from evenground.studio.days import today_here
from evenground.studio.pages.saving import Saved, Sender, save_with_files, saved_before
from evenground.studio.pages.scene import Scene, log_of, system_of
from evenground.studio.pages.view import BarForm, KeepField, ShownPhoto
from evenground.studio.uploads import NoPhotoSentError, clean_photo
from evenground.studio.values import value_from

__all__ = [
    "USES",
    "TurnedOtherWayError",
    "bar_form",
    "bar_photos",
    "save_bar_photo",
    "turn_caption",
    "turn_form",
]

DRAWN = "-drawn.jpg"
SHOWN_PX = 1000
BACK_DEG = 2.0
"""How far a turn may read to the other side before it was none to this side (ours)."""
HOW = (
    "From above, as straight down as it goes; the floor strip along the target line and every tag whole in "
    "the picture. Place and time leave the photo. "
)

Said = Mapping[str, Any]
Wanted = Line | Literal["ball"]


class TurnedOtherWayError(StudioError):
    """A turn to one side that the photo shows as one to the other."""

    do = "Say the other side, or take the photo at the end of the turn."

    def __init__(self, line: str, toward: str, turned_deg: float) -> None:
        super().__init__(line, toward, turned_deg)
        self.where = "turn"
        self.what = f"The {line} is turned {turned_deg:.0f}° away from the {toward} side in this photo."


class _Sent(BaseModel):
    """What the page sends beside the photo; the other fields are the reading's own."""

    model_config = ConfigDict(extra="allow", frozen=True)

    id: UUID
    camera: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Use:
    """What a photo becomes: the kind of reading, the fields that are said, lines it needs, what it reads."""

    kind: str
    said: tuple[str, ...]
    wanted: tuple[Wanted, ...]
    reads: Callable[[ReadPhoto, Said, Handed], dict[str, Any]]


def _hip_line(read: ReadPhoto, said: Said, handed: Handed) -> dict[str, Any]:
    return _with_errors("hip_line_deg", read.found.angles["hip line"])


def _face(read: ReadPhoto, said: Said, handed: Handed) -> dict[str, Any]:
    return _with_errors("face_deg", read.found.angles["face"])


def _with_errors(name: str, angle: TaggedAngle) -> dict[str, Any]:
    return {
        name: round(angle.angle_deg.value, 2),
        "se_deg": round(angle.again_deg, 3),
        "shared_se_deg": round(angle.shared_deg, 3),
    }


def _turn(read: ReadPhoto, said: Said, handed: Handed) -> dict[str, Any]:
    """How far the line stands turned to the side that was said: open is toward the target, the lead side."""
    line = _turned_line(said)
    turned = read.found.angles[line].as_tagged_deg * (1.0 if said["toward"] == "lead" else -1.0)
    turned += 360.0 if turned < -90.0 else 0.0
    if turned < -BACK_DEG:
        raise TurnedOtherWayError(line, str(said["toward"]), -turned)
    return {"turn_deg": round(max(turned, 0.0), 1)}


def _turned_line(said: Said) -> Line:
    return "hip line" if said.get("part") == "pelvis" else "shoulder line"


def _toe_out(read: ReadPhoto, said: Said, handed: Handed) -> dict[str, Any]:
    sides = {"lead": lead_side(handed), "trail": trail_side(handed)}
    names: dict[str, Line] = {"left": "left toe-out", "right": "right toe-out"}
    found = {n: read.found.angles.get(names[side]) for n, side in sides.items()}
    if not any(found.values()):
        refuse_without(read, "left toe-out")
    return {f"toe_out_{n}_deg": round(a.angle_deg.value, 1) for n, a in found.items() if a is not None}


def _ball(read: ReadPhoto, said: Said, handed: Handed) -> dict[str, Any]:
    place = read.found.ball_from_lead_mm
    if place is None:
        return {}
    names = ("inside_lead_heel_mm", "from_toe_line_mm")
    return {name: round(far.value, 1) for name, far in zip(names, place, strict=True)}


USES: Mapping[str, _Use] = {
    "hip-line": _Use(
        kind="hip-line trial",
        said=("width_mm", "family", "phase", "confirms", "footwear", "hands", "toe_out_deg", "ball_mm"),
        wanted=("hip line",),
        reads=_hip_line,
    ),
    "turn": _Use(kind="turn", said=("toward", "part"), wanted=(), reads=_turn),
    "toe-out": _Use(kind="as arrived", said=("family",), wanted=(), reads=_toe_out),
    "ball": _Use(kind="ball", said=("family",), wanted=("ball",), reads=_ball),
    "face": _Use(kind="aim trial", said=("condition",), wanted=("face",), reads=_face),
}


def save_bar_photo(
    row: Visit, use: str, fields: str, files: Mapping[str, tuple[str, Any]], sender: Sender
) -> Saved:
    """Measure tags in a photo and keep photo, drawing, figures and reading; sent again it changes nothing.

    Parameters
    ----------
    row, sender
        Whose visit, who sends.
    use
        One of `USES`.
    fields, files
        What the page sent: its fields as JSON, and the photo.

    Raises
    ------
    RecordsError
        When nobody agreed to photos, or it cannot be stored.
    CaptureError, MeasureError, StudioError
        When the photo cannot be taken or does not show what is wanted; nothing is stored then.
    """
    sent, job = _Sent.model_validate_json(fields), USES[use]
    before = saved_before(row, sent.id)
    if before is not None:
        return before
    require_consent(row.player, ConsentKind.PHOTOS, today_here())
    if "photo" not in files:
        raise NoPhotoSentError
    said = _said(job, sent, row)
    name, stream = files["photo"]
    pixels, media = clean_photo(stream, name, upright=False)
    player = log_of(row).slot("player")
    handed: Handed = "left" if player is not None and player.values["handed"] == "left" else "right"
    read = _read(row, pixels, name, sent.camera, handed)
    lines = job.wanted or ((_turned_line(said),) if use == "turn" else ())
    for wanted in lines:
        refuse_without(read, wanted)
    payload = {**said, **job.reads(read, said, handed)}
    stem = f"photos/{use}-{sent.id.hex[:6]}"
    stored = {
        f"{stem}.{'png' if media.endswith('png') else 'jpg'}": put_blob(pixels, media).sha256,
        stem + DRAWN: put_blob(_drawn(read, lines), "image/jpeg").sha256,
        f"{stem}-read.json": put_blob(dump(read.found).encode(), "application/json").sha256,
    }
    return save_with_files(row, sent.id, (job.kind, payload), stored, sender)


def _said(job: _Use, sent: _Sent, row: Visit) -> dict[str, Any]:
    """What the page says of the reading, as it is stored; the kind's own table checks it."""
    kind, system, extra = kind_named(job.kind), system_of(row), sent.model_extra or {}
    typed = {n: str(extra.get(n, ""))[:400] for n in job.said}
    return {n: value_from(kind, n, text, system) for n, text in typed.items() if text.strip()}


def _read(row: Visit, pixels: bytes, name: str, camera: str, handed: Handed) -> ReadPhoto:
    chosen = camera_named(camera)
    printed = printed_mm(studio_from(studio_file(row.snapshot)), row.day)
    return read_bar_photo(
        read_photo(pixels, file=name, upright=False),
        handed=handed,
        calibration=None if chosen is None else chosen.calibration,
        known=Known(print_scale=1.0 if printed is None else printed / 100.0),
    )


def _drawn(read: ReadPhoto, wanted: tuple[Wanted, ...]) -> bytes:
    from evenground.report.bar_picture import bar_picture

    picture = bar_picture(read, wanted)
    picture.thumbnail((SHOWN_PX, SHOWN_PX))
    stream = io.BytesIO()
    picture.save(stream, "JPEG", quality=85)
    return stream.getvalue()


def bar_form(use: str, title: str, how: str, fields: tuple[KeepField, ...]) -> BarForm:
    """What a page asks of a photo of tags; the studio's camera stands first."""
    known = tuple((str(c.id), c.name) for c in cameras() if c.calibration is not None)
    camera = KeepField(
        name="camera",
        label="camera",
        kind="choice",
        choices=(*known, ("", "another, not calibrated" if known else "not calibrated")),
    )
    return BarForm(use=use, title=title, how=HOW + how, fields=(*fields, camera))


def turn_form() -> BarForm:
    """A bar across the shoulders or at the pelvis, at the end of a turn."""
    how = (
        "The bar across the shoulders or at the pelvis, tag 2 or 0 at the player's left, at the turn's end. "
    )
    part = (("trunk", "shoulders"), ("pelvis", "pelvis"))
    fields = (
        KeepField(
            name="toward",
            label="turned",
            kind="choice",
            choices=(("lead", turn_words("lead")), ("trail", turn_words("trail"))),
        ),
        KeepField(name="part", label="bar at", kind="choice", choices=part),
    )
    return bar_form("turn", "Read a turn from a photo", how, fields)


def turn_caption(values: Said) -> str:
    """What a turn's photo is of."""
    return f"Turn {values['repeat']} {turn_words(values['toward'])}, {values.get('part') or 'trunk'}"


def bar_photos(scene: Scene, kind: str, caption: Callable[[Said], str]) -> tuple[ShownPhoto, ...]:
    """The drawn photo of every reading of a kind that still shows, the latest first."""
    kept = {e.id: e.blobs for e in scene.log.entries if e.kind == kind and e.blobs}
    found = [
        (slot.values, sha)
        for slot in scene.log.of(kind)
        for reading in slot.readings
        for name, sha in kept.get(reading, {}).items()
        if name.endswith(DRAWN)
    ]
    there = set(
        Blob.objects.filter(pk__in=[sha for _, sha in found], deleted_at__isnull=True).values_list(
            "pk", flat=True
        )
    )
    shown = [(values, sha) for values, sha in reversed(found) if sha in there]
    return tuple(
        ShownPhoto(
            says=f"{caption(values)}: the photo with its tags, the line and the number",
            caption=caption(values),
            sha256=sha,
            wide=n == 0,
        )
        for n, (values, sha) in enumerate(shown)
    )
