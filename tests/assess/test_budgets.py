from dataclasses import replace

import pytest

from evenground.assess import assess
from evenground.assess.budgets import UnknownLineError, budgets_of, budgets_on
from evenground.capture.bundle import Bundle, read_bundle
from evenground.example import example_bundle
from evenground.findings import Findings
from evenground.fit.budgets import FindingBudget
from evenground.visit import StudioSnapshot, Visit


@pytest.fixture(scope="module")
def example() -> tuple[Visit, StudioSnapshot, Findings]:
    read: Bundle = read_bundle(example_bundle())
    visit = replace(read.visit, ground=())
    return visit, read.studio, assess(visit, read.studio, read.open_blob, digests=read.digests)


def budgets(example: tuple[Visit, StudioSnapshot, Findings]) -> tuple[FindingBudget, ...]:
    return budgets_of(*example)


def test_every_line_of_the_card_with_a_figure_has_a_budget(
    example: tuple[Visit, StudioSnapshot, Findings],
) -> None:
    lines = {b.line for b in budgets(example)}
    assert {
        "putter.width",
        "irons.width",
        "irons.toe-out",
        "irons.ball",
        "posture",
        "turn",
        "grip",
        "aim",
    } <= lines


def test_a_budget_adds_up_to_the_error_on_the_card(example: tuple[Visit, StudioSnapshot, Findings]) -> None:
    visit, _, findings = example
    setup = findings.value("setup.irons")
    made = {b.what: b for b in budgets(example)}
    assert setup is not None
    assert made["own width inside the shoes"].budget.se > 0
    own = [b for b in budgets(example) if b.what == "own width inside the shoes" and b.line == "irons.width"]
    assert own[0].budget.se == pytest.approx(setup.was_inside_mm.se)
    wanted = findings.value("grip.wanted")
    assert wanted is not None
    assert made["wanted, upper hand"].budget.se == pytest.approx(wanted.upper_mm.se)
    turn = findings.value("turn")
    assert turn is not None
    assert made["turn toward the lead side"].budget.se == pytest.approx(turn.lead.mean_deg.se)
    assert visit.ground == ()


def test_the_bar_and_another_observer_stand_in_the_hip_lines_budget(
    example: tuple[Visit, StudioSnapshot, Findings],
) -> None:
    visit, studio, findings = example
    errors = replace(studio.errors, hip_line_between_observers_deg=0.9)
    found = budgets_on("irons.width", budgets_of(visit, replace(studio, errors=errors), findings))[0]
    sizes = {s.name: s.se for s in found.budget.sources}
    assert visit.hip_line is not None
    assert sizes["the bar"] == visit.hip_line.bar_error_deg
    assert sizes["who holds the bar"] == 0.9


def test_more_trials_at_the_width_shrink_the_curves_error_as_a_posterior_does(
    example: tuple[Visit, StudioSnapshot, Findings],
) -> None:
    found = budgets_on("irons.width", budgets(example))[0]
    curve = next(s.se for s in found.budget.sources if s.name == "the scatter of a reading")
    rest = found.budget.se**2 - curve**2
    stance = example[2].value("stance")
    assert stance is not None
    noise = stance.noise_deg.value
    more = next(h for h in found.helps if h.action.startswith("3 more trials"))
    # A normal prior of variance v and three readings of variance s^2: v s^2 / (3 v + s^2).
    updated = curve**2 * noise**2 / (3.0 * curve**2 + noise**2)
    assert more.se_after == pytest.approx((rest + updated) ** 0.5)


def test_a_line_without_a_budget_names_those_that_have_one(
    example: tuple[Visit, StudioSnapshot, Findings],
) -> None:
    with pytest.raises(UnknownLineError, match=r"irons\.width"):
        budgets_on("irons.colour", budgets(example))
