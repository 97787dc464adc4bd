"""What holds for every test: properties have no clock, and the same examples on every run."""

from hypothesis import settings

# A deadline would make a slow machine a failed test; timing belongs to bench/. Fixed examples keep a change's
# checks about that change; `pytest --hypothesis-profile=search` looks for new ones.
settings.register_profile("fixed", deadline=None, derandomize=True)
settings.register_profile("search", deadline=None, max_examples=2000)
settings.load_profile("fixed")


def pytest_make_parametrize_id(val: object) -> str | None:
    """Name bytes by how many they are: a packed file holds the time it was packed at, and names must not."""
    return f"{len(val)} bytes" if isinstance(val, bytes) else None
