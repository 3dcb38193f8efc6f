"""A timed hold trainer for stiff shoulders: hangs, press-away holds, long exhales.

Importing the package loads nothing else; the version is read only when asked for.
"""

from __future__ import annotations


def __getattr__(name: str) -> str:
    """Give ``__version__`` from the installed distribution, on first use."""
    if name == "__version__":
        from importlib.metadata import PackageNotFoundError, version

        try:
            return version("overhead-hold-trainer")
        except PackageNotFoundError:
            return "0+unknown"
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
