"""What a check page shows, in plain shapes that one template prints for every check."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from evenground.report.evidence_figures import GroundTable
from evenground.studio.pages.cells import Grid
from evenground.studio.pages.scene import Scene
from evenground.studio.svg import Picture
from evenground.visit import Check, Footwear, StanceTime

__all__ = [
    "Also",
    "CheckPage",
    "CheckView",
    "Doing",
    "Fact",
    "KeepField",
    "KeepForm",
    "MatSlot",
    "Paste",
    "Upload",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Also:
    """A page of the visit that belongs to a check: its name, and the name of its address."""

    name: str
    to: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Doing:
    """What to do next: in a few words, why, and whether it is enough already.

    `tells` says that `why` gives readings away, which a blind screen hides; `costs` what ending here would
    cost; `ended` that the series was ended early.
    """

    what: str
    why: str = ""
    enough: bool = False
    rest: bool = False
    tells: bool = False
    costs: str = ""
    ended: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """A figure with its error, or a warning, in words."""

    what: str
    figure: str
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class KeepField:
    """One field of a trial. `sides` are the two words of which a size without a sign takes one.

    One that is seldom set stands with the conditions (`more`).
    """

    name: str
    label: str
    kind: Literal["large", "plain", "choice", "fixed"] = "plain"
    value: str = ""
    unit: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    sides: tuple[str, ...] = ()
    side: str = ""
    once: bool = False
    more: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class KeepForm:
    """A trial that is set, read and kept as one."""

    kind: str
    fields: tuple[KeepField, ...]
    button: str = "Keep this trial"
    in_one: bool = False

    @property
    def read(self) -> tuple[KeepField, ...]:
        """What is set and read anew for each trial; all of it when the form is `in_one`."""
        return tuple(f for f in self.fields if self.in_one or not (f.more or f.kind == "choice"))

    @property
    def conditions(self) -> tuple[KeepField, ...]:
        """What mostly stays as it is from trial to trial."""
        return tuple(f for f in self.fields if not self.in_one and (f.more or f.kind == "choice"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Paste:
    """A table that may be pasted, or uploaded as a CSV file: its columns, and one line as an example."""

    columns: str
    example: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Upload:
    """Recordings that may be uploaded, with the words that say what they are of."""

    accept: str
    label: str
    choices: tuple[tuple[str, str, tuple[tuple[str, str], ...]], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoUpload:
    """A photo that may be taken or chosen, with the words that say what is in it, and how to take it.

    `to` names the address it is sent to; `size` is a length that may be typed beside it: name and label.
    """

    title: str
    how: str
    choices: tuple[tuple[str, str, tuple[tuple[str, str], ...]], ...]
    to: str = "send-hand-photo"
    button: str = "Measure this hand"
    saved: str = "The hand is measured and saved."
    size: tuple[str, str] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BarForm:
    """A photo of tags that becomes one reading: what it is used for, and what is said of the reading."""

    use: str
    title: str
    how: str
    fields: tuple[KeepField, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownPhoto:
    """A stored photo with its points on it. `view` names its own page; `drawn` changes with the points.

    One with numbers on it is shown `wide`.
    """

    says: str
    caption: str
    sha256: str = ""
    view: str = ""
    drawn: str = ""
    wide: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class MatSlot:
    """A live mat on the page: what a recording is taken to be of unless somebody says otherwise.

    `waiting` recordings wait for a word already, so the mat is shown without being asked for.
    """

    stance: StanceTime
    footwear: Footwear
    waiting: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckView:
    """One check page. Empty parts are left out."""

    check: Check
    title: str
    under: str
    doing: Doing
    cautions: tuple[str, ...] = ()
    grids: tuple[Grid, ...] = ()
    trials: Grid | None = None
    pictures: tuple[Picture, ...] = ()
    facts: tuple[Fact, ...] = ()
    table: GroundTable | None = None
    keep: KeepForm | None = None
    paste: Paste | None = None
    upload: Upload | None = None
    photo: PhotoUpload | None = None
    photos: tuple[ShownPhoto, ...] = ()
    bar: BarForm | None = None
    instrument_slot: str = ""
    mat: MatSlot | None = None
    picture_first: bool = False
    grids_first: bool = False
    may_be_blind: bool = False
    also: tuple[Also, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckPage:
    """One check of the visit, and how it is shown; what is next and how far it is says the protocol."""

    check: Check
    view: Callable[[Scene], CheckView]
