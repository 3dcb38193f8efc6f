"""Follow each "how to add" of DEVELOPERS.md on a copy, and see that it does as it says.

    recipes.py               all of them, with the tests that each names
    recipes.py cue rule      these
    recipes.py --quick       without those tests: the change itself, and that it works

A recipe is what a person would do: lines put into files. It names the files that it
touches; the same ones stand in DEVELOPERS.md (a test compares). Nothing of the checkout
is changed.
"""

from __future__ import annotations

import argparse
import os
import re
import shutil
import subprocess
import sys
import tempfile
import textwrap
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from importlib.util import cache_from_source
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent


class RecipeError(Exception):
    """A step can't be done as written, or what it should bring isn't there."""


@dataclass
class Copy:
    """A copy of the checkout that a recipe changes."""

    root: Path
    touched: list[str] = field(default_factory=list)

    def after(self, path: str, anchor: str, text: str) -> None:
        """Put TEXT behind the one place where ANCHOR stands."""
        self._swap(path, anchor, anchor + text)

    def before(self, path: str, anchor: str, text: str) -> None:
        """Put TEXT in front of the one place where ANCHOR stands."""
        self._swap(path, anchor, text + anchor)

    def at_the_end(self, path: str, text: str) -> None:
        """Put TEXT at the end of a file."""
        file = self._file(path)
        file.write_text(file.read_text(encoding="utf-8") + text, encoding="utf-8")

    def new(self, path: str, text: str) -> None:
        """Make a file."""
        self._file(path).write_text(textwrap.dedent(text), encoding="utf-8")

    def put(self, path: str, text: str) -> None:
        """Put TEXT in place of a whole file."""
        self._file(path).write_text(text, encoding="utf-8")

    def run(self, *command: str) -> str:
        """Run Python in the copy; return what it printed."""
        done = subprocess.run(
            [sys.executable, *command],
            cwd=self.root,
            # What it makes for a while goes with the copy.
            env={**os.environ, "TMPDIR": str(self.root)},
            capture_output=True,
            text=True,
            check=False,
        )
        if done.returncode:
            raise RecipeError(
                f"{' '.join(command)}\n{done.stdout}{done.stderr}"[-4000:]
            )
        return done.stdout

    def shows(self, code: str) -> None:
        """Run a few lines that have to hold in the changed copy."""
        self.run("-c", textwrap.dedent(code))

    def _file(self, path: str) -> Path:
        if path not in self.touched:
            self.touched.append(path)
        return self.root / path

    def _swap(self, path: str, old: str, new: str) -> None:
        file = self._file(path)
        text = file.read_text(encoding="utf-8")
        if text.count(old) != 1:
            raise RecipeError(f"{path}: {old!r} stands there {text.count(old)} times")
        file.write_text(text.replace(old, new), encoding="utf-8")


def copy_of(checkout: Path, to: Path) -> Copy:
    """Copy what is under version control, or would be."""
    listed = subprocess.run(
        ["git", "ls-files", "--cached", "--others", "--exclude-standard", "-z"],
        cwd=checkout,
        capture_output=True,
        check=True,
    ).stdout.decode()
    for name in filter(None, listed.split("\0")):
        source = checkout / name
        if source.is_file():
            _copy_with_bytecode(source, to / name)
    return Copy(to)


def _copy_with_bytecode(source: Path, target: Path) -> None:
    """Copy a file, and what Python compiled of it, with their times.

    So each program that a recipe starts compiles what the recipe changed, not all.
    """
    target.parent.mkdir(parents=True, exist_ok=True)
    shutil.copy2(source, target)
    if source.suffix == ".py":
        compiled = Path(cache_from_source(str(source)))
        if compiled.is_file():
            beside = Path(cache_from_source(str(target)))
            beside.parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(compiled, beside)


@dataclass(frozen=True)
class Recipe:
    """What is added, how, and the tests that it says are to pass."""

    follow: Callable[[Copy], None]
    tests: tuple[str, ...]


RECIPES: dict[str, Recipe] = {}


def recipe(name: str, *tests: str) -> Callable[[Callable[[Copy], None]], None]:
    """Put a function into the table under NAME."""

    def put(follow: Callable[[Copy], None]) -> None:
        RECIPES[name] = Recipe(follow, tests)

    return put


@recipe("an exercise", "tests/core/next_week", "tests/core/plan", "tests/core/session")
def _exercise(copy: Copy) -> None:
    copy.before(
        "trainer/core/exercises.py",
        "_RUNGS = (",
        textwrap.dedent(
            """\
            LEAN = Exercise(
                id="lean",
                name="Doorway lean",
                family=None,
                setup_s=8,
                go_up_lead_s=3,
                allowance_s=2,
                overhead=False,
                loads=HANG_LOADS,
                instructions=("Lean in and breathe out.",),
                position_lost="elbows dropped",
                caution="Stop at a sharp or pinching pain.",
            )
            """
        ),
    )
    copy.after("trainer/core/exercises.py", "_RUNGS = (", "LEAN, ")
    copy.shows(
        """
        import os, sqlite3, subprocess, sys, tempfile
        folder = tempfile.mkdtemp()
        os.environ |= {"HOME": folder, "XDG_CONFIG_HOME": folder}
        db = os.path.join(folder, "log.db")
        run = lambda *words: subprocess.run(
            [sys.executable, "-m", "trainer", "--db", db, *words], check=True,
            capture_output=True, text=True, stdin=subprocess.DEVNULL).stdout
        run("add", "lean", "--held", "20")
        assert "lean" in run("data", "export", "-")
        run("session", "--plain", "--rehearse", "--speed", "20",
            "--exercise", "lean", "--sets", "1", "--target", "5")
        weeks = sqlite3.connect(db).execute("SELECT * FROM weekly_overhead").fetchall()
        assert [] == weeks, "counted as overhead"
        """
    )


@recipe("a press rung", "tests/core/next_week/test_properties.py", "tests/core/plan")
def _rung(copy: Copy) -> None:
    copy.before(
        "trainer/core/exercises.py",
        "_RUNGS = (",
        textwrap.dedent(
            """\
            PRESS_BOX = Exercise(
                id="press-box",
                name="Press-away, pike with feet on a high box",
                short_name="Press, high box",
                family=Family.PRESS,
                setup_s=15,
                go_up_lead_s=6,
                allowance_s=5,
                upside_down=True,
                loads=PRESS_LOADS,
                instructions=("Push the floor away and keep pushing.",),
                position_lost="elbows bent or shoulders sank",
                caution="Head down: the box against a wall.",
            )
            """
        ),
    )
    copy.after("trainer/core/exercises.py", "PRESS_PIKE, ", "PRESS_BOX, ")
    copy.shows(
        """
        from trainer.core.exercises import rung_above, rung_below
        assert "press-box" == rung_above("press-pike") == rung_below("press-wall")
        """
    )


@recipe("a cue", "tests/core/cues", "tests/sound/test_tones.py")
def _cue(copy: Copy) -> None:
    copy.after(
        "trainer/core/cues/cues.py",
        'HALFWAY = "halfway"\n',
        '    QUARTER = "quarter"\n',
    )
    copy.before(
        "trainer/core/cues/cues.py",
        "    Cue.SETUP_TICK: CueKind(",
        """\
    Cue.QUARTER: CueKind(
        name="a quarter",
        label="quarter",
        meaning="a quarter of the target is done",
        room_s=1.0,
    ),
""",
    )
    copy.after(
        "trainer/core/cues/timeline.py",
        "    cues.append(TimedCue(target_s / 2, Cue.HALFWAY))\n",
        "    cues.append(TimedCue(target_s / 4, Cue.QUARTER))\n",
    )
    copy.before(
        "trainer/sound/tones.py",
        "    Cue.TEN_LEFT: tuple(",
        "    Cue.QUARTER: (_level(_B4, 0.21, 0.08), Note(_B4, _G5, 0.31)),\n",
    )
    copy.run("scripts/make_sounds.py")
    copy.touched.append("sounds/tone-quarter.wav")
    copy.shows(
        """
        from trainer.core.cues.breathing import Pattern
        from trainer.core.cues.cues import Cue
        from trainer.core.cues.timeline import hold_cues
        from trainer.core.model import EndOfHold
        from trainer.sound import clips
        cues = hold_cues(target_s=60, pattern=Pattern(), limit_s=None, press=False,
                         end_of_hold=EndOfHold.STOP)
        assert [15.0] == [each.at_s for each in cues if each.cue is Cue.QUARTER]
        assert not clips.missing_files()
        """
    )


@recipe("a rule", "tests/core/next_week/test_rules.py")
def _rule(copy: Copy) -> None:
    copy.after(
        "trainer/core/next_week/suggestion.py",
        '    AT_CAP = "at-cap"\n',
        '    LONG_ENOUGH = "long-enough"\n',
    )
    copy.at_the_end(
        "trainer/core/next_week/rules.py",
        '''

def long_enough(case: Case) -> Outcome | None:
    """Keep a target of exactly 299 s, for which nobody has a reason to ask for more."""
    if case.current_s != 299.0:
        return None
    return Outcome(
        rule=Rule.LONG_ENOUGH,
        target_s=case.current_s,
        sets=case.sets,
        reasons=("299 s is long enough.",),
        would_change=(),
    )
''',
    )
    copy.after(
        "trainer/core/next_week/decide.py",
        "    rules.at_cap,\n",
        "    rules.long_enough,\n",
    )


@recipe("a command", "tests/cli/test_main.py")
def _command(copy: Copy) -> None:
    copy.new(
        "trainer/cli/hello.py",
        '''\
        """``trainer hello``: say that the program is there."""

        from __future__ import annotations

        import click

        from trainer.cli import output
        from trainer.cli.context import CliContext, usual_options, pass_context


        @click.command("hello")
        @usual_options
        @pass_context
        def hello_command(context: CliContext) -> None:
            """Say that the program is there."""
            output.line("Here.")
        ''',
    )
    copy.before(
        "trainer/cli/main.py",
        '    "demo": (',
        '    "hello": ("hello", "Say that the program is there."),\n',
    )
    copy.after("README.md", "trainer doctor\ntrainer demo\n", "trainer hello\n")
    copy.shows(
        """
        import subprocess, sys
        said = subprocess.run([sys.executable, "-m", "trainer", "hello"],
                              capture_output=True, text=True, check=True).stdout
        assert "Here.\\n" == said
        """
    )


@recipe("a migration", "tests/store/test_migrations.py")
def _migration(copy: Copy) -> None:
    change = "ALTER TABLE sessions ADD COLUMN place TEXT NOT NULL DEFAULT ''"
    _migration_of(copy, "place", change)
    copy.shows(
        """
        import sqlite3, tempfile
        from pathlib import Path
        from trainer.core.clock import SystemClock
        from trainer.store import open_store
        path = Path(tempfile.mkdtemp(), "log.db")
        open_store(path, clock=SystemClock()).close()
        columns = sqlite3.connect(path).execute("PRAGMA table_info(sessions)")
        assert "place" in [column[1] for column in columns]
        """
    )


def _migration_of(copy: Copy, what: str, change: str) -> None:
    """Add the next migration, and the pair of files that stands for it."""
    schema = (copy.root / "trainer/store/schema.py").read_text(encoding="utf-8")
    last = max(int(found) for found in re.findall(r"^def m(\d+)_", schema, re.M))
    name = f"m{last + 1:03}"
    copy.before(
        "trainer/store/schema.py",
        '_SET = "trainer"',
        f"""\
@migration
def {name}_{what}(db: Connection) -> None:
    \"\"\"Add what this one is for.\"\"\"
    db.execute("{change}")


""",
    )
    copy.run("-m", "tests.store.old_files", name)
    copy.touched += [f"tests/data/{name}.sql", f"tests/data/{name}.json"]


@recipe(
    "a stop reason", "tests/cli/plain/test_keys.py", "tests/tui/session/test_log.py"
)
def _stop_reason(copy: Copy) -> None:
    copy.before(
        "trainer/core/model.py",
        '    OTHER = "other", ',
        '    BOREDOM = "boredom", "y", "The mind ended the hold."\n',
    )
    copy.shows(
        _LOGGED.format(words=["--stopped-by", "boredom"], said="boredom")
        + """
from trainer.cli.plain.keys import STOPPED_BY
assert "boredom" == STOPPED_BY["y"]
from trainer.tui.keymap import KEYS
assert "y" == KEYS["session.boredom"].keys
"""
    )


@recipe("a felt place", "tests/core/charts", "tests/tui/session/test_log.py")
def _felt_place(copy: Copy) -> None:
    copy.before(
        "trainer/core/model.py",
        '    ELBOW = "elbow", ',
        '    HEEL_OF_HAND = "heel-of-hand", "heel of the hand", "z"\n',
    )
    body = (copy.root / "trainer/core/charts/body.py").read_text(encoding="utf-8")
    first = re.search(r"^.*hh.*$", body, re.M)
    if first is None:
        raise RecipeError("no hand on the drawing")
    for line in dict.fromkeys(re.findall(r"^.*hh.*$", body, re.M)):
        body = body.replace(line, line.replace("hh", "hz"))
    copy.put("trainer/core/charts/body.py", body)
    copy.shows(
        _LOGGED.format(words=["--felt", "heel-of-hand:left"], said="heel-of-hand")
        + """
from trainer.core.charts.body import LARGE, SMALL
from trainer.core.model import Site
assert LARGE.cells(Site.HEEL_OF_HAND) and SMALL.cells(Site.HEEL_OF_HAND)
"""
    )


_LOGGED = """
import os, subprocess, sys, tempfile
folder = tempfile.mkdtemp()
os.environ |= {{"HOME": folder, "XDG_CONFIG_HOME": folder}}
run = lambda *words: subprocess.run(
    [sys.executable, "-m", "trainer", "--db", os.path.join(folder, "log.db"), *words],
    check=True, capture_output=True, text=True, stdin=subprocess.DEVNULL).stdout
run("add", "hang", "--held", "20", *{words})
assert '"{said}"' in run("data", "export", "-")
assert "well" in run("data", "check")
"""


@recipe("a column of holds", "tests/store")
def _column(copy: Copy) -> None:
    copy.after(
        "trainer/core/model.py",
        '    feet: Feet | None = None\n    note: str = ""\n',
        "    load_kg: float | None = None\n",
    )
    _migration_of(copy, "load", "ALTER TABLE holds ADD COLUMN load_kg REAL")
    copy.after(
        "trainer/store/rows.py",
        '        "rpe_wording": hold.rpe_wording,\n',
        '        "load_kg": hold.load_kg,\n',
    )
    copy.after("trainer/store/rows.py", '" note, rpe_wording', ", load_kg")
    copy.after(
        "trainer/store/rows.py",
        "        rpe_wording=values[17],\n",
        "        load_kg=values[18],\n",
    )
    copy.before(
        "trainer/store/document.py",
        '            feet=record.maybe_choice("feet", Feet),\n',
        '            load_kg=record.maybe_number("load_kg"),\n',
    )
    copy.shows(
        """
        import json, tempfile
        from dataclasses import replace
        from pathlib import Path
        from tests.store.makers import Makers
        from trainer.core.clock import ManualClock
        from trainer.store import open_store
        clock = ManualClock()
        make = Makers(clock)
        first, second = (Path(tempfile.mkdtemp(), "log.db") for _ in range(2))
        with open_store(first, clock=clock) as store:
            make.logged(store, replace(make.hold(held_s=7.0), load_kg=2.5))
            document = json.loads(json.dumps(store.export()))
        with open_store(second, clock=clock) as store:
            store.import_document(document)
            (session,) = store.history().sessions
        assert 2.5 == session.holds[0].load_kg
        """
    )


@recipe("a chart", "tests/core/review", "tests/report")
def _chart(copy: Copy) -> None:
    copy.before(
        "trainer/core/charts/pages.py",
        "def angle_series(found: Review)",
        '''\
def holds_by_week(found: Review) -> dict[IsoWeek, float]:
    """Return how many holds each week had."""
    return dict(
        Counter(
            IsoWeek.of(session.local_date)
            for session in found.sessions
            for _ in session.holds
        )
    )


def _holds(found: Review) -> Page:
    """How many holds each week had."""
    series = [("holds", holds_by_week(found))]

    def draw(width: int, height: int, glyphs: Glyphs) -> Picture:
        return weekly_chart(
            series,
            first=found.first,
            last=found.last,
            width=width,
            height=max(8, height),
            unit="",
            glyphs=glyphs,
        )

    said = f"{sum(series[0][1].values()):g} holds in these weeks."
    return Page(id="holds", title="Holds", sentences=(said,), draw=draw, list_up=tuple)


''',
    )
    copy.after(
        "trainer/core/charts/pages.py",
        "        _overhead(found),\n",
        "        _holds(found),\n",
    )
    copy.after(
        "trainer/core/charts/pages.py",
        "import textwrap\n",
        "from collections import Counter\n",
    )
    copy.after(
        "trainer/core/charts/pages.py",
        "from trainer.core.words import short_date\n",
        "from trainer.core.weeks import IsoWeek\n",
    )
    copy.after("trainer/report/page.py", "import families", ", holds_by_week")
    copy.after(
        "trainer/report/page.py",
        "        *_overhead(found),\n",
        """\
        Figure(
            weekly_drawing(
                found,
                [("holds", holds_by_week(found))],
                id="holds",
                title="Holds",
                sentence="Holds in each week.",
                unit="",
            ),
            ("Holds in each week.",),
        ),
""",
    )
    copy.shows(
        """
        import os, subprocess, sys, tempfile
        folder = tempfile.mkdtemp()
        os.environ |= {"HOME": folder, "XDG_CONFIG_HOME": folder}
        run = lambda *words: subprocess.run(
            [sys.executable, "-m", "trainer", "--db", folder + "/log.db", *words],
            check=True, capture_output=True, text=True, stdin=subprocess.DEVNULL).stdout
        run("add", "hang", "--held", "20")
        assert "1 holds in these weeks." in run("review")
        assert "Holds in each week." in run("review", "--html", "-")
        """
    )


@recipe("a key", "tests/tui/test_keymap.py")
def _key(copy: Copy) -> None:
    copy.before(
        "trainer/tui/keymap.py",
        '    _key("today.plan",',
        '    _key("today.hello", "y", "Hello", "Say that Today is there."),\n',
    )
    copy.before(
        "trainer/tui/screens/today.py",
        '        bind("today.plan", "plan"),\n',
        '        bind("today.hello", "hello"),\n',
    )
    copy.before(
        "trainer/tui/screens/today.py",
        "    def action_plan(self)",
        """\
    def action_hello(self) -> None:
        \"\"\"Say that Today is there.\"\"\"
        self.notify("Here.", markup=False)

""",
    )
    copy.shows(_PRESSING.format(keys='"y"', said="Here."))


@recipe("a screen", "tests/tui/test_keymap.py", "tests/test_imports.py")
def _screen(copy: Copy) -> None:
    copy.new(
        "trainer/tui/screens/hello.py",
        '''\
        """Hello: a page with one line."""

        from __future__ import annotations

        from typing import ClassVar

        from textual.binding import BindingType

        from trainer.tui.screens.page import READING, Page


        class HelloScreen(Page[None]):
            """A page with one line."""

            HEADING = "Hello"
            BINDINGS: ClassVar[list[BindingType]] = [*READING]
        ''',
    )
    copy.before(
        "trainer/tui/door.py",
        '    "next-week": ',
        '    "hello": "trainer.tui.screens.hello:HelloScreen",\n',
    )
    copy.before(
        "trainer/tui/keymap.py",
        '    _key("today.plan",',
        '    _key("today.hello", "y", "Hello", "Open a page with one line."),\n',
    )
    copy.before(
        "trainer/tui/screens/today.py",
        '        bind("today.plan", "plan"),\n',
        '        bind("today.hello", "hello"),\n',
    )
    copy.before(
        "trainer/tui/screens/today.py",
        "    def action_plan(self)",
        """\
    def action_hello(self) -> None:
        \"\"\"Open a page with one line.\"\"\"
        open_screen(self.app, "hello")

""",
    )
    copy.shows(_PRESSING.format(keys='"y"', said="Hello"))


_PRESSING = """
import asyncio, tempfile
from pathlib import Path
from tests.tui.desk import clock_at, frame, made_app, made_store, settle

async def press():
    clock = clock_at()
    with made_store(Path(tempfile.mkdtemp()), clock) as store:
        settle(store)
        app = made_app(store, clock)
        async with app.run_test(size=(100, 30), notifications=True) as pilot:
            await pilot.pause()
            await pilot.press({keys})
            await pilot.pause()
            seen = frame(pilot)
            said = [each.message for each in app._notifications]
            assert "{said}" in seen or "{said}" in said, seen
asyncio.run(press())
"""


def _follow(name: str, *, quick: bool) -> tuple[bool, str, float]:
    """Follow one recipe; return whether it held, what it touched, and its seconds."""
    began = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        copy = copy_of(ROOT, Path(folder))
        try:
            RECIPES[name].follow(copy)
            if not quick:
                copy.run("-m", "pytest", "-q", "-x", *RECIPES[name].tests)
        except RecipeError as error:
            return False, str(error), time.monotonic() - began
        return True, ", ".join(copy.touched), time.monotonic() - began


def main() -> int:
    """Print a row for each recipe; 1 if any of them is not as written."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
    parser.add_argument("--quick", action="store_true", help="leave the tests out")
    parser.add_argument("words", nargs="*", help="recipes whose name has this word")
    asked = parser.parse_args()
    failed = 0
    for name in RECIPES:
        if asked.words and not any(word in name for word in asked.words):
            continue
        well, said, took_s = _follow(name, quick=asked.quick)
        failed += not well
        print(f"{'holds ' if well else 'FAILS '} {name:24} {took_s:5.0f} s  {said}")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
