"""Feed the program what nobody should: command lines, files, keys, damaged data.

    fuzz.py [--minutes N] [KIND ...]     commands documents plans settings keys damaged

Hypothesis makes the input and remembers what failed in ``.hypothesis``; the command
line runs in this process, on real files. A case fails where something breaks that is
our fault: a traceback, an exit code that isn't promised, more than a sentence said, a
file changed by what was refused. One table at the end; 1 if anything was found.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import json
import os
import random
import shlex
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from hypothesis.database import DirectoryBasedExampleDatabase

from trainer.cli.context import CliContext
from trainer.cli.main import COMMANDS, main
from trainer.core.clock import ManualClock
from trainer.errors import TrainerError
from trainer.store import open_store

PROMISED = {0, 1, 2, 3, 130}
WORDS = st.sampled_from(
    [
        *COMMANDS,
        *("hang", "press-pike", "press-wall", "--held", "--rpe", "--felt", "--pain"),
        *("--on", "--db", "--json", "--yes", "--target", "--sets", "--week", "--note"),
        *("set", "show", "use", "save", "calendar", "questions", "check", "restore"),
        *("export", "import", "salvage", "backup", "path", "name", "--html", "-", "--"),
        *(
            "30",
            "-1",
            "1e999",
            "nan",
            "9" * 5000,
            "2026-W53",
            "2026-02-30",
            "lats:left",
        ),
        *("\x1b[2J", "[/]", "\u202e", "\udc80", "", " ", "/", "..", "~x/y", "n" * 256),
    ]
)
LINES = st.lists(WORDS | st.text(max_size=12), max_size=7)
JSON = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=12)
    | st.sampled_from(["2026-03-02T18:00:00+01:00", "9999-12-31", "hang", "target"]),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.text(max_size=8), inner, max_size=3)
    ),
    max_leaves=8,
)


@dataclass
class Tally:
    """What came of one kind."""

    cases: int = 0
    codes: dict[int, int] = field(default_factory=dict)
    found: list[str] = field(default_factory=list)


class Place:
    """One folder for all cases of a kind, with a data file that some change."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.db = folder, folder / "log.db"
        self.clock = ManualClock()
        names = ("data", "config", "state")
        self.environ = {f"XDG_{n.upper()}_HOME": str(folder / n) for n in names}
        self.environ["HOME"] = str(folder)

    def run(self, *arguments: str) -> tuple[int, str]:
        """Run one command line; give its code and what it said on stderr."""
        out, err = io.StringIO(), io.StringIO()
        context = CliContext(environ=self.environ, clock=self.clock, db=str(self.db))
        with (
            contextlib.redirect_stdout(out),
            contextlib.redirect_stderr(err),
            _stdin_of_nobody(),
        ):
            code = main(arguments, context=context)
        return int(code), err.getvalue()

    def fill(self) -> dict[str, Any]:
        """Log a little; give the export."""
        for held in ("20", "30", "25"):
            self.run("add", "hang", "--held", held, "--felt", "lats", "--rpe", "7")
        with open_store(self.db, clock=self.clock) as store:
            document: dict[str, Any] = json.loads(json.dumps(store.export()))
        return document


@contextlib.contextmanager
def _stdin_of_nobody() -> Any:
    before, sys.stdin = sys.stdin, io.TextIOWrapper(io.BytesIO())
    try:
        yield
    finally:
        sys.stdin = before


def judge(tally: Tally, code: int, err: str, what: str) -> None:
    """Note a case, and fail where it broke a promise."""
    tally.cases += 1
    tally.codes[code] = tally.codes.get(code, 0) + 1
    wrong = ""
    if code not in PROMISED:
        wrong = f"exit {code}"
    elif "our fault" in err or "Traceback" in err:
        wrong = err.strip()[-200:]
    elif code in (1, 2, 3) and not err.strip():
        wrong = f"exit {code} without a word"
    elif "\x1b" in err:
        wrong = "an escape sequence on stderr"
    if wrong:
        raise AssertionError(f"{what[:300]}: {wrong}")


def _commands(place: Place, tally: Tally) -> Callable[[], None]:
    os.chdir(place.folder)

    @given(line=LINES)
    def case(line: list[str]) -> None:
        # These open a screen or a session, or write where the case says.
        if {"session", "doctor", "demo", "--html", "--csv"} & set(line):
            return
        if "--db" in line or any("/" in word for word in line):
            line = [word for word in line if "/" not in word and word != "--db"]
        code, err = place.run(*line)
        judge(tally, code, err, shlex.join(line))

    return case


def _documents(place: Place, tally: Tally) -> Callable[[], None]:
    whole = place.fill()
    file = place.folder / "document.json"

    @given(seed=st.integers(0, 2**32), values=st.lists(JSON, min_size=1, max_size=3))
    def case(seed: int, values: list[Any]) -> None:
        draw = random.Random(seed)
        document = json.loads(json.dumps(whole))
        for value in values:
            _spoil(document, value, draw)
        file.write_text(json.dumps(document), "utf-8", errors="replace")
        with open_store(place.db, clock=place.clock) as store:
            before = store.export()
        code, err = place.run("data", "import", str(file))
        judge(tally, code, err, f"seed {seed}, {values!r}")
        with open_store(place.db, clock=place.clock) as store:
            if code and before != store.export():
                raise AssertionError(f"seed {seed}: refused, and taken in")
            if faults := store.check():
                raise AssertionError(f"seed {seed}, {values!r}: {faults[0]}")

    return case


def _spoil(document: Any, value: Any, draw: random.Random) -> None:
    """Put a value somewhere into a document, in place of what was there."""
    at = document
    while True:
        keys = list(at) if isinstance(at, dict) else list(range(len(at)))
        if not keys:
            return
        key = draw.choice(keys)
        deeper = at[key]
        if isinstance(deeper, dict | list) and deeper and draw.random() < 0.8:
            at = deeper
            continue
        at[key] = value
        return


def _toml(
    tally: Tally, seed_text: str, use: Callable[[], tuple[int, str]], file: Path
) -> Callable[[], None]:
    pieces = st.sampled_from(
        [
            "[",
            "]",
            "[[own]]",
            "=",
            "\n",
            '"',
            "'''",
            "#",
            "9" * 5000,
            "1e400",
            "nan",
            "a." * 900 + "b = 1",
            "[" * 900,
            "days = [9]",
            "\x00",
            "\ud800",
            "true",
        ]
    )

    @given(seed=st.integers(0, 2**32), piece=pieces | st.text(max_size=10))
    def case(seed: int, piece: str) -> None:
        draw = random.Random(seed)
        at = draw.randrange(len(seed_text) + 1)
        cut = draw.choice([0, 0, 1, 10, 100])
        text = seed_text[:at] + piece + seed_text[at + cut :]
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, "utf-8", errors="surrogatepass")
        code, err = use()
        judge(tally, code, err, f"seed {seed}, {piece[:40]!r}")

    return case


def _plans(place: Place, tally: Tally) -> Callable[[], None]:
    place.fill()
    file = place.folder / "plan.toml"
    place.run("plan", "save", str(file), "--yes")
    text = file.read_text("utf-8")

    def use() -> tuple[int, str]:
        return place.run("plan", "use", str(file), "--yes")

    return _toml(tally, text, use, file)


def _settings(place: Place, tally: Tally) -> Callable[[], None]:
    file = place.folder / "config" / "overhead-hold-trainer" / "settings.toml"
    text = 'theme = "trainer-dark"\nreduced_motion = true\n'
    text += '[keys]\n"everywhere.help" = "f1"\n'
    text += "[sound]\nvoice = true\n"

    def use() -> tuple[int, str]:
        from trainer.settings.settings import read_settings

        try:
            read_settings(file)
        except TrainerError as fault:
            return int(fault.exit_code), f"trainer: error: {fault}\n"
        return 0, ""

    return _toml(tally, text, use, file)


def _keys(place: Place, tally: Tally) -> Callable[[], None]:
    import asyncio

    from trainer.settings.paths import find_paths
    from trainer.settings.settings import Settings
    from trainer.sound.player import RecordingPlayer
    from trainer.tui.app import OPENED_FROM_TODAY, TrainerApp

    names = st.sampled_from(
        [
            "enter",
            "escape",
            "tab",
            "space",
            "up",
            "down",
            "left",
            "right",
            "pageup",
            "backspace",
            "delete",
            "f1",
            "ctrl+p",
            *"abcdefghijklmnopqrstuvwxyz0123456789",
            *"?+-.,[]/\\",
        ]
    )

    @given(
        start=st.sampled_from(["today", "session", *sorted(OPENED_FROM_TODAY)]),
        keys=st.lists(names, max_size=25),
        wide=st.booleans(),
    )
    def case(start: str, keys: list[str], wide: bool) -> None:
        async def press() -> None:
            with open_store(place.db, clock=place.clock) as store:
                store.set_answer("cautions-read", "2026-01-01")
                app = TrainerApp(
                    store=store,
                    paths=find_paths(place.environ),
                    settings=Settings(),
                    clock=place.clock,
                    start=start,
                    player=lambda _: RecordingPlayer(),
                )
                async with app.run_test(size=(100, 30) if wide else (60, 20)) as pilot:
                    await pilot.press(*keys)

        asyncio.run(press())
        tally.cases += 1

    return case


def _damaged(place: Place, tally: Tally) -> Callable[[], None]:
    whole = place.fill()
    uids = {h["uid"] for s in whole["sessions"] for h in s["holds"]}
    place.run("data", "check")
    good = place.db.read_bytes()

    @given(
        flips=st.lists(st.integers(0, len(good) * 8 - 1), min_size=1, max_size=4),
        cut=st.none() | st.integers(0, len(good)),
        command=st.sampled_from(
            [
                "next",
                "review",
                "data export",
                "data check",
                "add hang --held 5",
                "plan show",
                "undo --yes",
                "data backup",
                "data salvage -",
            ]
        ),
    )
    def case(flips: list[int], cut: int | None, command: str) -> None:
        content = bytearray(good)
        for flip in flips:
            content[flip // 8] ^= 1 << flip % 8
        for side in ("-wal", "-shm", "-journal"):
            place.db.with_name(place.db.name + side).unlink(missing_ok=True)
        place.db.write_bytes(content[:cut] if cut is not None else content)
        damaged = place.db.read_bytes()
        what = f"{command}, flips {flips}, cut {cut}"
        code, err = place.run(*command.split())
        judge(tally, code, err, what)
        if command == "data export" and code == 0 and "lost rows" not in err:
            with open_store(place.db, clock=place.clock) as store:
                there = store.export()
            if uids - {h["uid"] for s in there["sessions"] for h in s["holds"]}:
                raise AssertionError(f"{what}: a hold is missing, and nothing said")
        if code == 3 and damaged != place.db.read_bytes():
            raise AssertionError(f"{what}: refused, and written to")

    return case


KINDS: dict[str, Callable[[Place, Tally], Callable[[], None]]] = {
    "commands": _commands,
    "documents": _documents,
    "plans": _plans,
    "settings": _settings,
    "keys": _keys,
    "damaged": _damaged,
}


def fuzz(kind: str, examples: int) -> Tally:
    """Make cases of one kind."""
    tally = Tally()
    here = Path.cwd()
    with tempfile.TemporaryDirectory() as folder:
        case = KINDS[kind](Place(Path(folder)), tally)
        wanted = settings(
            max_examples=examples,
            deadline=None,
            database=DirectoryBasedExampleDatabase(here / ".hypothesis" / "fuzz"),
            suppress_health_check=list(HealthCheck),
            phases=(Phase.reuse, Phase.generate),
            report_multiple_bugs=False,
            print_blob=False,
        )
        try:
            wanted(case)()
        except BaseException as fault:  # whatever it is, it is what is looked for
            tally.found.append(f"{type(fault).__name__}: {fault}"[:600])
        finally:
            os.chdir(here)
    return tally


def main_() -> int:
    """Fuzz, print the table; 1 if anything was found."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("kinds", nargs="*", metavar="KIND", help=", ".join(KINDS))
    parser.add_argument("--minutes", type=float, default=2.0)
    parser.add_argument("--examples", type=int, default=100, help="cases in one go")
    arguments = parser.parse_args()
    kinds = arguments.kinds or list(KINDS)
    tallies: dict[str, Tally] = {kind: Tally() for kind in kinds}
    until_s = time.monotonic() + 60 * arguments.minutes
    first = True
    while first or time.monotonic() < until_s:
        for kind in kinds:
            if not first and time.monotonic() > until_s:
                break
            more, sofar = fuzz(kind, arguments.examples), tallies[kind]
            sofar.cases += more.cases
            sofar.found += more.found
            for code, count in more.codes.items():
                sofar.codes[code] = sofar.codes.get(code, 0) + count
        first = False
    print(f"{'kind':<12}{'cases':>8}{'found':>7}  exit codes")
    for kind, tally in tallies.items():
        codes = ", ".join(f"{code}: {n}" for code, n in sorted(tally.codes.items()))
        print(f"{kind:<12}{tally.cases:>8}{len(tally.found):>7}  {codes}")
        for found in dict.fromkeys(tally.found):
            print(f"    {found}")
    return int(any(tally.found for tally in tallies.values()))


if __name__ == "__main__":
    sys.exit(main_())
