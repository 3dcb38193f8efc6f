"""The data file: the only place that knows SQL.

The names below are resolved when they are first used, so that importing the package
loads neither sqlite_utils nor SQLite.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from trainer.store.care.backups import Backup, BackupKind, list_backups
    from trainer.store.care.restoring import restore
    from trainer.store.store import Store, open_store

__all__ = ["Backup", "BackupKind", "Store", "list_backups", "open_store", "restore"]

_HOMES = {
    "Backup": "care.backups",
    "BackupKind": "care.backups",
    "Store": "store",
    "list_backups": "care.backups",
    "open_store": "store",
    "restore": "care.restoring",
}


def __getattr__(name: str) -> Any:
    """Give one of the public names, from the module in which it lives."""
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
