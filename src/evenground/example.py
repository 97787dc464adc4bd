"""Where the example visit lies: inside an installed package, or beside the source in a checkout."""

from pathlib import Path

from evenground.errors import CaptureError

__all__ = ["ExampleMissingError", "example_bundle"]


class ExampleMissingError(CaptureError):
    """The example visit did not come along with the program."""

    do = "Install Evenground again, or fit a visit of your own with `evenground fit`."

    def __init__(self, looked_in: str) -> None:
        super().__init__(looked_in)
        self.where = looked_in
        self.what = "The example visit is not there."


def example_bundle() -> Path:
    """Folder of the example visit.

    Raises
    ------
    ExampleMissingError
        When neither the package nor the checkout holds it.
    """
    here = Path(__file__).parent
    for folder in (here / "examples", here.parents[1] / "examples"):
        found = sorted(folder.glob("*/visit.toml"))
        if found:
            return found[0].parent
    raise ExampleMissingError("examples")
