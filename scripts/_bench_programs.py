"""The programs that ``bench.py`` runs in pairs: ours, and the floor beside it."""

from __future__ import annotations

HIDE = "import sys; sys.modules['numpy'] = sys.modules['pandas'] = None\n"

OURS_CLI = HIDE + (
    "from trainer.cli.main import main; raise SystemExit(main(sys.argv[1:]))"
)
FLOOR_CLICK = (
    HIDE
    + """
import click
@click.group()
def cli(): "A program."
names = "session add undo next plan rest-week review angle data doctor demo"
for name in names.split():
    cli.command(name, help="One of its commands.")(lambda: None)
cli()
"""
)
FLOOR_OPENED = (
    HIDE
    + """
import click, sqlite_utils
@click.command()
@click.argument("path")
def cli(path):
    db = sqlite_utils.Database(path)
    click.echo(str(db.execute("select count(*) from holds").fetchone()))
cli()
"""
)
NOTE = """
import json, time
def note(what, seen={}):
    seen[what] = time.monotonic()
    open(sys.argv[2], "w").write(json.dumps(seen))
"""
"""When something was seen, by the clock that all processes share."""
FLOOR_SCREEN = (
    HIDE
    + NOTE
    + """
from textual.app import App
from textual.widgets import Static
class Empty(App):
    def compose(self):
        yield Static("empty")
    def on_ready(self):
        self.call_after_refresh(self.seen)
    def seen(self):
        note("painted")
        self.exit()
Empty().run()
"""
)
OURS_SCREEN = (
    HIDE
    + NOTE
    + """
from pathlib import Path
import trainer.tui
from trainer.cli.context import CliContext
from trainer.tui.app import TrainerApp
class Ours(TrainerApp):
    CSS_PATH = str(Path(trainer.tui.__file__).with_name("app.tcss"))
    def on_ready(self):
        self.call_after_refresh(note, "painted")
        self.poll = self.set_interval(0.005, self.look_for_the_day)
    def look_for_the_day(self):
        if len(self.screen.query("#day > *")):
            self.poll.stop()
            self.call_after_refresh(self.seen)
    def seen(self):
        note("today")
        self.exit()
context = CliContext(db=sys.argv[1])
stores = []
def open_log():
    from trainer.store import open_store
    stores.append(open_store(context.db_path, clock=context.clock))
    return stores[0]
Ours(
    open_store=open_log,
    paths=context.paths,
    settings=context.settings(),
    clock=context.clock,
).run()
stores[0].close()
"""
)
WATCH = """
import time
def watch(app, look_s, out):
    begun = time.process_time()
    def done():
        open(out, "w").write(str(time.process_time() - begun))
        app.exit()
    app.set_timer(look_s, done)
"""
FLOOR_CLOCK = (
    HIDE
    + WATCH
    + """
from textual.app import App
from textual.widgets import Digits
class Clock(App):
    def compose(self):
        yield Digits("00.00")
    def on_ready(self):
        start = time.monotonic()
        show = self.query_one(Digits).update
        self.set_interval(1 / 20, lambda: show(f"{time.monotonic() - start:05.2f}"))
        self.set_timer(1, lambda: watch(self, float(sys.argv[2]), sys.argv[3]))
Clock().run()
"""
)
OURS_HOLD = (
    HIDE
    + WATCH
    + """
from pathlib import Path
import trainer.tui
from trainer.cli.context import CliContext
from trainer.core.session.state import Phase
from trainer.training.request import SessionRequest
from trainer.sound.player import SilentPlayer
from trainer.store import open_store
from trainer.tui.app import TrainerApp
class Ours(TrainerApp):
    CSS_PATH = str(Path(trainer.tui.__file__).with_name("app.tcss"))
    def on_ready(self):
        self.poll = self.set_interval(0.5, self.look_for_the_hold)
    def look_for_the_hold(self):
        if getattr(self.screen, "phase", None) is Phase.HOLD:
            self.poll.stop()
            self.set_timer(1, lambda: watch(self, float(sys.argv[2]), sys.argv[3]))
context = CliContext(db=sys.argv[1])
request = SessionRequest(exercise="hang", sets=1, target_s=40.0, rehearse=True)
with open_store(context.db_path, clock=context.clock) as store:
    Ours(
        store=store,
        paths=context.paths,
        settings=context.settings(),
        clock=context.clock,
        start="session",
        session=request,
        player=lambda _: SilentPlayer(),
    ).run()
"""
)
