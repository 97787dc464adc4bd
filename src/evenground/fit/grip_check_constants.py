"""Numbers of the grip check, each with its source."""

from evenground.sourced import Sourced

__all__ = ["LEAST_SEM_DEG", "LEVEL", "MATTERS_DEG", "POWER"]

LEVEL = Sourced(0.99, "", "ours: so that twelve looks at noise make at most one preference in twenty")
POWER = Sourced(0.8, "", "ours: a difference that matters is told in four cases of five")
MATTERS_DEG = Sourced(2.0, "deg", "ours: the margin within which a hip line counts as square")
LEAST_SEM_DEG = Sourced(0.5, "deg", "ours: a bar is not read more finely, whatever the pairs agree on")
