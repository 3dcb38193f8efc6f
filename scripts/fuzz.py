"""Feed the program what nobody should: command lines, files, keys, damaged data.

    fuzz.py [--minutes N | --cases N] [KIND ...]
    kinds: commands documents plans settings keys damaged

Most cases are right but for a little, so that they reach deep: a command with options
that it has, a whole export with a value changed, a plan with a line too many.
Hypothesis makes them and remembers in ``.hypothesis`` what failed; the command line
runs in this process, on real files. ``fuzz_guided.py`` makes the same cases led by
coverage.

A case fails where something breaks that is our fault: a traceback, an exit code that
isn't promised, an error without a word, a file changed by what was refused, something
taken in that ``check`` doesn't like. One table at the end, with how many were accepted
and refused, for a kind that refuses everything tests nothing; 1 if anything was found.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import json
import os
import re
import shlex
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import click
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from hypothesis.database import DirectoryBasedExampleDatabase

from trainer.cli.context import CliContext
from trainer.cli.main import cli, main
from trainer.core.answers import QUESTIONS
from trainer.core.clock import ManualClock
from trainer.core.cues.cues import Cue
from trainer.core.cues.settings import Backend, Voice
from trainer.core.exercises import BUILT_IN
from trainer.core.model import FELT_SITES, PAIN_SITES, Moment, PainKind, Side, StoppedBy
from trainer.core.weeks import IsoWeek
from trainer.errors import TrainerError
from trainer.settings.settings import THEMES, Photos, read_settings, write_settings
from trainer.store import open_store

PROMISED = {0, 1, 2, 3, 130}
DOCUMENT = sorted((Path(__file__).parents[1] / "tests" / "data").glob("m*.json"))[-1]
"""A made-up export with something in every table."""
HOSTILE = st.sampled_from(
    [
        *("-1", "0", "1e999", "nan", "9" * 5000, "1_0", "٣", "½", "0x10", "1,5"),
        *("2026-W53", "2026-02-30", "0000-01-01", "9999-12-31", "10000-W01"),
        *("\x1b[2J", "[/]", "\u202e", "\udc80", "\x00", "", " ", "/", "..", "~x/y"),
        *("n" * 256, "n" * 100_000, "=HYPERLINK()", "'; DROP TABLE holds; --"),
        *("lats:left:left", "lats@", "lats=11", "--", "-", "-h", "--json", "con"),
    ]
) | st.text(max_size=12)
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

    @property
    def accepted(self) -> int:
        """How many were done."""
        return self.codes.get(0, 0)

    def add(self, more: Tally) -> None:
        """Count another one's cases too."""
        self.cases += more.cases
        self.found += more.found
        for code, count in more.codes.items():
            self.codes[code] = self.codes.get(code, 0) + count


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
        """Take in a log with something of everything; give its export."""
        document = json.loads(DOCUMENT.read_text("utf-8"))
        with open_store(self.db, clock=self.clock) as store:
            store.import_document(document)
        return self.exported()

    def exported(self) -> dict[str, Any]:
        """Give what the data file exports, as another program reads it."""
        with open_store(self.db, clock=self.clock) as store:
            document: dict[str, Any] = json.loads(json.dumps(store.export()))
        return document


@contextlib.contextmanager
def _stdin_of_nobody() -> Iterator[None]:
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
    elif len(err) > LONGEST_ANSWER:
        wrong = f"{len(err)} characters of answer"
    if wrong:
        raise AssertionError(f"{what[:300]}: {wrong}")


LONGEST_ANSWER = 20_000
"""Whoever is answered in more characters reads none of it (our choice)."""


# -- command lines ------------------------------------------------------------------


def _words(values: Any) -> st.SearchStrategy[str]:
    return st.sampled_from([str(each) for each in values])


def _numbers(low: float, high: float) -> st.SearchStrategy[str]:
    return st.integers(int(low * 2), int(high * 2)).map(lambda n: f"{n / 2:g}")


DAYS = st.integers(-400, 30).map(lambda n: date(2026, 3, 2) + timedelta(days=n))
POINTS = st.tuples(st.integers(0, 1000), st.integers(0, 1000)).map(
    "{0[0]},{0[1]}".format
)
FILES = _words(
    [
        *("out.toml", "out.json", "out.html", "out.ics", "missing", ".", "-"),
        *("plan.toml", "document.json", "log.db", "other.db", "folder/new.json"),
    ]
)
FELT = st.builds(
    "{}{}{}{}".format,
    _words(FELT_SITES),
    _words(["", *(f":{side}" for side in Side)]),
    _words(["", *(f"@{moment}" for moment in Moment)]),
    _words(["", *(f"={strength}" for strength in range(11))]),
)
PAIN = st.builds(
    "{}{}{}".format,
    _words(PAIN_SITES),
    _words(["", *(f":{side}" for side in Side)]),
    _words(["", *(f"={kind}" for kind in PainKind)]),
)
GOOD: dict[str, st.SearchStrategy[str]] = {
    **dict.fromkeys(("held", "kept"), _numbers(0, 120)),
    **dict.fromkeys(("target_s", "start_s", "cap_s", "floor_s"), _numbers(1, 120)),
    **dict.fromkeys(("then", "now", "number"), _words(range(1, 9))),
    **dict.fromkeys(("elbow", "wrist", "shoulder", "hip", "rib"), POINTS),
    "rpe": _numbers(0, 10),
    "sets": _numbers(1, 6),
    "rest_s": _numbers(0, 300),
    "step_s": _numbers(1, 15),
    "weeks": _words(range(1, 60)),
    "felt": FELT,
    "pain": PAIN,
    "stopped_by": _words(StoppedBy),
    "feet": _words(["half", "little", "toes"]),
    "exercise": _words(BUILT_IN),
    "on": st.builds(
        "{}{}".format, DAYS.map(date.isoformat), _words(["", "T07:30", "T23:59"])
    ),
    "week": DAYS.map(lambda day: str(IsoWeek.of(day))),
    "note": st.text(max_size=30),
    "cue": st.text(max_size=30),
    "name": st.text(max_size=30),
    "answer": st.builds(
        "{}={}".format,
        _words(question.key for question in QUESTIONS),
        _words(["yes", "no", "open"]),
    ),
    "end": _words(["stop", "stay"]),
    "pattern": _words(["4:6", "3:3", "2:8", "5:10"]),
    "grip": _words(["floor", "fists", "handles", "wedge"]),
    "degrees": _numbers(90, 200),
    "method": _words(["photo", "goniometer", "inclinometer", "eye"]),
    "ear": POINTS | st.just("hidden"),
    "facing": _words(["left", "right"]),
    "side": _words(["left", "right"]),
    "pose": _words(["reach", "hang", "press"]),
    "when": _words(["before", "after"]),
    "reach": _words(["guarded", "free"]),
    "blades": _words(["sunk", "pressed"]),
    "db": _words(["log.db", "other.db", "missing.db", "plan.toml", "folder"]),
}
"""Values that a parameter takes, by its name; others get a file's name."""
LEFT_OUT = {"session", "doctor", "demo"}
"""These lead a session, play sounds or open a screen: other campaigns do that."""


def _all_commands() -> list[tuple[tuple[str, ...], list[click.Parameter]]]:
    """List the program's own commands with their parameters, whatever they are."""
    found: list[tuple[tuple[str, ...], list[click.Parameter]]] = []

    def look(command: click.Command, path: tuple[str, ...]) -> None:
        if not isinstance(command, click.Group):
            found.append((path, command.params))
            return
        context = click.Context(command)
        for name in command.list_commands(context):
            below = command.get_command(context, name)
            if below is not None and name not in LEFT_OUT:
                look(below, (*path, name))

    look(cli, ())
    return found


@st.composite
def command_lines(draw: st.DrawFn) -> list[str]:
    """Make a command line that is right but, now and then, for a value or a word."""
    path, parameters = draw(st.sampled_from(_all_commands()))
    words: list[str] = []
    chance = st.integers(0, 9)
    for each in parameters:
        wanted = draw(chance) < (10 if each.required else 3)
        if not wanted or each.name is None:
            continue
        good = GOOD.get(each.name, FILES)
        if isinstance(each.type, click.Choice):
            good = _words(each.type.choices)
        if isinstance(each, click.Option):
            words.append(each.opts[0])
            if each.is_flag:
                continue
        words.append(draw(HOSTILE if draw(chance) == 0 else good))
    if draw(chance) == 0:
        words.insert(draw(st.integers(0, len(words))), draw(HOSTILE))
    return [*path, *words]


def _commands(place: Place, tally: Tally) -> Callable[[], None]:
    os.chdir(place.folder)
    whole = place.fill()
    (place.folder / "document.json").write_text(json.dumps(whole))
    place.run("plan", "save", "plan.toml", "--yes")

    @given(line=command_lines())
    def case(line: list[str]) -> None:
        if any("/" in word and "new.json" not in word for word in line):
            line = [word for word in line if "/" not in word]  # stay in this folder
        code, err = place.run(*line)
        judge(tally, code, err, shlex.join(line))

    return case


# -- documents ----------------------------------------------------------------------


def _places(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Give the way to every value in a document."""
    if path:
        yield path
    if isinstance(value, dict | list):
        items = value.items() if isinstance(value, dict) else enumerate(value)
        for key, inner in items:
            yield from _places(inner, (*path, key))


def _at(document: Any, path: tuple[Any, ...]) -> Any:
    for key in path:
        document = document[key]
    return document


def _change(document: Any, draw: Callable[[Any], Any]) -> None:
    """Change one thing in a document: mostly to what could stand there."""
    paths = list(_places(document))
    path = draw(st.sampled_from(paths))
    owner, key, old = _at(document, path[:-1]), path[-1], _at(document, path)
    alike = [
        _at(document, each)
        for each in paths
        if each[-1] == key and type(_at(document, each)) is type(old)
    ]
    how = draw(st.sampled_from(["alike", "alike", "nudge", "nudge", "drop", "any"]))
    if how == "drop":
        del owner[key]
    elif how == "any":
        owner[key] = draw(JSON)
    elif how == "nudge" and isinstance(old, int | float) and not isinstance(old, bool):
        owner[key] = old + draw(st.sampled_from([-100, -1, -0.5, 0.1, 1, 7, 1000]))
    elif how == "nudge" and isinstance(old, str):
        owner[key] = old + draw(st.text(max_size=3))
    elif how == "nudge" and isinstance(old, list) and old:
        old.append(json.loads(json.dumps(draw(st.sampled_from(old)))))
    else:
        owner[key] = json.loads(json.dumps(draw(st.sampled_from(alike))))


def _documents(place: Place, tally: Tally) -> Callable[[], None]:
    whole = place.fill()
    file = place.folder / "document.json"

    @given(data=st.data(), changes=st.integers(0, 3))
    def case(data: st.DataObject, changes: int) -> None:
        document = json.loads(json.dumps(whole))
        for _ in range(changes):
            _change(document, data.draw)
        file.write_text(json.dumps(document), "utf-8", errors="replace")
        before = place.exported()
        code, err = place.run("data", "import", str(file), "--yes")
        judge(tally, code, err, err)
        after = place.exported()
        if code and before != after:
            raise AssertionError(f"refused, and taken in: {err}")
        with open_store(place.db, clock=place.clock) as store:
            if faults := store.check():
                raise AssertionError(f"taken in, and now: {faults[0]}")
        if code == 0:
            place.run("data", "import", str(file), "--yes")
            if after != place.exported():
                raise AssertionError("taken in twice is more than once")

    return case


# -- plans and settings ---------------------------------------------------------------

PIECES = st.sampled_from(
    [
        *("[", "]", "[[own]]", "=", "\n", '"', "'''", "#", "days = [9]", "true"),
        *("9" * 5000, "1e400", "nan", "a." * 900 + "b = 1", "[" * 900, "\x00"),
        *("\ud800", "\ufeff", "1979-05-27T07:32:00Z", "\r"),
    ]
)
VALUE = re.compile(r'"[^"\n]*"|\d+(?:\.\d+)?|true|false')
KEY = re.compile(r'\s*"?([\w.-]+)"?\s*=')


def _changed_text(
    text: str, draw: Callable[[Any], Any], known: dict[str, list[str]]
) -> str:
    """Change one thing in a text: mostly a value to one that could stand there.

    Args:
        text: a TOML file.
        draw: takes one from a strategy.
        known: by key, the texts that it takes.
    """
    how = draw(st.sampled_from(["value"] * 6 + ["drop", "twice", "move", "piece"]))
    lines = text.split("\n")
    at = draw(st.integers(0, len(lines) - 1))
    values = list(VALUE.finditer(lines[at].partition("#")[0]))
    if how == "drop":
        del lines[at]
    elif how == "twice":
        lines.insert(at, lines[at])
    elif how == "move":
        lines.insert(draw(st.integers(0, len(lines) - 1)), lines.pop(at))
    elif how == "piece":
        cut = draw(st.integers(0, len(lines[at])))
        piece = draw(PIECES | st.text(max_size=10))
        lines[at] = lines[at][:cut] + piece + lines[at][cut:]
    elif values:
        value = draw(st.sampled_from(values))
        key = KEY.match(lines[at])
        new = _other_value(value[0], draw, known.get(key[1] if key else "", []))
        lines[at] = lines[at][: value.start()] + new + lines[at][value.end() :]
    return "\n".join(lines)


def _other_value(old: str, draw: Callable[[Any], Any], known: list[str]) -> str:
    hostile = draw(st.integers(0, 5)) == 0
    if old in ("true", "false"):
        return str(draw(st.sampled_from(["true", "false", "1", '"yes"'])))
    if old[0] == '"':
        good = st.sampled_from(known) if known else st.text(max_size=20)
        return json.dumps(draw(HOSTILE if hostile else good), ensure_ascii=False)
    return str(draw(HOSTILE if hostile else _numbers(0, 130)))


OWN = """
[[own]]
id = "ring-hang"
name = "Hang from rings"
family = "hang"
setup_s = 10
go_up_lead_s = 3
allowance_s = 3
come_out_s = 4

[[exercise]]
id = "ring-hang"
sets = 2
start_s = 15
"""
"""An exercise of one's own, in a plan."""


def _plans(place: Place, tally: Tally) -> Callable[[], None]:
    place.fill()
    file, back = place.folder / "plan.toml", place.folder / "back.toml"
    place.run("plan", "save", str(file), "--yes")
    text = file.read_text("utf-8") + OWN
    known = {
        "id": list(BUILT_IN),
        "hang": ["hang", "hang-supported"],
        "press": ["press-pushup", "press-pike", "press-wall"],
        "days": ["mon", "tue", "wed", "thu", "fri", "sat", "sun"],
        "order": ["in-turn", "hang-first", "press-first"],
        "end_of_hold": ["stop", "stay"],
        "pattern": ["4:6", "3:3", "5:10"],
        "grip": ["floor", "fists", "handles", "wedge"],
    }

    @given(data=st.data(), changes=st.integers(0, 3))
    def case(data: st.DataObject, changes: int) -> None:
        changed = text
        for _ in range(changes):
            changed = _changed_text(changed, data.draw, known)
        file.write_text(changed, "utf-8", errors="surrogatepass")
        code, err = place.run("plan", "use", str(file), "--yes", "--anyway")
        judge(tally, code, err, err or changed[:200])
        if code == 0:
            saved, said = place.run("plan", "save", str(back), "--yes")
            again, said_again = place.run("plan", "use", str(back), "--yes", "--anyway")
            if saved or again:
                raise AssertionError(f"taken, and not given back: {said}{said_again}")

    return case


SETTINGS = """\
# what a person wrote
theme = "day"
reduced_motion = true
upside_down = ["press-pike"]
photos = "blocks"
[keys]
"everywhere.help" = "f1"
"session.undo" = "z"
[sound]
voice = "both"
volume = 0.5
muted = ["halfway"]
backend = "bell"
"""


def _settings(place: Place, tally: Tally) -> Callable[[], None]:
    file = place.folder / "settings.toml"
    known = {
        "theme": list(THEMES),
        "upside_down": list(BUILT_IN),
        "photos": list(Photos),
        "voice": list(Voice),
        "backend": list(Backend),
        "muted": list(Cue),
        "everywhere.help": ["f1", "f2", "h", "f1,f2"],
        "session.undo": ["z", "y", "x", "f5"],
    }

    @given(data=st.data(), changes=st.integers(0, 3))
    def case(data: st.DataObject, changes: int) -> None:
        changed = SETTINGS
        for _ in range(changes):
            changed = _changed_text(changed, data.draw, known)
        file.write_text(changed, "utf-8", errors="surrogatepass")
        try:
            read = read_settings(file)
            write_settings(file, read)
            same = read_settings(file) == read
        except TrainerError as fault:
            judge(tally, int(fault.exit_code), f"{fault}\n", str(fault))
            return
        judge(tally, 0, "", changed)
        if not same:
            raise AssertionError(f"read, and written as something else: {changed!r}")

    return case


# -- keys ---------------------------------------------------------------------------


def _keys(place: Place, tally: Tally) -> Callable[[], None]:
    import asyncio

    from trainer.settings.paths import find_paths
    from trainer.settings.settings import Settings
    from trainer.sound.player import RecordingPlayer
    from trainer.tui.app import TrainerApp
    from trainer.tui.door import OPENED_FROM_TODAY

    place.fill()
    names = st.sampled_from(
        [
            *("enter", "enter", "escape", "tab", "space", "up", "down", "left"),
            *("right", "pageup", "backspace", "delete", "f1", "ctrl+p"),
            *"abcdefghijklmnopqrstuvwxyz0123456789",
            *"?+-.,[]/\\",
        ]
    )

    @given(
        start=st.sampled_from(["today", "session", *sorted(OPENED_FROM_TODAY)]),
        keys=st.lists(names, min_size=5, max_size=40),
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
                    for key in keys:
                        place.clock.advance(0.7)
                        await pilot.press(key)

        tally.cases += 1
        asyncio.run(press())
        tally.codes[0] = tally.codes.get(0, 0) + 1

    return case


# -- damaged files --------------------------------------------------------------------


def _damaged(place: Place, tally: Tally) -> Callable[[], None]:
    whole = place.fill()
    uids = {h["uid"] for s in whole["sessions"] for h in s["holds"]}
    place.run("data", "check")
    good = place.db.read_bytes()

    @given(
        flips=st.lists(st.integers(0, len(good) * 8 - 1), min_size=1, max_size=4),
        cut=st.none() | st.none() | st.integers(0, len(good)),
        command=st.sampled_from(
            [
                "next",
                "review",
                "log list",
                "angle list",
                "data export",
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
        if command == "data export" and code == 0 and not err:
            there = place.exported()
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


@contextlib.contextmanager
def cases_of(kind: str, tally: Tally, examples: int) -> Iterator[Any]:
    """Make one kind's test, with its folder; what Hypothesis finds, it keeps."""
    here = Path.cwd()
    wanted = settings(
        max_examples=examples,
        deadline=None,
        database=DirectoryBasedExampleDatabase(here / ".hypothesis" / "fuzz"),
        suppress_health_check=list(HealthCheck),
        phases=(Phase.reuse, Phase.generate, Phase.shrink),
        report_multiple_bugs=False,
        print_blob=False,
    )
    with tempfile.TemporaryDirectory() as folder:
        try:
            yield wanted(KINDS[kind](Place(Path(folder)), tally))
        finally:
            os.chdir(here)


def fuzz(kind: str, examples: int) -> Tally:
    """Make cases of one kind."""
    tally = Tally()
    with cases_of(kind, tally, examples) as case:
        try:
            case()
        except BaseException as fault:  # whatever it is, it is what is looked for
            tally.found.append(f"{type(fault).__name__}: {fault}"[:600])
    return tally


def table(tallies: dict[str, Tally]) -> str:
    """Draw what came of each kind."""
    rows = [
        f"{'kind':<12}{'cases':>8}{'accepted':>10}{'refused':>9}{'found':>7}  exits"
    ]
    for kind, tally in tallies.items():
        codes = ", ".join(f"{code}: {n}" for code, n in sorted(tally.codes.items()))
        refused = sum(tally.codes.values()) - tally.accepted
        rows.append(
            f"{kind:<12}{tally.cases:>8}{tally.accepted:>10}{refused:>9}"
            f"{len(tally.found):>7}  {codes}"
        )
        rows += [f"    {found}" for found in dict.fromkeys(tally.found)]
    return "\n".join(rows)


def fuzz_all() -> int:
    """Fuzz, print the table; 1 if anything was found."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("kinds", nargs="*", metavar="KIND", help=", ".join(KINDS))
    parser.add_argument("--minutes", type=float, default=2.0)
    parser.add_argument("--cases", type=int, default=0, help="of each kind, instead")
    parser.add_argument("--examples", type=int, default=100, help="cases in one go")
    arguments = parser.parse_args()
    kinds = arguments.kinds or list(KINDS)
    tallies: dict[str, Tally] = {kind: Tally() for kind in kinds}
    until_s = time.monotonic() + 60 * arguments.minutes
    first = True
    while True:
        for kind in kinds:
            wants = tallies[kind].cases < arguments.cases
            if first or wants or (not arguments.cases and time.monotonic() < until_s):
                tallies[kind].add(fuzz(kind, arguments.examples))
        first = False
        if arguments.cases and all(
            each.cases >= arguments.cases or each.found for each in tallies.values()
        ):
            break
        if not arguments.cases and time.monotonic() > until_s:
            break
    print(table(tallies))
    return int(any(tally.found for tally in tallies.values()))


if __name__ == "__main__":
    sys.exit(fuzz_all())
