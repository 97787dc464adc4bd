"""What can be wrong with a reading that is sent, corrected, taken back or moved."""

from evenground.errors import RecordsError

__all__ = [
    "BlobNameTakenError",
    "FileNotGivenError",
    "NotMovableError",
    "OtherKindError",
    "ReadingConflictError",
    "ReadingNotFoundError",
    "ReasonMissingError",
    "VisitNotFoundError",
    "WidthsAlreadyTypedError",
]


class VisitNotFoundError(RecordsError):
    """There is no such visit."""

    do = "Open the visit from the list of today's visits."

    def __init__(self, visit: str) -> None:
        super().__init__(visit)
        self.where = f"visit {visit}"
        self.what = "There is no such visit."


class ReadingNotFoundError(RecordsError):
    """A reading that is to be corrected, taken back or moved is not in this visit."""

    do = "Load the page again and pick the reading from its history."

    def __init__(self, reading: str) -> None:
        super().__init__(reading)
        self.where = f"reading {reading}"
        self.what = "There is no such reading in this visit."


class ReadingConflictError(RecordsError):
    """A reading was sent under an id that another reading has already."""

    do = "Give each new reading an id of its own; send a reading again only as it was."

    def __init__(self, reading: str) -> None:
        super().__init__(reading)
        self.where = f"reading {reading}"
        self.what = "A reading with this id and another content is stored already."


class OtherKindError(RecordsError):
    """A correction of one kind names a reading of another."""

    do = "Take the wrong reading back and enter the right one."

    def __init__(self, kind: str, corrected: str) -> None:
        super().__init__(kind, corrected)
        self.where = f"reading of kind {kind!r}"
        self.what = f"It cannot correct a reading of kind {corrected!r}."


class FileNotGivenError(RecordsError):
    """A reading names a file without saying which stored file that is."""

    do = "Send the file first, and its digest with the reading."

    def __init__(self, name: str) -> None:
        super().__init__(name)
        self.where = name
        self.what = "The reading names this file but not its digest."


class BlobNameTakenError(RecordsError):
    """Two different files under one name in one visit."""

    do = "Give the new file another name."

    def __init__(self, name: str) -> None:
        super().__init__(name)
        self.where = name
        self.what = "Another file has this name in this visit."


class NotMovableError(RecordsError):
    """A reading that belongs to its visit and nowhere else, or a move to the visit it is in."""

    do = "Correct it where it stands, or pick another visit."

    def __init__(self, kind: str) -> None:
        super().__init__(kind)
        self.where = f"reading of kind {kind!r}"
        self.what = "It cannot be moved there."


class ReasonMissingError(RecordsError):
    """A reading was to be taken back or moved without saying why."""

    do = "Say in a few words why; the history shows it."

    def __init__(self) -> None:
        super().__init__()
        self.where = "reason"
        self.what = "The reason is missing."


class WidthsAlreadyTypedError(RecordsError):
    """How widths are given was to be changed after some were typed that way."""

    do = "Keep it as it is, or take the widths back first and enter them again."

    def __init__(self, convention: str, typed: int) -> None:
        super().__init__(convention, typed)
        self.where = "width_convention"
        self.what = f"{typed} width(s) of this visit were typed as {convention!r} already."
