"""What is found out on an item is written into its profile: a proof, a reading, a remark, the drawing's fingerprint."""

import hashlib
import re
from collections.abc import Iterable
from pathlib import Path
from typing import Final

from rotary.errors import FileTrouble, brief, known_numbers, refuse
from rotary.files import bytes_of_file, write_new
from rotary.passes.learning.reading import Reading as Cell
from rotary.store import places
from rotary.store.profile_names import token
from rotary.store.profiles import Saved, change
from rotary.store.proof_readings import readings_with_cells
from rotary.store.record import ArtworkFile, AsRun, MachineReading, Note, Profile, Proof, RunReading, now

LARGEST_DRAWING_BYTES: Final = 600_000_000
"""No picture or drawing that the tool reads is larger."""

LARGEST_PHOTO_BYTES: Final = 60_000_000
PHOTO_ENDINGS: Final = frozenset((".jpg", ".jpeg", ".png", ".heic", ".webp", ".tif", ".tiff", ".gif", ".bmp"))
PICTURE_BEGINS: Final = re.compile(
    rb"\xff\xd8\xff|\x89PNG\r\n\x1a\n|GIF8|BM|II\*\0|MM\0\*|RIFF.{4}WEBP|.{4}ftyp", re.DOTALL
)
"""How the files of cameras and picture programs begin: JPEG, PNG, GIF, BMP, TIFF twice, WebP, HEIC (this one from
memory, not seen)."""


def prove(
    home: Path,
    plan: AsRun,
    batch: str = "",
    note: str = "",
    version: str | None = None,
    machine: tuple[str, tuple[MachineReading, ...]] = ("", ()),
    cells: Iterable[Cell] = (),
    files: tuple[ArtworkFile, ...] = (),
) -> Saved:
    """Write down that a version was run as planned and came out as wanted.

    `machine` is the machine's name and the readings that it rested on, where it was run on one as measured.
    `cells` are all readings of patches that are kept; those of this coating, metal and laser go along. `files` are
    those that the marking program was given.
    """

    def proven(profile: Profile) -> Profile:
        readings = readings_with_cells(profile.saved.readings, cells, profile.job)
        proof = Proof(
            on=now(),
            batch=batch,
            note=note,
            plan=plan,
            job=profile.job,
            machine=machine[0],
            machine_readings=machine[1],
            files=files,
        )
        return _with(profile, proof=proof, plan=plan, readings=readings)

    return change(home, proven, "proven", version)


def add_reading(home: Path, reading: RunReading) -> Saved:
    """Write down something that was read."""
    return change(home, lambda profile: _with(profile, readings=(*profile.saved.readings, reading)), "reading added")


def strike_reading(home: Path, place: int) -> Saved:
    """Strike a reading out, by its place from 1; it stays in the file and does not count."""

    def ignored(profile: Profile) -> Profile:
        readings = list(profile.saved.readings)
        if not 1 <= place <= len(readings):
            known = known_numbers("reading", range(1, len(readings) + 1), "no reading is saved yet")
            raise refuse("reading", f"there is no reading {place}: {known}")
        readings[place - 1] = readings[place - 1].but(ignored=True)
        return _with(profile, readings=tuple(readings))

    return change(home, ignored, f"reading {place} ignored")


def add_note(home: Path, says: str) -> Saved:
    """Write down a remark."""
    note = Note(on=now(), text=says)
    return change(home, lambda profile: _with(profile, notes=(*profile.saved.notes, note)), "note added")


def artwork_file(path: Path) -> ArtworkFile:
    """The name and fingerprint of a drawing; where it lies is not kept."""
    larger = FileTrouble(f"{brief(path, 80)} is too large for a drawing: name the drawing that you mark")
    data = bytes_of_file(path, LARGEST_DRAWING_BYTES, "name the drawing that you mark", larger)
    return ArtworkFile(name=path.name, sha256=hashlib.sha256(data).hexdigest(), size_bytes=len(data))


def keep_photo(source: Path, home: Path) -> ArtworkFile:
    """Copy a photograph of a result beside the versions of a profile; its name there, and its fingerprint.

    Raises Refused where it is no picture, or FileTrouble; nothing is written then.
    """
    ending = source.suffix.lower()
    if ending not in PHOTO_ENDINGS:
        raise refuse(
            "photo", f"{brief(source.name)} is not a photograph: choose a file that ends in .jpg, .png or .heic"
        )
    larger = FileTrouble(f"{brief(source, 80)} is larger than 60 MB: choose a smaller picture")
    data = bytes_of_file(source, LARGEST_PHOTO_BYTES, "choose a photograph", larger)
    if PICTURE_BEGINS.match(data) is None:
        raise refuse("photo", f"{brief(source.name)} holds no picture: choose a photograph")
    while True:
        copy = home / f"{places.dated(now())}-{token(6)}{ending}"
        if write_new(copy, data):
            return artwork_file(copy)


def _with(profile: Profile, **values: object) -> Profile:
    return profile.but(saved=profile.saved.but(**values))
