"""The builds on the grip page: for each club that changes, the new grip drawn over the one that is on it."""

from collections.abc import Iterator

from evenground.fit.grip_types import GripBuild, GripFit
from evenground.report.card_parts import NO_CHANGE, grip_line
from evenground.report.grip_drawing import (
    built_size,
    profile_drawing,
    profile_says,
    sections_drawing,
    sections_say,
)
from evenground.report.read import grip_builds
from evenground.studio.pages.scene import Scene
from evenground.studio.pages.view import Fact
from evenground.studio.svg import Picture, picture
from evenground.visit import OwnClub

__all__ = ["build_facts", "build_pictures", "wanted_facts"]

MOST = 3
"""Clubs that are drawn; a bag of fourteen would hide the trials."""


def _found(scene: Scene) -> Iterator[tuple[OwnClub, GripFit, str]]:
    """Clubs with their builds and the card's word for each."""
    own = {club.mark: club for club in scene.visit.own_clubs}
    for mark, build in () if scene.findings is None else grip_builds(scene.findings):
        if mark in own and build.value is not None and build.value.builds:
            yield own[mark], build.value, grip_line(own[mark], build.value.wanted)[0]


def wanted_facts(scene: Scene) -> tuple[Fact, ...]:
    """What has to be known of the wanted sizes: a sore hand, one beyond the model, one lent by the other."""
    wanted = None if scene.findings is None else scene.findings.value("grip.wanted")
    notes = () if wanted is None else wanted.notes
    return tuple(Fact(what="wanted", figure="", note=note) for note in notes)


def build_facts(scene: Scene) -> tuple[Fact, ...]:
    """What would be fitted on each club, and what it comes to."""
    return tuple(_fact(club, fit, word) for club, fit, word in _found(scene))


def _fact(club: OwnClub, fit: GripFit, word: str) -> Fact:
    best = fit.builds[0]
    if word == NO_CHANGE:
        return Fact(what=club.mark, figure="its grip stays", note="within the error of what is wanted")
    if best.built_mm is None:
        return Fact(what=club.mark, figure=best.how, note=best.notes[0] if best.notes else "")
    tape = "as measured" if best.layers is None else f"{best.layers.upper} / {best.layers.lower} layers"
    return Fact(what=club.mark, figure=f"{best.grip}, {tape}", note=_sizes(best, fit))


def _sizes(best: GripBuild, fit: GripFit) -> str:
    said = []
    for hand, want in (("upper", fit.wanted.upper_mm), ("lower", fit.wanted.lower_mm)):
        size = built_size(best, hand)
        if size is not None and want is not None:
            said.append(f"{hand} {size.value:.1f} ± {size.half_width():.1f} mm, wanted {want.value:.1f}")
    return "; ".join([*said, *(() if fit.reached else ("the nearest that can be built",))])


def build_pictures(scene: Scene) -> tuple[Picture, ...]:
    """Sections and profile of the first clubs that change."""
    found: list[Picture] = []
    for club, fit, word in _found(scene):
        if word == NO_CHANGE or fit.making is None or len(found) >= 2 * MOST:
            continue
        best, name = fit.builds[0], "".join(c for c in club.mark if c.isalnum())
        sections = sections_drawing(club, fit.wanted, best, fit.making)
        profile = profile_drawing(club, best, fit.making)
        if sections is not None:
            title = f"{club.mark}: {best.grip} in ink with its range hatched, wanted dashed, on it now dotted"
            said = sections_say(club.mark, best, club)
            found.append(
                picture(sections, says=said, name=f"sections-{name}", margin_px=(20.0, 40.0), title=title)
            )
        if profile is not None:
            said = profile_says(club.mark, fit.making)
            title = f"{club.mark} along the grip, cap to the left"
            found.append(
                picture(profile, says=said, name=f"profile-{name}", margin_px=(10.0, 40.0), title=title)
            )
    return tuple(found)
