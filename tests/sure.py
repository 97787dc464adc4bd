"""For tests that know a figure to be there."""

from evenground.estimate import Estimate

__all__ = ["sure"]


def sure(found: Estimate | None) -> Estimate:
    """The figure itself; a test that is wrong about it fails here."""
    assert found is not None
    return found
