"""The errors a person can put right, drawn as one tree; a class takes facts and writes the sentence.

    EvengroundError                    something a person can put right
      CaptureError                     a file, photo or typed value that could not be taken in
      MeasureError                     data that were read but do not hold the measurement
      FitError                         measurements that do not lead to a setup
      RecordsError                     stored things
      ReportError                      paper
      StudioError                      the app's doors: its address, signing in, pairing, sending files

Concrete classes stand in the module that raises them (`estimate.py` has `TooFewRepeatsError`); each passes
its own arguments to ``super().__init__`` so that it survives pickling on the way back from a worker.
"""

__all__ = [
    "CaptureError",
    "EvengroundError",
    "FitError",
    "MeasureError",
    "RecordsError",
    "ReportError",
    "StudioError",
]


class EvengroundError(Exception):
    """Something a person can put right: where it was, what was wrong, what to do.

    A subclass sets `where` and `what` in its ``__init__`` and `do` on the class or in ``__init__``; each is a
    sentence or part of one, without line breaks.
    """

    where: str = ""
    what: str = "Something could not be done."
    do: str = ""

    @property
    def code(self) -> str:
        """The class's name in words with hyphens, the same in JSON, flags and pages.

        Examples
        --------
        >>> class FeetMergedError(MeasureError): pass
        >>> FeetMergedError().code
        'feet-merged'
        """
        name = type(self).__name__.removesuffix("Error")
        return "".join(f"-{c.lower()}" if c.isupper() else c for c in name).strip("-")

    def __str__(self) -> str:
        """Join ``where: what do`` into one line."""
        said = f"{self.what} {self.do}".strip()
        return f"{self.where}: {said}" if self.where else said


class CaptureError(EvengroundError):
    """A file, photo or typed value that could not be taken in."""


class MeasureError(EvengroundError):
    """Data that were read but do not hold the measurement."""


class FitError(EvengroundError):
    """Measurements that do not lead to a setup."""


class RecordsError(EvengroundError):
    """Stored things: not found, fixed, or from a newer version."""


class ReportError(EvengroundError):
    """Paper that could not be made."""


class StudioError(EvengroundError):
    """The app's doors: its address, signing in, pairing a device, sending a file."""
