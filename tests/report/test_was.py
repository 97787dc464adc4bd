import pytest

from evenground.estimate import Estimate
from evenground.findings import FamilySetup, Range
from evenground.report.card_view import _was


def setup(own_mm: float, se_mm: float) -> FamilySetup:
    return FamilySetup(
        family="irons",
        answer="square",
        probability=0.95,
        carried_over_from=None,
        width_heel_centres_mm=Estimate(value=400.0, se=8.0, unit="mm"),
        width_inside_mm=Range(low=320.0, high=340.0, unit="mm", means=""),
        width_shoe_lengths=None,
        was_inside_mm=Estimate(value=own_mm, se=se_mm, unit="mm"),
        toe_out_lead_deg=None,
        toe_out_trail_deg=None,
        ball_inside_lead_heel_mm=None,
        ball_from_toe_line_mm=None,
    )


@pytest.mark.parametrize(
    ("own_mm", "se_mm", "said"),
    [
        (330.0, 4.0, "stays, no real change"),
        (280.0, 4.0, "now 320 to 340 mm: changed"),
        (380.0, 4.0, "now 320 to 340 mm: changed"),
        (315.0, 4.0, "now 320 to 340 mm: cannot tell whether that changes"),
        (280.0, 40.0, "now 320 to 340 mm: cannot tell whether that changes"),
    ],
)
def test_was_and_now_say_whether_the_width_changes_beyond_its_error(
    own_mm: float, se_mm: float, said: str
) -> None:
    assert _was(setup(own_mm, se_mm), "metric").endswith(said)
