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
FLOOR_SCREEN = (
    HIDE
    + """
from textual.app import App
from textual.widgets import Static
class Empty(App):
    def compose(self):
        yield Static("empty")
    def on_ready(self):
        self.call_after_refresh(self.exit)
Empty().run()
"""
)
OURS_SCREEN = (
    HIDE
    + """
from pathlib import Path
import trainer.tui
from trainer.cli.context import CliContext
from trainer.store import open_store
from trainer.tui.app import TrainerApp
class Ours(TrainerApp):
    CSS_PATH = str(Path(trainer.tui.__file__).with_name("app.tcss"))
    def on_ready(self):
        self.call_after_refresh(self.exit)
context = CliContext(db=sys.argv[1])
with open_store(context.db_path, clock=context.clock) as store:
    Ours(
        store=store,
        paths=context.paths,
        settings=context.settings(),
        clock=context.clock,
    ).run()
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
