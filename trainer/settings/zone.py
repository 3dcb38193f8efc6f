"""The name of the time zone in which something was done: ``Europe/Vienna``.

An abbreviation such as CET is shared by several zones and says nothing of summer time;
the name from the IANA time zone database does (RFC 6557, https://www.iana.org/time-zones).
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from contextlib import suppress
from datetime import datetime
from pathlib import Path

ETC = Path("/etc")
_DATABASE = "zoneinfo"
"""The folder of the database, wherever a system keeps it."""


def zone_name(
    local: datetime, *, environ: Mapping[str, str] | None = None, etc: Path = ETC
) -> str:
    """Give this machine's zone where its name is known, else the abbreviation.

    A zone in which LOCAL would have another offset is not the one that was meant.

    Args:
        local: a local time, aware.
        environ: the environment; this process's if None.
        etc: the folder of the system's settings.
    """
    for name in _candidates(os.environ if environ is None else environ, etc):
        if _fits(name, local):
            return name
    return local.tzname() or ""


def _candidates(environ: Mapping[str, str], etc: Path) -> Iterator[str]:
    """Give the names that may be meant, the strongest first."""
    if "TZ" in environ:
        # A colon before a name is allowed (POSIX.1, 8.3); what is set stands alone.
        yield _in_database(environ["TZ"].removeprefix(":"))
        return
    with suppress(OSError, UnicodeDecodeError):
        yield (etc / "timezone").read_text(encoding="utf-8").strip()
    with suppress(OSError, RuntimeError):
        yield _in_database(str((etc / "localtime").resolve(strict=True)))


def _in_database(path: str) -> str:
    """Give the part of a path that lies inside the database; a mere name as it is."""
    return path.rpartition(f"/{_DATABASE}/")[2]


def _fits(name: str, local: datetime) -> bool:
    """Tell whether there is such a zone, with LOCAL's offset at that time."""
    from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

    try:
        there = local.astimezone(ZoneInfo(name))
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return False
    return there.utcoffset() == local.utcoffset()
