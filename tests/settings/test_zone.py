"""The zone's name: from the environment, the system's settings, or not at all.

The offsets are those of the IANA time zone database, as Python's zoneinfo reads it.
"""

from __future__ import annotations

from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest

from trainer.settings.zone import zone_name

CET = timezone(timedelta(hours=1), "CET")
WINTER = datetime(2026, 3, 2, 18, tzinfo=CET)
SUMMER = datetime(2026, 7, 2, 18, tzinfo=timezone(timedelta(hours=2), "CEST"))


@pytest.fixture
def etc(tmp_path: Path) -> Path:
    """Give a system's settings without a word of the zone."""
    return tmp_path


def localtime(etc: Path, name: str) -> None:
    """Let the system's local time be a zone of its database, as most systems do."""
    zone = etc / "share" / "zoneinfo" / name
    zone.parent.mkdir(parents=True)
    zone.write_bytes(b"")
    (etc / "localtime").symlink_to(zone)


@pytest.mark.parametrize(
    "text",
    ["Europe/Vienna", ":Europe/Vienna", "/usr/share/zoneinfo/Europe/Vienna"],
)
@pytest.mark.parametrize("local", [WINTER, SUMMER])
def test_the_environment_may_name_the_zone(
    etc: Path, text: str, local: datetime
) -> None:
    """In each form that a system takes, summer and winter."""
    assert "Europe/Vienna" == zone_name(local, environ={"TZ": text}, etc=etc)


@pytest.mark.parametrize("text", ["", "CET-1CEST", "Europe/Atlantis", "../x", "\0"])
def test_what_names_no_zone_leaves_the_abbreviation(etc: Path, text: str) -> None:
    """Then the machine's own settings aren't asked either: they don't count."""
    (etc / "timezone").write_text("Europe/Vienna\n")

    assert "CET" == zone_name(WINTER, environ={"TZ": text}, etc=etc)


def test_the_system_may_name_the_zone(etc: Path) -> None:
    """In a file of its own, or by what its local time points to."""
    localtime(etc, "Europe/Madrid")
    assert "Europe/Madrid" == zone_name(WINTER, environ={}, etc=etc)

    (etc / "timezone").write_text("Europe/Vienna\n")
    assert "Europe/Vienna" == zone_name(WINTER, environ={}, etc=etc)


def test_a_zone_with_another_offset_is_not_the_one(etc: Path) -> None:
    """A wrong name would be worse than an abbreviation: the next one is asked."""
    (etc / "timezone").write_text("America/New_York\n")
    assert "CET" == zone_name(WINTER, environ={}, etc=etc)

    localtime(etc, "Europe/Madrid")
    assert "Europe/Madrid" == zone_name(WINTER, environ={}, etc=etc)


def test_a_machine_that_says_nothing_gives_the_abbreviation(etc: Path) -> None:
    """Nothing is made up."""
    assert "CET" == zone_name(WINTER, environ={}, etc=etc)
