"""Writes that must not be lost and must not stop a session.

Record first, complain after: a write that fails is kept, in order, and tried again
each second; the person is told once, and once more when all is saved.
"""

from __future__ import annotations

from collections.abc import Callable

from trainer.errors import DataError

RETRY_EVERY_S = 1.0
"""How often a write that failed is tried again (our choice)."""


class PatientWriter:
    """A queue of writes that is nearly always empty."""

    def __init__(self) -> None:
        self._pending: list[Callable[[], None]] = []
        self._retry_at_s = 0.0
        self._complained = False
        self._notices: list[str] = []

    @property
    def waiting(self) -> int:
        """How many writes wait for the data file to be writable again."""
        return len(self._pending)

    def write(self, write: Callable[[], None], *, keep: bool, now_s: float) -> None:
        """Write now, after whatever waits.

        Args:
            write: does it, or raises ``DataError``.
            keep: False for what the next second makes worthless.
            now_s: the time on the caller's clock.
        """
        if not keep:
            self._try_once(write, now_s)
            return
        self._pending.append(write)
        self._write_pending(now_s)

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
            self._pending[0]()
            self._pending.pop(0)

    def take_notices(self) -> tuple[str, ...]:
        """Give the sentences for the person that came up since the last call."""
        notices, self._notices = tuple(self._notices), []
        return notices

    def _try_once(self, write: Callable[[], None], now_s: float) -> None:
        if self._pending:
            return
        try:
            write()
        except DataError as error:
            self._complain(error, now_s)
        else:
            self._all_saved()

    def _write_pending(self, now_s: float) -> None:
        while self._pending:
            try:
                self._pending[0]()
            except DataError as error:
                self._complain(error, now_s)
                return
            self._pending.pop(0)
        self._all_saved()

    def _complain(self, error: DataError, now_s: float) -> None:
        self._retry_at_s = now_s + RETRY_EVERY_S
        if not self._complained:
            self._complained = True
            self._notices.append(
                f"{error} What was done is kept here and tried again each second."
            )

    def _all_saved(self) -> None:
        if self._complained:
            self._complained = False
            self._notices.append("The data file can be written again; all is saved.")
