"""Set up ``.venv`` beside this folder if need be, then start the trainer.

Arguments go through to ``trainer``, and its exit code comes back:

    python3 scripts/run.py
    python3 scripts/run.py next --json
"""

# No other imports up here: an older Python must get as far as the sentence below.
import sys

if not (3, 11) <= sys.version_info[:2] < (3, 14):
    sys.exit(
        f"run: Python 3.11, 3.12 or 3.13 is needed, this is {sys.version_info[0]}."
        f"{sys.version_info[1]}; start it with one of those, such as:"
        " python3.13 scripts/run.py"
    )

import _setup


def main() -> int:
    """Set up, then hand over."""
    python = _setup.ensure({"photo"})
    # -P: a folder that happens to be named trainer where one stands is not ours.
    return _setup.start([str(python), "-P", "-m", "trainer", *sys.argv[1:]])


if __name__ == "__main__":
    sys.exit(main())
