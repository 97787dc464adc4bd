"""What of a hip-line trial is seldom varied, the teacher's own widths, and what was varied, in words."""

from collections.abc import Mapping
from typing import Any

from evenground.fit.stance_types import StanceFit
from evenground.report.phase_slopes import effect_words, phase_sentences
from evenground.studio.pages.cells import Cell, Column, Grid, Line, Spot, cell
from evenground.studio.pages.scene import Scene
from evenground.studio.pages.view import Fact, KeepField
from evenground.studio.typed import show_stored
from evenground.units import LengthSystem

__all__ = ["condition_fields", "least_turn", "own_widths", "phase_choices", "varied_facts", "varied_words"]

LISTED = (1, 2, 3, 4, 5, 6)
"""Widths that the page has room for; a bundle may list more."""
ABREAST = 3

CHOICES = {
    "footwear": ("feet", ("golf shoes", "barefoot")),
    "hands": ("hands", ("hanging", "on the club")),
}


def phase_choices(scene: Scene) -> tuple[tuple[str, str], ...]:
    """Phases that a trial may be of: a rest anybody may take, the routine only whom the screening cleared."""
    after = (("after", "after"),) if scene.visit.screening == "cleared" else ()
    return (("before", "before"), ("rested", "after a rest"), *after)


def condition_fields(scene: Scene) -> tuple[KeepField, ...]:
    """What may differ from trial to trial; left alone it is as the check has it, and as in the last trial."""
    taken = () if scene.visit.hip_line is None else scene.visit.hip_line.trials
    last: dict[str, str] = {}
    if taken:
        last = {name: getattr(taken[-1], name) or "" for name in CHOICES}
    words = tuple(
        KeepField(
            name=name,
            label=label,
            kind="choice",
            value=last.get(name, ""),
            choices=(("", "as above"), *((w, w) for w in choices)),
        )
        for name, (label, choices) in CHOICES.items()
    )
    return (
        *words,
        KeepField(name="toe_out_deg", label="toe-out, if set", unit="°", more=True),
        KeepField(name="ball_mm", label="ball inside lead heel, if moved", more=True),
    )


def own_widths(scene: Scene) -> Grid:
    """The only widths that may be set and chosen; any where none is listed."""
    known = {s.key[0] for s in scene.log.of("allowed width") if s.values.get("width_mm") is not None}
    cells = tuple(
        cell(
            scene.log,
            scene.system,
            Spot(kind="allowed width", keys={"number": n}, field="width_mm"),
            f"Own list, width {n}",
        )
        for n in LISTED
    )
    rows = [cells[k : k + ABREAST] for k in range(0, len(cells), ABREAST)]
    return Grid(
        name="own-widths",
        title="Only these widths",
        columns=(Column(label=""),) * ABREAST,
        lines=tuple(
            Line(label=f"{LISTED[0] + k * ABREAST} to {LISTED[0] + k * ABREAST + len(row) - 1}", cells=row)
            for k, row in enumerate(rows)
        ),
        note="Between heel centres, such as the marks on a mat. Left empty, any width may be asked for.",
        folded=not known,
    )


def least_turn(scene: Scene) -> Grid:
    """A turn that a width has to leave as well, where the teacher asks for one."""
    check = scene.visit.hip_line

    def one(field: str, label: str) -> Cell:
        return cell(scene.log, scene.system, Spot(kind="hip-line set-up", field=field), label)

    side = cell(
        scene.log,
        scene.system,
        Spot(kind="hip-line set-up", field="turn_toward"),
        "To which side",
        control="choice",
        choices=("trail", "lead"),
    )
    return Grid(
        name="least-turn",
        title="A turn that it has to leave",
        columns=(Column(label="at least"), Column(label="to side")),
        lines=(Line(label="", cells=(one("turn_at_least_deg", "Turn that a width has to leave"), side)),),
        note="Left empty, the hip line alone decides. Two turns to that side have to say their width.",
        folded=check is None or check.turn_at_least_deg is None,
    )


def varied_words(values: Mapping[str, Any], system: LengthSystem) -> list[str]:
    """What one trial says of its conditions."""
    said = [str(v) for k in ("family", "phase", "footwear", "hands") if (v := values.get(k))]
    toe, ball = (values.get(k) for k in ("toe_out_deg", "ball_mm"))
    said += [] if toe is None else [f"toe-out {show_stored('toe_out_deg', toe, system)}"]
    said += [] if ball is None else [f"ball {show_stored('ball_mm', ball, system)}"]
    return [*said, "confirming"] if values.get("confirms") else said


def varied_facts(fit: StanceFit, system: LengthSystem) -> list[Fact]:
    """What the routine, a rest and each condition that was varied do to the hip line."""
    facts = [
        Fact(what=word, figure=" ".join(sentences[1:]))
        for word, sentences in (
            ("after the routine", list(phase_sentences(fit, "after", system))),
            ("after a rest", list(phase_sentences(fit, "rested", system))),
        )
        if sentences
    ]
    return facts + [Fact(what=e.name, figure=effect_words(e, system)) for e in fit.effects]
