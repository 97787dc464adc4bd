"""What a practice gate lets pass, and what counts as agreement; ours where no source is named."""

from evenground.sourced import Sourced

__all__ = ["AGREE_WITHIN", "BALL_MM", "LEAST_BALLS"]

BALL_MM = Sourced(42.67, "mm", "Equipment Rules, part 4: a ball is not under 1.680 in (42.67 mm) across")
AGREE_WITHIN = Sourced(0.10, "", "ours: shares that lie within a tenth of each other say the same")
LEAST_BALLS = Sourced(10.0, "", "ours: under ten balls a share is told, but compared with nothing")
