"""What the reader of a stance fit must know about how its answers came about."""

from evenground.fit import stance_constants as c
from evenground.fit.stance_layout import Layout
from evenground.fit.stance_types import StanceFlag, StanceOptions
from evenground.fit.stance_words import phase_words
from evenground.visit import FAMILIES, Phase

__all__ = ["stance_flags"]


def stance_flags(
    layout: Layout, options: StanceOptions, phase: Phase, *, assumed: bool
) -> tuple[StanceFlag, ...]:
    """Every flag of a fit, in a fixed order.

    Parameters
    ----------
    layout
        Which curve each family stands on, and what was varied.
    options
        That the fit was asked with.
    phase
        That the answers are of.
    assumed
        Whether no stature was given.
    """
    flags = []
    if assumed:
        text = (
            "No stature was given; the windows of widths are those of a player of "
            f"{c.DEFAULT_STATURE.value:.0f} mm."
        )
        flags.append(StanceFlag(code="stature-assumed", where="stature", text=text))
    if layout.shared:
        text = "The trials name no club family: one curve serves putter, irons and woods."
        flags.append(StanceFlag(code="one-curve-for-all", where="families", text=text))
    flags += [*_wishes(options), *_varied(layout), *_borrowed(layout)]
    if phase != options.use_phase:
        wanted, shown = phase_words(options.use_phase), phase_words(phase)
        text = f"No trial was taken {wanted}: the answers are those {shown}."
        flags.append(StanceFlag(code="other-phase", where="phase", text=text))
    return tuple(flags)


def _wishes(options: StanceOptions) -> list[StanceFlag]:
    flags = []
    if options.turn_at_least_deg is not None:
        side = "away from" if options.turn_toward == "trail" else "toward"
        text = (
            f"A width has to leave at least {options.turn_at_least_deg:g} deg of turn {side} the target as "
            "well: chances are those of both."
        )
        flags.append(StanceFlag(code="least-turn", where="turn", text=text))
    if options.allowed_mm:
        text = "Only widths of the teacher's own list are set and chosen."
        flags.append(StanceFlag(code="own-list", where="widths", text=text))
    return flags


def _varied(layout: Layout) -> list[StanceFlag]:
    return [
        StanceFlag(
            code="condition-varied",
            where=one.name,
            text=f"{one.name.capitalize()} was varied: the answers hold for {one.reference}.",
        )
        for one in layout.conditions
    ]


def _borrowed(layout: Layout) -> list[StanceFlag]:
    flags = []
    for family in FAMILIES:
        own, base = layout.own_trials[family], layout.base[family]
        if base == family or layout.shared:
            continue
        code, text = "carried-over", f"No trial was taken with the {family}: carried over from the {base}."
        if own:
            code, text = (
                "leans-on-neighbour",
                f"{own} trials with the {family}: it leans on the {base}'s curve.",
            )
        flags.append(StanceFlag(code=code, where=family, text=text))
    return flags
