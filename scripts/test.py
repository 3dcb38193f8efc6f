"""Set up ``.venv`` beside this folder if need be, then run the tests in it.

Arguments go through to pytest, and its exit code comes back:

    python3 scripts/test.py
    python3 scripts/test.py tests/core -k breathing
"""

# No other imports up here: an older Python must get as far as the sentence below.
import sys

if not (3, 11) <= sys.version_info[:2] < (3, 14):
    sys.exit(
        f"test: Python 3.11, 3.12 or 3.13 is needed, this is {sys.version_info[0]}."
        f"{sys.version_info[1]}; start it with one of those, such as:"
        " python3.13 scripts/test.py"
    )

import os
import platform

import _setup

WAITING = 3
"""Workers beyond one a processor: some tests wait for sounds and for real clocks."""
MOST_WORKERS = 6
"""More at once and the tests with real processes and clocks begin to jostle."""


def main() -> int:
    """Set up, say which Python it is, then hand over."""
    python = _setup.ensure({"test"})
    print(f"Python {platform.python_version()} on {sys.platform}, .venv", flush=True)
    given = sys.argv[1:]
    if not given:
        workers = min(MOST_WORKERS, (os.cpu_count() or 1) + WAITING)
        given = ["-n", str(workers), "--dist", "loadgroup"]
    # -P: pytest is to import the package that is installed, not one that lies about.
    return _setup.start(
        [str(python), "-P", "-m", "pytest", *given],
        cwd=_setup.ROOT,
    )


if __name__ == "__main__":
    sys.exit(main())
