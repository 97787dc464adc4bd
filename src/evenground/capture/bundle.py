"""A visit bundle: a folder, or the same folder zipped, with `visit.toml` beside its recordings."""

from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from evenground.capture.bundle_files import BundleFiles, digest, open_files
from evenground.capture.fields import read_toml
from evenground.capture.studio_file import StudioFile, studio_from
from evenground.capture.visit_file import VisitFile, visit_from
from evenground.visit import StudioSnapshot, Visit

__all__ = ["Bundle", "read_bundle"]


@dataclass(frozen=True, slots=True)
class Bundle:
    """A bundle that was read: the visit, the studio it was made in, and the way to its recordings.

    `digests` gives the SHA-256 of every file that the visit or the studio names.
    """

    where: str
    visit: Visit
    studio: StudioSnapshot
    digests: dict[str, str]
    files: BundleFiles

    def open_blob(self, name: str) -> BinaryIO:
        """Open a recording, layout or stock list by its name in the bundle."""
        return self.files.open(name)


def read_bundle(path: Path) -> Bundle:
    """Read a visit bundle, folder or zip, and check that every file it names is there.

    Parameters
    ----------
    path
        The folder or the zip file.

    Raises
    ------
    CaptureError
        The first thing that makes the bundle unreadable: which file, which field, what is allowed. A
        recording that turns out unusable later is no such thing; it becomes a finding *not measured*.
    """
    files = open_files(path)
    visit_name = "visit.toml"
    visit_path = f"{files.where}/{visit_name}"
    with files.open(visit_name) as stream:
        visit = visit_from(read_toml(stream.read(), VisitFile, file=visit_path), where=visit_path)
    studio = _read_studio(files)
    named = {name: visit_name for p in visit.ground for name in (p.recording, p.layout) if name is not None}
    named |= {name: visit_name for pair in visit.held_load for name in pair.recordings}
    shown = {v.photo for v in visit.posture_views if v.photo is not None}
    named |= dict.fromkeys(shown & set(files.names()), visit_name)  # a deleted photo leaves its points
    if studio.stock is not None:
        named[studio.stock] = "studio.toml"
    digests = {}
    for name, wanted_by in sorted(named.items()):
        with files.open(name, wanted_by=wanted_by) as stream:
            digests[name] = digest(stream)
    return Bundle(where=files.where, visit=visit, studio=studio, digests=digests, files=files)


def _read_studio(files: BundleFiles) -> StudioSnapshot:
    """The studio's snapshot, or the defaults when the bundle holds none."""
    name = "studio.toml"
    if name not in files.names():
        return StudioSnapshot()
    with files.open(name) as stream:
        return studio_from(read_toml(stream.read(), StudioFile, file=f"{files.where}/{name}"))
