"""The grip check as paired slopes: own grip, proposed grip, and the line of a square hip line."""

from evenground.fit.grip_check import GripVerdict
from evenground.report.drawing import Drawing
from evenground.report.slopes_drawing import Slopes, slopes_drawing

__all__ = ["grip_slopes"]


def grip_slopes(verdict: GripVerdict) -> Drawing:
    """Each pair of trials of one club, numbered, with both means."""
    return slopes_drawing(
        Slopes(
            left="own",
            right="proposed",
            pairs=[(str(pair), own, proposed) for pair, own, proposed in verdict.pairs_deg],
            left_mean=verdict.own_deg,
            right_mean=verdict.proposed_deg,
            measured="hip line, deg, + open",
            zero="square",
        )
    )
