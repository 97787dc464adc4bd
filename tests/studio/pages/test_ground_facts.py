"""What stands beside the mat when ways of standing were compared and the player was weighed."""

from types import SimpleNamespace
from typing import Any

from evenground.assess.standing import Weighed
from evenground.estimate import Estimate
from evenground.findings import Finding, Findings
from evenground.measure.ground_change import FigureChange, GroundChange
from evenground.measure.weighing import Weighing, explain_weights
from evenground.studio.pages.ground_facts import standing_facts


def change(figure: str, unit: str, by: float, se: float) -> FigureChange:
    was = Estimate(value=300.0, se=se, dof=4, n=3, unit=unit)
    apart = Estimate(value=by, se=se, dof=4, n=6, unit=unit)
    return FigureChange(
        figure=figure, before=was, after=was.shifted(by), difference=apart, shown=abs(by) > 3.0 * se
    )


def scene(*found: tuple[str, Any]) -> Any:
    findings = tuple(
        Finding(key=k, kind=k, status="measured", value=v, reason=None, evidence=(), methods={})
        for k, v in found
    )
    return SimpleNamespace(findings=Findings(visit="v", version="0", findings=findings), system="metric")


WIDER = GroundChange(
    before="as arrived",
    after="fitted",
    figures=(
        change("stance_width_mm.heel_centres", "mm", 90.0, 4.0),
        change("feet.left.load_percent", "%", -1.0, 1.2),
    ),
)


def test_a_figure_that_differs_has_its_sign_and_range_and_the_others_are_counted() -> None:
    (fact,) = standing_facts(scene(("ground change.as arrived to fitted.golf shoes.irons", WIDER)))
    assert fact.what == "from as arrived to fitted, golf shoes, irons: width, heel centres"
    assert fact.figure.startswith("+90")
    assert fact.note == "no difference shows in 1 others"


def test_where_nothing_differs_it_says_so() -> None:
    still = GroundChange(before="barefoot", after="golf shoes", figures=WIDER.figures[1:])
    (fact,) = standing_facts(scene(("ground change.barefoot to golf shoes.fitted", still)))
    assert (fact.figure, fact.note) == ("no difference shows", "1 figures compared")


def test_a_mat_that_disagrees_with_the_mass_says_what_may_be_wrong() -> None:
    force = Estimate(value=880.0, se=4.0, n=3, unit="N")
    found = explain_weights([Weighing(force_n=880.0, mass_kg=80.0)])
    weighed = Weighed(mass_kg=80.0, barefoot_n=force, shod_n=None, mismatches=found)
    (fact,) = standing_facts(scene(("weight", weighed)))
    assert fact.what == "the mat beside 80 kg"
    assert "Lay a known weight" in fact.note
    agreeing = Weighed(mass_kg=80.0, barefoot_n=force, shod_n=None, mismatches=())
    assert standing_facts(scene(("weight", agreeing)))[0].note == "they agree"


def test_nothing_is_said_before_there_are_findings() -> None:
    assert standing_facts(SimpleNamespace(findings=None, system="metric")) == ()  # type: ignore[arg-type]
