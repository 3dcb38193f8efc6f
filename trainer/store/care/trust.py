"""Whether the data file can be trusted: still the one that was opened, still whole.

Three looks, each as cheap as its place asks for:

- before and after each write, ``OpenedFile.look``: the file on the path is the one that
  is open (device, inode, its own id, not shorter than its pages). Folder-syncing
  programs replace files, and people move them;
- on opening, the *seal*: counts and sums of the tables, written in the transaction that
  changed them;
- on opening a file that nobody else has open, the *sum* of its bytes as this program
  left them.

A seal or a sum that differs is no verdict: it asks for SQLite's own check.
"""

from __future__ import annotations

import os
import sqlite3
import threading
import time
import zlib
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import ClassVar

from trainer.store.care import faults
from trainer.store.connection import Connection

HEADER_BYTES = 100
_MAGIC = b"SQLite format 3\x00"
"""The first bytes of every database (https://sqlite.org/fileformat2.html)."""
LOOKS = 30
LOOK_EVERY_S = 0.01
"""How often a file may look too short before it is: another program empties its log
into it, page by page, the first page first (our choice)."""
_CHUNK = 1 << 16


@dataclass(frozen=True, slots=True)
class Header:
    """What the first hundred bytes of a database say (offsets: the file format)."""

    page_size: int
    pages: int
    """0 where the header doesn't know."""
    file_id: int
    """The ``user_version``: made when the file was."""
    application_id: int


def read_header(head: bytes) -> Header | None:
    """Read a database's header; None where there is none."""
    if len(head) < HEADER_BYTES or not head.startswith(_MAGIC):
        return None

    def number(at: int, size: int = 4) -> int:
        return int.from_bytes(head[at : at + size], "big")

    page_size = number(16, 2)
    counted = number(24) == number(92)  # else written by something very old
    return Header(
        page_size=65536 if page_size == 1 else page_size,
        pages=number(28) if counted else 0,
        file_id=number(60),
        application_id=number(68),
    )


class OpenedFile:
    """The file that was opened, by a descriptor of its own, whatever lies on its path.

    Only one descriptor a file and process, and none is closed while SQLite has the
    file open: closing any descriptor of a file lets go of all locks that the process
    has on it, SQLite's among them (https://sqlite.org/howtocorrupt.html, 2.2).
    """

    _open: ClassVar[dict[tuple[int, int], tuple[int, int]]] = {}
    """Device and inode: the descriptor, and how many have it."""
    # One that this thread may take again: what a signal raises between taking a lock
    # and the block under it leaves it taken, and closing must still go (Python 3.13).
    _guard = threading.RLock()

    def __init__(self, path: Path) -> None:
        """Open what lies on PATH now.

        Raises:
            OSError: it can't be opened.
        """
        self.path = path
        self._log_path = beside(path, "-wal")
        with self._guard:
            known = self._open.get(_key(path.stat()))
            if known is None:
                descriptor = os.open(path, os.O_RDONLY | getattr(os, "O_BINARY", 0))
                known = (descriptor, 0)
            self._descriptor = known[0]
            self._key = _key(os.fstat(self._descriptor))
            self._open[self._key] = (self._descriptor, known[1] + 1)
        self._closed = False
        self._ids: set[int] = set()
        self._log: tuple[int, int] | None = None

    def header(self) -> Header | None:
        """Read the header as it is on the disk."""
        return read_header(self._read(0, HEADER_BYTES))

    def size(self) -> int:
        """Give its length in bytes."""
        return os.fstat(self._descriptor).st_size

    def changed_at_ns(self) -> int:
        """Give when it, or what is known of it, was last changed on this machine."""
        return os.fstat(self._descriptor).st_ctime_ns

    def copy_to(self, target: Path) -> None:
        """Copy its bytes, without a descriptor that SQLite's locks would go with.

        Raises:
            OSError: they can't be written.
        """
        at = 0
        with target.open("wb") as copy:
            while piece := self._read(at, _CHUNK):
                copy.write(piece)
                at += len(piece)

    def learn(self, db: Connection) -> None:
        """Take what is open now as the file that every later look has to find."""
        header = self.header()
        on_disk = header.file_id if header else 0
        # Until the log is emptied into it, the header may be the former one.
        self._ids = {on_disk, db.execute("PRAGMA user_version").fetchone()[0]}

    def look(self) -> None:
        """Make sure that the file on the path is the one that is open.

        Raises:
            DataGoneError: it was moved, deleted, replaced, overwritten or cut off.
        """
        try:
            on_path = _key(self.path.stat())
        except OSError:
            raise faults.gone(self.path, "was moved or deleted") from None
        if on_path != self._key:
            raise faults.gone(self.path, "was replaced by another file")
        header = self.header()
        if header is None or header.file_id not in self._ids:
            raise faults.gone(self.path, "was overwritten by something else")
        if self._too_short(header):
            raise faults.gone(self.path, "was cut off")
        self._look_at_log()

    def _too_short(self, header: Header) -> bool:
        for _ in range(LOOKS):
            if self.size() >= header.pages * header.page_size:
                return False
            time.sleep(LOOK_EVERY_S)
            header = self.header() or header
        return True

    def _look_at_log(self) -> None:
        """Make sure that SQLite's log beside the file is the one that it writes to.

        While somebody has the file open nobody takes its log away, or makes it shorter
        but the one who empties it.
        """
        try:
            found = self._log_path.stat()
        except OSError:
            if self._log is None:
                return
            raise faults.gone(self.path, "has lost its -wal file") from None
        if self._log is None:
            self._log = _key(found)
        if _key(found) != self._log:
            raise faults.gone(self.path, "has another -wal file beside it")

    def is_intact(self) -> bool:
        """Tell whether what was opened is still itself, wherever it lies now."""
        header = self.header()
        return (
            header is not None
            and header.file_id in self._ids
            and self.size() >= header.pages * header.page_size
        )

    def drop_log(self) -> None:
        """Cut SQLite's log off, so that it isn't played into what overwrote the file.

        Raises:
            OSError: it can't be.
        """
        if self._log is not None and _key(self._log_path.stat()) == self._log:
            os.truncate(self._log_path, 0)

    def sum(self) -> str:
        """Give the sum of all bytes, as ``closed.sum`` keeps it."""
        total, at = 0, 0
        while piece := self._read(at, _CHUNK):
            total = zlib.crc32(piece, total)
            at += len(piece)
        return f"{at} {total:08x}"

    def close(self) -> None:
        """Let go of it, after SQLite has."""
        with self._guard:
            if self._closed:
                return
            self._closed = True
            descriptor, users = self._open[self._key]
            if users > 1:
                self._open[self._key] = (descriptor, users - 1)
            else:
                del self._open[self._key]
                os.close(descriptor)

    def _read(self, at: int, length: int) -> bytes:
        if hasattr(os, "pread"):
            return os.pread(self._descriptor, length, at)
        with self._guard:  # Windows: the place to read at is the descriptor's
            os.lseek(self._descriptor, at, os.SEEK_SET)
            return os.read(self._descriptor, length)


def _key(found: os.stat_result) -> tuple[int, int]:
    return found.st_dev, found.st_ino


def beside(path: Path, ending: str) -> Path:
    """Give the file that SQLite or this program keeps beside PATH under its name."""
    return path.parent / f"{path.name}{ending}"


# -- the seal: in the file ---------------------------------------------------------

_DIGITS = (
    "CAST(substr({0}, 9, 2) || substr({0}, 12, 2) || substr({0}, 15, 2)"
    " || substr({0}, 18, 2) AS INTEGER)"
)
_SUMS: dict[str, tuple[str, ...]] = {
    "sessions": (
        "utc_offset_min",
        "length(note) + length(kind)",
        "deleted_at IS NULL",
        _DIGITS.format("started_at"),
    ),
    "planned_sets": ("CAST(round(target_s * 10) AS INTEGER)",),
    "holds": (
        "CAST(round(held_s * 10) AS INTEGER)",
        "CAST(round(coalesce(kept_s, 0) * 10) AS INTEGER)",
        "set_number",
        "deleted_at IS NULL",
        "length(exercise) + length(note)",
        _DIGITS.format("started_at"),
    ),
    "hold_felt": ("CAST(round(coalesce(strength, 0) * 10) AS INTEGER)",),
    "hold_pain": ("length(kind)", "gone_on IS NULL"),
    "session_overrides": ("length(reason)",),
    "corrections": ("length(what)",),
    "plans": ("length(document)",),
    "targets": ("CAST(round(target_s * 10) AS INTEGER)", "deleted_at IS NULL"),
    "rest_weeks": ("deleted_at IS NULL",),
    "shown_suggestions": ("sets",),
    "angle_checks": ("length(landmarks)",),
    "angle_corrections": ("length(to_json)",),
    "answers": ("length(value)",),
}
"""Table: what is summed up over its rows; whole numbers, so that no order matters."""


def _figures_sql() -> str:
    tables = ", ".join(
        f"(SELECT json_array(count(*), {', '.join(f'sum({each})' for each in sums)})"
        f' FROM "{table}" NOT INDEXED)'
        for table, sums in _SUMS.items()
    )
    # Other tables, other sums: what an older version sealed says nothing any more.
    version = "(SELECT max(name) FROM _sqlite_migrations)"
    return f"SELECT json_array({version}, {tables}), (SELECT count(*) FROM holds)"


_FIGURES = _figures_sql()


@dataclass(frozen=True, slots=True)
class Seal:
    """What was counted when the file was last written, and what is counted now."""

    holds_then: int
    holds_now: int
    broken: bool


def write_seal(db: Connection) -> None:
    """Seal what is about to be committed."""
    figures, holds = db.execute(_FIGURES).fetchone()
    db.execute(
        "INSERT INTO seal (only, holds, figures) VALUES (1, ?, ?)"
        " ON CONFLICT (only) DO UPDATE SET holds = excluded.holds,"
        " figures = excluded.figures",
        [holds, figures],
    )


def read_seal(db: Connection) -> Seal | None:
    """Compare the seal with the tables; None where there is nothing to compare."""
    sealed = db.execute("SELECT holds, figures FROM seal").fetchone()
    if sealed is None:
        return None
    figures, holds = db.execute(_FIGURES).fetchone()
    of_one_version = str(figures).split(",")[0] == str(sealed[1]).split(",")[0]
    return Seal(
        holds_then=sealed[0],
        holds_now=holds,
        broken=of_one_version and figures != sealed[1],
    )


# -- the sum: beside the file ------------------------------------------------------


def sum_path(path: Path) -> Path:
    """Give where the sum of the data file PATH is kept."""
    return beside(path, "-backups") / "closed.sum"


def keep_sum(opened: OpenedFile) -> None:
    """Note the bytes as they are left, once there is a folder of copies.

    One that can't be noted asks for a check the next time.
    """
    target = sum_path(opened.path)
    with suppress(OSError):
        flags = os.O_WRONLY | os.O_CREAT | os.O_TRUNC
        descriptor = os.open(target, flags, 0o600)
        with open(descriptor, "w", encoding="ascii") as file:
            file.write(opened.sum())


def sum_differs(opened: OpenedFile) -> bool:
    """Tell whether the bytes are others than this program left, or nobody knows."""
    try:
        kept = sum_path(opened.path).read_text(encoding="ascii", errors="replace")
    except OSError:
        return True
    return kept != opened.sum()


def quick_check(db: Connection) -> str:
    """Ask SQLite whether the file is whole: ``ok``, or what it finds first."""
    try:
        return str(db.execute("PRAGMA quick_check(1)").fetchone()[0])
    except sqlite3.DatabaseError as error:
        return str(error)
