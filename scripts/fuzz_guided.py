"""The cases of ``fuzz.py``, led by coverage: what reaches new lines is tried further.

    fuzz_guided.py [--minutes N] [KIND ...]      commands documents plans settings

By atheris (``pip install atheris``; wheels for Linux on x86-64, Python 3.11 to 3.13),
which makes bytes, and Hypothesis, which makes a case of them. What it finds is in the
table, and Hypothesis keeps it: ``fuzz.py`` tries it again first. Ends with 1 if it
found anything.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import sys
import tempfile
import time
from importlib.util import find_spec
from pathlib import Path

KINDS = ("commands", "documents", "plans", "settings")
"""Those whose cases are pure Python: keys and damaged files wait for other things."""
FIRST_INPUTS = 20
LONGEST_INPUT = 4096
"""Bytes. Shorter ones come to no case: Hypothesis draws more (our choice)."""
NOTED_EVERY = 20
"""Cases after which the count is written down (our choice)."""


def guide(kind: str, seconds: float, told: Path) -> None:
    """Fuzz one kind in this process, which that ends; the tally goes to a file."""
    import atheris  # type: ignore[import-not-found,unused-ignore]

    with atheris.instrument_imports(include=["trainer"]):
        import fuzz

        for module in ("store.merge", "plan_file", "settings.toml", "cli.plan"):
            __import__(f"trainer.{module}")
    tally = fuzz.Tally()

    def note() -> None:
        told.write_text(json.dumps([tally.cases, tally.codes, tally.found]), "utf-8")

    with fuzz.cases_of(kind, tally, examples=1) as case:
        until_s = time.monotonic() + seconds

        def one(data: bytes) -> None:
            try:
                case.hypothesis.fuzz_one_input(data)
            except Exception as fault:  # whatever it is, it is what is looked for
                tally.found.append(f"{type(fault).__name__}: {fault}"[:600])
            if tally.cases % NOTED_EVERY == 0 or tally.found:
                note()
            if tally.found or time.monotonic() > until_s:
                note()
                os._exit(0)

        corpus = told.with_name(f"{kind}-corpus")
        corpus.mkdir()
        for number in range(FIRST_INPUTS):
            first = random.Random(f"{kind} {number}").randbytes(LONGEST_INPUT // 2)
            (corpus / str(number)).write_bytes(first)
        options = (f"-max_len={LONGEST_INPUT}", "-len_control=0", "-verbosity=0")
        atheris.Setup([sys.argv[0], *options, str(corpus)], one)
        atheris.Fuzz()


def main() -> int:
    """Fuzz each kind in a process of its own, print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("kinds", nargs="*", metavar="KIND", help=", ".join(KINDS))
    parser.add_argument("--minutes", type=float, default=2.0, help="for each kind")
    arguments = parser.parse_args()
    if find_spec("atheris") is None:
        print("There is no atheris here; scripts/fuzz.py does without.")
        return 0
    noted = {}
    with tempfile.TemporaryDirectory() as folder:
        for kind in arguments.kinds or KINDS:
            told = Path(folder) / kind
            child = os.fork()
            if not child:
                guide(kind, 60 * arguments.minutes, told)
            os.waitpid(child, 0)
            noted[kind] = json.loads(told.read_text("utf-8"))
    import fuzz  # not before: atheris has to see what it imports

    tallies = {
        kind: fuzz.Tally(cases, {int(code): n for code, n in codes.items()}, found)
        for kind, (cases, codes, found) in noted.items()
    }
    print(fuzz.table(tallies))
    return int(any(tally.found for tally in tallies.values()))


if __name__ == "__main__":
    sys.exit(main())
