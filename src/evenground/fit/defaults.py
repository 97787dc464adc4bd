"""What one entered reading is worth where the studio has not studied its own errors yet; all ours."""

from evenground.sourced import Sourced

__all__ = ["BALL_SD_MM", "TOE_OUT_SD_DEG", "WIDTH_SD_MM"]

WIDTH_SD_MM = Sourced(5.0, "mm", "ours: a tape between two heel centres nobody can see")
TOE_OUT_SD_DEG = Sourced(2.0, "deg", "ours: a protractor against a shoe's long axis")
BALL_SD_MM = Sourced(8.0, "mm", "ours: half a ball's radius, placing and reading together")
