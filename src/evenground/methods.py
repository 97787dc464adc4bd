"""Versions of the methods behind the findings: a changed result needs a changed number here."""

__all__ = ["METHODS", "versions"]

METHODS = {
    "address": 2,
    "aim": 2,
    "body": 2,
    "clubs": 1,
    "confirm": 1,
    "grip build": 2,
    "grip check": 2,
    "grip wanted": 2,
    "ground": 3,
    "ground change": 1,
    "held load": 1,
    "hip line": 1,
    "posture": 1,
    "posture view": 1,
    "practice": 1,
    "safety": 1,
    "setup": 1,
    "stance": 2,
    "turn": 1,
    "weight": 1,
}


def versions(*names: str) -> dict[str, int]:
    """The current versions of some methods.

    Examples
    --------
    >>> versions("ground", "setup")
    {'ground': 3, 'setup': 1}
    """
    return {name: METHODS[name] for name in names}
