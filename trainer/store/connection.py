"""A connection to a data file: SQLite's own, with rows by their columns' names.

The standard library has all that the store asks for once a file is made. sqlite_utils,
which makes and migrates it, takes longer to load than a year's log takes to be read.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Sequence
from typing import Any

COPYING_WAIT_S = 5.0
"""How long the making or checking of a copy waits for another program."""


class Connection(sqlite3.Connection):
    """A connection on which a transaction is one that was asked for."""

    def execute(self, sql: str, values: Any = (), /) -> sqlite3.Cursor:
        """Run a statement.

        Raises:
            sqlite3.Error: as in the standard library; also where SQLite's own sentence
                about a damaged file quotes the damage, for which that raises
                UnicodeDecodeError.
        """
        try:
            return super().execute(sql, values)
        except UnicodeDecodeError as error:
            damaged = sqlite3.DatabaseError("what its tables are called is no text")
            damaged.sqlite_errorcode = sqlite3.SQLITE_CORRUPT
            raise damaged from error

    def query(self, sql: str, values: Sequence[Any] = ()) -> Iterator[dict[str, Any]]:
        """Run a query at once, and give its rows by their columns' names."""
        cursor = self.execute(sql, values)
        names = [column[0] for column in cursor.description]
        return (dict(zip(names, row, strict=True)) for row in cursor)


def connect(address: str, *, wait_s: float = 0.0) -> Connection:
    """Open a connection that any thread may use, one at a time.

    Args:
        address: a file address, as SQLite has them (https://sqlite.org/uri.html).
        wait_s: how long each statement waits for another program.
    """
    return sqlite3.connect(
        address,
        timeout=wait_s,
        # None is begun behind a statement: what is one write is said by ``BEGIN``.
        isolation_level=None,
        check_same_thread=False,
        factory=Connection,
        uri=True,
    )
