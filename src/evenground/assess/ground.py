"""The ground check: each placement described, then pooled by stance, footwear and family."""

from collections.abc import Iterable
from functools import partial

from evenground.assess.book import Book, Part
from evenground.assess.instruments import mat_for
from evenground.assess.standing import Group, compare_standings, group_kind, weigh_player
from evenground.capture.standing import read_any_layout, read_standing
from evenground.findings import Findings, seen_kind
from evenground.floor import Side
from evenground.measure.ground import Ground, pool_placements
from evenground.measure.one_foot import FootState
from evenground.measure.recording import MatRecording
from evenground.measure.seen import see
from evenground.measure.ways import Standing, describe_standing
from evenground.visit import BodyCheck, Family, Footwear, Limb, Placement, StanceTime

__all__ = ["assess_ground", "foot_states", "ground_of"]

THICK_MAT_MM = 3.0
"""Past this the feet stand enough higher than the ball to change posture (ours)."""


def assess_ground(book: Book) -> None:
    """Describe every placement, then pool the usable ones of each group."""
    if not book.visit.ground:
        book.skip("ground", Part(methods=("ground",)), book.absent("ground"))
        return
    groups: dict[Group, list[tuple[int, Placement, Ground | None]]] = {}
    for number, placement in enumerate(book.visit.ground, 1):
        ground = _placement(book, number, placement)
        group = (placement.stance, placement.footwear, placement.family)
        groups.setdefault(group, []).append((number, placement, ground))
    for group, members in groups.items():
        _pool(book, group, members)
    weigh_player(book)
    compare_standings(book, tuple(groups))


def ground_of(
    book: Book | Findings, stance: StanceTime, footwear: Footwear, family: Family | None
) -> Ground | None:
    """Pooled ground of a group; that of no particular family when the family has none of its own."""
    own = book.value(group_kind((stance, footwear, family)))
    found = own if own is not None else book.value(group_kind((stance, footwear, None)))
    return found if isinstance(found, Ground) else None


def foot_states(body: BodyCheck | None) -> dict[Side, FootState]:
    """A foot that is absent or prosthetic, by itself or with its leg."""
    limbs = {} if body is None else body.limbs
    found: dict[Side, FootState] = {}
    pairs: tuple[tuple[Side, Limb, Limb], ...] = (
        ("left", "left leg", "left foot"),
        ("right", "right leg", "right foot"),
    )
    for side, leg, foot in pairs:
        states = {limbs.get(leg), limbs.get(foot)}
        if "absent" in states:
            found[side] = "absent"
        elif "prosthetic" in states:
            found[side] = "prosthetic"
    return found


def _placement(book: Book, number: int, placement: Placement) -> Ground | None:
    body = book.visit.body
    feet = foot_states(body)
    part = Part(
        evidence=tuple(n for n in (placement.recording, placement.layout) if n is not None),
        inputs=(
            placement,
            book.blobs([placement.recording, placement.layout]),
            book.visit.player,
            body,
            book.visit.shoes,
            book.visit.day,
        ),
        methods=("ground",),
        costly=True,
    )
    stood: list[Standing] = []

    def make() -> Ground:
        standing = _read(book, placement)
        stood.append(standing)
        checks = None
        if isinstance(standing, MatRecording):
            checks = mat_for(book.studio, book.visit.day, standing.shape[1:])
        mass_kg = None if body is None else body.mass_kg
        handed = book.visit.player.handed
        return describe_standing(standing, handed=handed, mass_kg=mass_kg, checks=checks, feet=feet)

    ground = book.compute(f"placement {number}", part, make, caveat=_caveat(book))
    if not stood:  # taken over, or unreadable
        book.carry(seen_kind(number), part)
    for recording in stood:
        if isinstance(recording, MatRecording):
            book.compute(seen_kind(number), part, partial(see, recording, feet))
    return ground


def _read(book: Book, placement: Placement) -> Standing:
    layout = None
    if placement.layout is not None:
        with book.open_blob(placement.layout) as stream:
            layout = read_any_layout(stream.read(), file=placement.layout)
    with book.open_blob(placement.recording) as stream:
        return read_standing(stream, file=placement.recording, layout=layout)


def _caveat(book: Book) -> str | None:
    thick = book.studio.mat_thickness_mm
    if thick is None or thick <= THICK_MAT_MM:
        return None
    return f"the mat is {thick:g} mm thick: put the ball on its level, or the posture is not the player's own"


def _pool(book: Book, group: Group, members: Iterable[tuple[int, Placement, Ground | None]]) -> None:
    members = list(members)
    usable = [g for _, _, g in members if g is not None and g.grade.usable]
    part = Part(
        evidence=tuple(f"ground placement {number} ({p.recording})" for number, p, _ in members),
        inputs=tuple((p, book.blobs([p.recording, p.layout])) for _, p, _ in members),
        methods=("ground",),
    )
    if not usable:
        book.skip(group_kind(group), part, f"none of the {len(members)} placements could be used")
        return
    left_out = len(members) - len(usable)
    caveats = [c for c in (_caveat(book),) if c is not None]
    if left_out:
        caveats.append(f"{left_out} of {len(members)} placements could not be used")
    if len(usable) == 1:
        caveats.append("one placement only: it describes that placement, not how the player stands")
    book.compute(group_kind(group), part, lambda: pool_placements(usable), caveat="; ".join(caveats) or None)
