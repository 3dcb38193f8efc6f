"""The lock that says which program may run a session on a data file.

It is the operating system's own lock on an empty file beside the data file. The
system lets go of it when the process ends, however it ends, so nothing stale can stay
behind; the lock file itself may stay and means nothing.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path


class FileLock:
    """One program's hold on the lock file at PATH."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._descriptor: int | None = None

    @property
    def taken(self) -> bool:
        """Whether this object has the lock."""
        return self._descriptor is not None

    def take(self) -> bool:
        """Take the lock if it is free; False if another program has it.

        Raises:
            OSError: the lock file can't be made.
        """
        if self._descriptor is not None:
            return True
        # Not inherited by child processes, so a player can't keep the lock alive.
        descriptor = os.open(self.path, os.O_RDWR | os.O_CREAT, 0o600)
        if _lock(descriptor):
            self._descriptor = descriptor
            return True
        os.close(descriptor)
        return False

    def release(self) -> None:
        """Let go, if it is held."""
        if self._descriptor is not None:
            os.close(self._descriptor)
            self._descriptor = None


if sys.platform == "win32":
    import msvcrt

    def _lock(descriptor: int) -> bool:
        try:
            msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True

else:
    import fcntl

    def _lock(descriptor: int) -> bool:
        # flock, not lockf: a lockf lock is lost when the process closes any other
        # descriptor of the same file.
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        return True
