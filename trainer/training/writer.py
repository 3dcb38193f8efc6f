"""Writes that must not be lost and must not stop a session.

Record first, complain after: a write that fails is kept, in order, and tried again
each second. What is said of it, and where it is kept meanwhile, is the runner's.
"""

from __future__ import annotations

from collections.abc import Callable

from trainer.errors import DataError, DataGoneError

RETRY_EVERY_S = 1.0
"""How often a write that failed is tried again (our choice)."""


class PatientWriter:
    """A queue of writes that is nearly always empty."""

    def __init__(self) -> None:
        self._pending: list[Callable[[], None]] = []
        self._retry_at_s = 0.0
        self.fault: DataError | None = None
        """Why the data file doesn't take what it should; None while it does."""

    @property
    def waiting(self) -> int:
        """How many writes wait for the data file to be writable again.

        Once the file is gone, what it had taken before waits too.
        """
        return max(len(self._pending), int(isinstance(self.fault, DataGoneError)))

    def write(self, write: Callable[[], None], *, keep: bool, now_s: float) -> None:
        """Write now, after whatever waits.

        Args:
            write: does it, or raises ``DataError``.
            keep: False for what the next second makes worthless.
            now_s: the time on the caller's clock.
        """
        if keep:
            self._pending.append(write)
            self._write_pending(now_s)
        elif not self._pending:
            self._try(write, now_s)

    def retry(self, now_s: float) -> None:
        """Try again what waits, if its time has come."""
        if self._pending and now_s >= self._retry_at_s:
            self._write_pending(now_s)

    def flush(self) -> None:
        """Write all that waits, for the last time.

        Raises:
            DataError: it can't be written even now; it is still waiting.
        """
        while self._pending:
            if not self._try(self._pending[0], self._retry_at_s):
                break
            self._pending.pop(0)
        if self.waiting and self.fault is not None:
            raise self.fault

    def _write_pending(self, now_s: float) -> None:
        while self._pending and self._try(self._pending[0], now_s):
            self._pending.pop(0)

    def _try(self, write: Callable[[], None], now_s: float) -> bool:
        try:
            write()
        except DataError as error:
            self._retry_at_s = now_s + RETRY_EVERY_S
            # A file that is gone stays gone, whatever else is wrong by now.
            if not isinstance(self.fault, DataGoneError):
                self.fault = error
            return False
        self.fault = None
        return True
