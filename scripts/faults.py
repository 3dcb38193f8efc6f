"""Make faults on purpose, by the hundred, and look after each what was lost.

    faults.py                      each fault a few times, both front ends: one table
    faults.py --short              the two-minute version: each fault once
    faults.py --kills 500 --log F  a campaign that goes on where F says it stopped
    faults.py --only "SIGKILL;moved" --runs 1 --front plain

Each run is a real session of two short holds on a real (pseudo-)terminal, with a data
file of its own. Something is done to it at a random moment; then the file, and what is
kept beside it, is compared with what the session had said. The example is SQLite's own
testing: https://sqlite.org/testing.html. POSIX only; what needs root, a tmpfs, a sound
server or libfaketime (``pip install libfaketime``) is left out where that isn't, and
said. Ends with 1 if a promise was broken.

What is lost of the hold under way is told by the program's own figures, never by when
its screen was seen: from its beginning, as the file has it, to the signal, less what
the file knows of it. Beside it stands the same without the time in which the program
waited for a processor (Linux counts that): nobody can write in a second in which he
doesn't run. The promise is a second; a tick and a write come on top of it.
"""

from __future__ import annotations

import argparse
import codecs
import contextlib
import fcntl
import json
import os
import pty
import random
import re
import select
import shutil
import signal
import sqlite3
import struct
import subprocess
import sys
import tempfile
import termios
import time
import uuid
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor, as_completed
from dataclasses import asdict, dataclass, field
from datetime import date, datetime, timezone
from importlib import import_module
from importlib.util import find_spec
from itertools import islice, pairwise
from pathlib import Path
from typing import Any

import _loopback

from trainer.core.clock import SystemClock
from trainer.core.exercises import Exercise, Family
from trainer.core.model import EndedBy, Hold
from trainer.core.plan.plan import Plan, PlanExercise
from trainer.errors import TrainerError
from trainer.store import open_store

SETS, TARGET_S = 2, 2.0
SETUP_S, COME_OUT_S = 1.0, 1.0
REST_S = 2 * TARGET_S
"""A rest is at least twice the target, whatever the plan says."""
CYCLE_S = SETUP_S + TARGET_S + COME_OUT_S + REST_S
LENGTH_S = SETS * CYCLE_S - REST_S
ONE_UNDER_WAY_S = 1.0
"""What may be lost of the hold under way (the promise) ..."""
TICK_AND_WRITE_S = 0.25
"""... and what a tick of a tenth and the write itself take on top (our choice)."""
GIVES_UP_S = 240.0
"""How long a session may take beyond its length before it is called stuck."""
HOLD, STOPS = "HOLD", ("PAUSED", "INTERRUPTED")
WORDS = {
    "plain": re.compile(r"^(Set-up|Hold|Rest|Done|Paused|Interrupted)\b", re.MULTILINE),
    "screen": re.compile(r"SET-UP|HOLD|COME-OUT|REST|DONE|PAUSED|INTERRUPTED"),
}
"""The words by which each front end says where the session is."""
QUICK = Exercise(
    id="quick",
    name="Quick hang",
    family=Family.HANG,
    setup_s=SETUP_S,
    go_up_lead_s=SETUP_S,
    allowance_s=0.5,
    come_out_s=COME_OUT_S,
)
LONG_AGO = datetime(2026, 1, 5, 18, tzinfo=timezone.utc)
PROGRAM = (sys.executable, "-m", "trainer")
LONGEST_ESCAPE = 64
"""Bytes of the longest sequence that moves a cursor (our choice)."""
ESCAPES = re.compile(rb"\x1b\[[0-9;?<>=]*[a-zA-Z]|\x1b[()][A-Z0-9]|\x1b[=>78]")


@dataclass
class Outcome:
    """What one run came to."""

    fault: str
    front: str
    seed: int
    at_s: float = 0.0
    """When the fault was made, from the session's start."""
    finished: int = 0
    """Holds that the session had said were done."""
    lost: int = 0
    """Of those, how many are neither in the file nor kept beside it."""
    under_way_lost_s: float = 0.0
    """Of a hold under way, the seconds that nothing knows of."""
    waited_s: float = 0.0
    """How long of these the program waited for a processor."""
    orphans: int = 0
    exit: str = ""
    integrity: str = "ok"
    said: str = ""
    """What shows that it wasn't passed over in silence, where it shouldn't be."""


@dataclass
class Place:
    """The folders of one run."""

    root: Path
    marker: str = field(default_factory=lambda: uuid.uuid4().hex)
    extra: dict[str, str] = field(default_factory=dict)
    data: Path | None = None
    user: int | None = None
    """As whom the program runs; None: as whoever runs this."""

    @property
    def db(self) -> Path:
        """The data file."""
        return (self.data or self.root / "data") / "log.db"

    @property
    def state(self) -> Path:
        """Where the program keeps what the data file doesn't take."""
        return self.root / "state" / "overhead-hold-trainer"

    @property
    def env(self) -> dict[str, str]:
        """The environment of its processes, by whose marker they are known."""
        named = {
            f"XDG_{name.upper()}_HOME": str(self.root / name)
            for name in ("data", "config", "state")
        }
        return {
            **{key: value for key, value in os.environ.items() if key != "TRAINER_DB"},
            "ALSA_CONFIG_PATH": os.devnull,
            "HOME": str(self.root),
            "TERM": "xterm-256color",
            "PYTHONPATH": os.pathsep.join(filter(None, sys.path)),
            "FAULTS_MARKER": self.marker,
            **named,
            **self.extra,
        }

    def prepare(self, holds: int = 3) -> None:
        """Make a data file with a plan, its cautions read, and some holds in it."""
        entry = PlanExercise(
            exercise="quick", sets=SETS, start_s=TARGET_S, floor_s=1, rest_s=0
        )
        plan = Plan(exercises=(entry,), own=(QUICK,), warm_up_s=0)
        with open_store(self.db, clock=SystemClock()) as store:
            store.save_plan(plan, valid_from=date(2026, 1, 1))
            store.set_answer("cautions-read", "2026-01-01")
            for number in range(holds):
                hold = Hold(
                    uid=str(uuid.uuid4()),
                    exercise="hang",
                    set_number=1,
                    held_s=20.0 + number,
                    ended_by=EndedBy.ADDED,
                    started_at=LONG_AGO,
                )
                store.add_hold(hold, at=LONG_AGO, has_time=True)

    def as_user(self) -> list[str]:
        """Give what comes before a command so that it runs as that user, who then owns
        all that is there."""
        if self.user is None:
            return []
        for each in (self.root, *self.root.rglob("*")):
            os.chown(each, self.user, self.user)
        who = (f"--reuid={self.user}", f"--regid={self.user}", "--clear-groups")
        return ["setpriv", *who]

    def processes(self) -> list[int]:
        """Give the processes of this run that are alive."""
        found = []
        for each in Path("/proc").glob("[0-9]*"):
            with contextlib.suppress(OSError):
                if self.marker.encode() in (each / "environ").read_bytes():
                    found.append(int(each.name))
        return found


class Session:
    """A session under way on a pseudo-terminal, and what it has said when."""

    def __init__(self, place: Place, front: str) -> None:
        self.place, self.front = place, front
        self.master, slave = pty.openpty()
        self.resize(100, 30)
        plain = ["--plain"] if front == "plain" else []
        self.process = subprocess.Popen(
            [
                *(*place.as_user(), *PROGRAM, "--db", str(place.db), "session", *plain),
                *("--exercise", "quick", "--sets", str(SETS)),
                # No answers were given: the gate would ask.
                *("--target", f"{TARGET_S:g}", "--anyway"),
            ],
            stdin=slave,
            stdout=slave,
            stderr=slave,
            env=place.env,
            start_new_session=True,
            # So that a window that is closed says so, as to any program in it.
            preexec_fn=lambda: fcntl.ioctl(0, termios.TIOCSCTTY, 0),
        )
        os.close(slave)
        self.text = ""
        """All that was said, without what moves a cursor."""
        self._cut = b""
        """The begun escape sequence at the end of what was read."""
        self._looked_at = 0
        self._decoder = codecs.getincrementaldecoder("utf-8")(errors="replace")
        self.began_s: float | None = None
        self.phases: list[tuple[str, float]] = []
        """What was said to begin, and when that was seen."""
        self.waits: deque[tuple[float, float]] = deque(maxlen=400)
        """When it was looked at, and how long the program had waited by then."""
        self.asked_s = 0.0
        self.closed = False

    def resize(self, columns: int, rows: int) -> None:
        """Make the terminal another size."""
        size = struct.pack("HHHH", rows, columns, 0, 0)
        fcntl.ioctl(self.master, termios.TIOCSWINSZ, size)

    def read(self, wait_s: float) -> None:
        """Take in what was said, and note when the session began."""
        self.look_at_waits()
        if self.closed:
            time.sleep(wait_s)
            return
        ready, _, _ = select.select([self.master], [], [], wait_s)
        if ready:
            try:
                self._take_in(os.read(self.master, 65536))
            except OSError:
                time.sleep(wait_s)
        now_s = time.monotonic()
        for found in WORDS[self.front].finditer(self.text, self._looked_at):
            self._looked_at = found.end()
            self.phases.append((found[0].upper(), now_s))
        if self.began_s is None and self.phases:
            self.began_s = now_s
        # A machine that is busy beyond measure makes gaps of its own: go on.
        if self.phases and self.phases[-1][0] in STOPS and now_s - self.asked_s > 1:
            self.asked_s = now_s
            with contextlib.suppress(OSError):
                os.write(self.master, b"\r")

    def _take_in(self, data: bytes) -> None:
        """Add what was read to the text; a sequence that is cut waits for its end."""
        data = self._cut + data
        last = data.rfind(b"\x1b", max(0, len(data) - LONGEST_ESCAPE))
        whole = len(data) if last < 0 or ESCAPES.match(data, last) else last
        self._cut = data[whole:]
        self.text += self._decoder.decode(ESCAPES.sub(b" ", data[:whole]))

    def until(self, at_s: float) -> None:
        """Read until AT_S of the session, or its end."""
        while self.process.poll() is None and self.now_s() < at_s:
            self.read(0.05)

    def now_s(self) -> float:
        """Seconds since the session began; less than 0 before."""
        return -1.0 if self.began_s is None else time.monotonic() - self.began_s

    def close_terminal(self) -> None:
        """Let the terminal go away, as a closed window does."""
        self.closed = True
        os.close(self.master)

    def wait(self) -> str:
        """Wait for the end, leaving where it asks; give how it ended."""
        give_up_s = time.monotonic() + LENGTH_S + GIVES_UP_S
        asked_s = 0.0
        while self.process.poll() is None:
            self.read(0.1)
            now_s = time.monotonic()
            if now_s > give_up_s:
                self.process.kill()
                self.process.wait()
                return "stuck"
            if self.now_s() > LENGTH_S + 1 and now_s - asked_s > 2 and not self.closed:
                asked_s = now_s
                self.leave()
        self.drain()
        return str(self.process.returncode)

    def drain(self) -> None:
        """Take in all that was said before the end."""
        before = -1
        while not self.closed and before != len(self.text):
            before = len(self.text)
            self.read(0.02)

    def leave(self) -> None:
        """Press what leaves a session that is done, whatever it asks."""
        keys = b"\r" if self.front == "plain" else b"\x11"
        if self.front != "plain" and "Leave all the same" in self.text:
            keys = b"\x1b[B\r"
        with contextlib.suppress(OSError):
            os.write(self.master, keys)

    def finished(self) -> int:
        """How many holds it has said were done."""
        if self.front == "plain":
            return len(set(re.findall(rf"{QUICK.name} (\d+): held", self.text)))
        words = [word for word, _ in self.phases]
        changes = [now for before, now in pairwise(words) if before == HOLD != now]
        return len([now for now in changes if now not in STOPS])

    def holds_begun(self) -> list[float]:
        """Give when each hold was seen to begin, on the monotonic clock."""
        before = [("", 0.0), *self.phases]
        return [
            now_s
            for (word, _), (now, now_s) in pairwise(before)
            if now == HOLD != word and word not in STOPS
        ]

    def look_at_waits(self) -> None:
        """Note how long the program has waited for a processor so far.

        The second figure of schedstat, in ns (Linux, Documentation/scheduler).
        """
        with contextlib.suppress(OSError, IndexError):
            figures = Path(f"/proc/{self.process.pid}/schedstat").read_text().split()
            self.waits.append((time.monotonic(), int(figures[1]) / 1e9))


# -- what is done to a session ------------------------------------------------------

Fault = Callable[["Session", random.Random], None]


def send(*signals: int, apart_s: float = 0.0) -> Fault:
    """Make the fault that sends signals."""

    def strike(session: Session, _: random.Random) -> None:
        for number in signals:
            with contextlib.suppress(ProcessLookupError):
                session.process.send_signal(number)
            time.sleep(apart_s)

    return strike


def stopped(session: Session, draw: random.Random) -> None:
    """Stop the process for a while."""
    session.process.send_signal(signal.SIGSTOP)
    time.sleep(draw.uniform(0.5, 4))
    session.process.send_signal(signal.SIGCONT)


def terminal_closed(session: Session, _: random.Random) -> None:
    """Close the window."""
    session.close_terminal()


def resized(session: Session, draw: random.Random) -> None:
    """Drag the window about."""
    for _ in range(30):
        session.resize(draw.randint(20, 300), draw.randint(6, 100))
        session.read(0.05)


def sound_child(number: int) -> Fault:
    """Make the fault that signals the sound's own process."""

    def strike(session: Session, _: random.Random) -> None:
        for pid in session.place.processes():
            if pid != session.process.pid:
                with contextlib.suppress(OSError):
                    os.kill(pid, number)

    return strike


def locked(session: Session, _: random.Random) -> None:
    """Hold the file so that nobody else can write it."""
    other = sqlite3.connect(session.place.db, isolation_level=None, timeout=5)
    try:
        other.execute("BEGIN EXCLUSIVE")
        session.until(session.now_s() + 10)
        other.execute("ROLLBACK")
    finally:
        other.close()


def moved(session: Session, _: random.Random) -> None:
    """Move the file away."""
    session.place.db.rename(session.place.root / "moved.db")


def deleted(session: Session, _: random.Random) -> None:
    """Delete the file."""
    session.place.db.unlink()


def replaced(session: Session, _: random.Random) -> None:
    """Put another file in its place, as folder-syncing programs do."""
    incoming = session.place.db.with_name("incoming")
    shutil.copy(session.place.root / "stranger.db", incoming)
    incoming.replace(session.place.db)


def overwritten(session: Session, _: random.Random) -> None:
    """Write another file over it."""
    content = (session.place.root / "stranger.db").read_bytes()
    with session.place.db.open("r+b") as file:
        file.write(content)
        file.truncate()


def cut_off(session: Session, draw: random.Random) -> None:
    """Cut its end off."""
    size = session.place.db.stat().st_size
    os.truncate(session.place.db, draw.randrange(0, size - 4096))


def disk_full(session: Session, _: random.Random) -> None:
    """Fill the file's disk."""
    _fill(session.place.db.parent)


def both_full(session: Session, _: random.Random) -> None:
    """Fill the disk of the state folder too."""
    _fill(session.place.db.parent)
    _fill(session.place.state)


def _fill(folder: Path) -> None:
    with contextlib.suppress(OSError), (folder / "fill").open("wb") as file:
        while True:
            file.write(b"\0" * 512)
            file.flush()


def disk_read_only(session: Session, _: random.Random) -> None:
    """Let the disk be one that can only be read.

    What is open for writing stays so on Linux; nothing more can be opened for it.
    """
    folder = str(session.place.db.parent)
    _mount("--bind", folder, folder)
    _mount("-o", "remount,ro,bind", folder)


def folder_read_only(session: Session, _: random.Random) -> None:
    """Take the right to write into the folder away."""
    session.place.db.parent.chmod(0o500)


def zone_changed(session: Session, draw: random.Random) -> None:
    """Let the machine's zone be another one, as on a journey."""
    for name in draw.sample(ZONES, 3):
        _set_zone(session.place, name)
        session.until(session.now_s() + 1.5)


ZONES = (
    "Pacific/Kiritimati",
    "Pacific/Niue",
    "Asia/Kathmandu",
    "America/Santiago",
    "Australia/Lord_Howe",
)


def _set_zone(place: Place, name: str) -> None:
    new = place.root / "zone.new"
    shutil.copy(Path("/usr/share/zoneinfo") / name, new)
    new.replace(place.root / "zone")


def clock_set(session: Session, draw: random.Random) -> None:
    """Set the wall clock back and forth."""
    file = session.place.root / "faketime"
    for days in (-3, 400, 0):
        shift = days * 86400 + draw.randint(-5000, 5000)
        file.write_text(f"{shift:+d}\n")
        session.until(session.now_s() + 1.5)


@dataclass(frozen=True)
class Kind:
    """A fault, where it can be made, and what has to hold after it."""

    strike: Fault
    ends: bool = False
    """It ends the session at once: what comes after it isn't expected."""
    needs: str = ""
    killed_after: bool = False
    """The process is killed a little later: what is kept has to be kept at once."""
    speaks: str = ""
    """What the person is told; empty: nothing need be said."""
    exits: tuple[str, ...] = ()
    """With which codes it may end; empty: any but those of a fault of ours."""


JOBS_IF_SHORT = 5
"""So that each fault once takes two minutes: a session mostly waits (our choice)."""
KILLS_FROM = 10_000
"""The first seed of ``--kills``."""
NOBODY = 65534
BOTH = ("plain", "screen")
GONE = ("3", "0")
"""Left unsaved, or before anything was held."""
KINDS: dict[str, Kind] = {
    "SIGKILL": Kind(send(signal.SIGKILL), ends=True),
    "SIGTERM": Kind(send(signal.SIGTERM), ends=True),
    "SIGTERM twice": Kind(send(15, 15, 15, apart_s=0.003), ends=True),
    "SIGHUP": Kind(send(signal.SIGHUP), ends=True),
    "SIGINT": Kind(send(signal.SIGINT), ends=True),
    "SIGSTOP, SIGCONT": Kind(stopped),
    "terminal closed": Kind(terminal_closed, ends=True),
    "resized 20x6..300x100": Kind(resized),
    "sound child killed": Kind(sound_child(signal.SIGKILL), needs="sound"),
    "sound child stopped": Kind(sound_child(signal.SIGSTOP), needs="sound"),
    "file locked 10 s": Kind(locked),
    "moved": Kind(moved, speaks="moved or deleted", exits=GONE),
    "deleted": Kind(deleted, speaks="moved or deleted", exits=GONE),
    "replaced": Kind(replaced, speaks="replaced by another", exits=GONE),
    "overwritten in place": Kind(overwritten, speaks="while it was open", exits=GONE),
    "cut off": Kind(cut_off, speaks="while it was open", exits=GONE),
    "moved, then SIGKILL": Kind(moved, killed_after=True),
    "disk full": Kind(disk_full, needs="tmpfs", speaks="can't grow"),
    "disk full, then SIGKILL": Kind(disk_full, needs="tmpfs", killed_after=True),
    "disk read-only": Kind(disk_read_only, needs="tmpfs"),
    "folder read-only": Kind(folder_read_only, needs="user"),
    "zone changed": Kind(zone_changed, needs="zone"),
    "zone changed, then SIGKILL": Kind(zone_changed, needs="zone", killed_after=True),
    "both disks full": Kind(both_full, needs="tmpfs both", speaks="memory"),
    "clock set": Kind(clock_set, needs="faketime"),
}


def _mount(*arguments: str) -> None:
    subprocess.run(["mount", *arguments], check=True, capture_output=True)


def faketime_library() -> str:
    """Find libfaketime: the package of the registry, or the system's; empty: none."""
    # Looked for, not imported: it wants packages of its own that aren't needed here.
    found = find_spec("libfaketime")
    packaged = found.submodule_search_locations if found else None
    for folder in (*map(Path, packaged or ()), *Path("/usr/lib").glob("*/faketime")):
        for each in folder.rglob("libfaketime.so.1"):
            return str(each)
    return ""


def why_not(kind: Kind) -> str:
    """Say why a fault can't be made here; empty if it can."""
    if "tmpfs" in kind.needs and (os.geteuid() != 0 or shutil.which("mount") is None):
        return "needs root, to mount a small disk"
    if kind.needs == "user" and (os.geteuid() != 0 or shutil.which("setpriv") is None):
        return "needs root, to be somebody else"
    if kind.needs == "zone" and not Path("/usr/share/zoneinfo").is_dir():
        return "needs the time zone database"
    if kind.needs == "faketime" and not faketime_library():
        return "needs libfaketime"
    if kind.needs == "sound":
        return _loopback.missing()
    return ""


@contextlib.contextmanager
def place_for(kind: Kind) -> Iterator[Place]:
    """Make the folders of a run, with what the fault needs."""
    with contextlib.ExitStack() as stack:
        place = Place(Path(stack.enter_context(tempfile.TemporaryDirectory())))
        if "tmpfs" in kind.needs:
            place.data = place.root / "disk"
            _small_disk(stack, place.data, "700k")
        if "both" in kind.needs:
            _small_disk(stack, place.state, "200k")
        if kind.needs == "faketime":
            clock = place.root / "faketime"
            clock.write_text("+0\n")
            place.extra = {
                "LD_PRELOAD": faketime_library(),
                "FAKETIME_TIMESTAMP_FILE": str(clock),
                "FAKETIME_NO_CACHE": "1",
                "FAKETIME_DONT_FAKE_MONOTONIC": "1",
                "DONT_FAKE_MONOTONIC": "1",
            }
        if kind.needs == "user":
            place.user = NOBODY
        if kind.needs == "zone":
            _set_zone(place, "Europe/Vienna")
            place.extra = {"TZ": f":{place.root / 'zone'}"}
        if kind.needs == "sound":
            home = Path(stack.enter_context(tempfile.TemporaryDirectory()))
            loop = _loopback.Loopback(home)
            stack.callback(loop.server.kill)
            place.extra = {
                key: loop.env[key]
                for key in ("PULSE_SERVER", "PULSE_COOKIE", "ALSA_CONFIG_PATH")
            }
        yield place


def _small_disk(stack: contextlib.ExitStack, folder: Path, size: str) -> None:
    folder.mkdir(parents=True)
    _mount("-t", "tmpfs", "-o", f"size={size},mode=700", "tmpfs", str(folder))
    stack.callback(_unmount, folder)


def _unmount(folder: Path) -> None:
    subprocess.run(["umount", "-l", str(folder)], capture_output=True, check=False)


# -- what is looked at afterwards ---------------------------------------------------


def run(name: str, front: str, seed: int) -> Outcome:
    """Make one fault in one session, and say what it came to."""
    draw, kind = random.Random(f"{name} {front} {seed}"), KINDS[name]
    outcome = Outcome(name, front, seed)
    with place_for(kind) as place:
        place.prepare()
        _stranger(place)
        session = Session(place, front)
        session.until(draw.uniform(0.2, LENGTH_S))
        outcome.at_s = round(session.now_s(), 2)
        struck = Struck(session)
        kind.strike(session, draw)
        if kind.killed_after:
            session.until(session.now_s() + draw.uniform(2, 8))
            struck = Struck(session)
            session.process.kill()
        if kind.strike is both_full:  # it waits for room for as long as it takes
            session.until(LENGTH_S + 5)
            session.process.send_signal(signal.SIGTERM)
        outcome.exit = session.wait()
        outcome.finished = session.finished()
        if kind.ends:  # before anybody settles what was under way
            lost_s = _lost_of_the_one_under_way(place, session, struck)
            outcome.under_way_lost_s = round(lost_s, 2)
            outcome.waited_s = round(min(lost_s, struck.waited_s(lost_s)), 2)
        _look(outcome, place, session)
        if not session.closed:
            session.close_terminal()
    return outcome


@dataclass
class Struck:
    """The moment at which the fault was made, on all clocks that are needed."""

    session: Session

    def __post_init__(self) -> None:
        self.session.look_at_waits()
        self.at_s, self.wall_s = time.monotonic(), time.time()
        self._waits = tuple(self.session.waits)

    def waited_s(self, before_s: float) -> float:
        """Give how long the program waited for a processor in the time before."""
        since_s = self.at_s - before_s
        known = [waited for at_s, waited in self._waits if at_s <= since_s]
        if not self._waits:
            return 0.0
        return self._waits[-1][1] - (known[-1] if known else self._waits[0][1])


def _stranger(place: Place) -> None:
    """Lay another trainee's file ready, for what replaces files."""
    other = Place(place.root / "other")
    other.prepare(holds=1)
    shutil.copy(other.db, place.root / "stranger.db")


def _look(outcome: Outcome, place: Place, session: Session) -> None:
    kind = KINDS[outcome.fault]
    for _ in range(50):  # what ends with the session may take a moment
        left = [pid for pid in place.processes() if pid != session.process.pid]
        if not left:
            break
        time.sleep(0.2)
    outcome.orphans = len(left)
    for pid in left:
        with contextlib.suppress(OSError):
            os.kill(pid, signal.SIGKILL)
    if kind.strike is disk_read_only:
        _unmount(place.db.parent)
    if "tmpfs" in kind.needs:
        with contextlib.suppress(subprocess.CalledProcessError):
            _mount("-o", "remount,rw,size=8m", str(place.db.parent))
        (place.db.parent / "fill").unlink(missing_ok=True)
    if kind.speaks:
        found = kind.speaks in " ".join(session.text.split())
        # Where the machine was too busy for a hold, there was nothing to be said of.
        outcome.said = "said" if found else "NOT SAID" if outcome.finished else "-"
    if "our fault" in session.text or "Traceback" in session.text:
        outcome.said = "OUR FAULT"
        with contextlib.suppress(OSError):
            print((place.state / "faults.log").read_text("utf-8"), file=sys.stderr)
    known, outcome.integrity = _holds_of(place)
    outcome.lost = max(0, outcome.finished - known)
    if outcome.fault == "both disks full":
        # What nobody can promise; it was said, and the holds before it are there.
        outcome.lost = 0


def _holds_of(place: Place) -> tuple[int, str]:
    """Count the session's holds in the file and beside it; tell how the file is."""
    uids, integrity = set(), "ok"
    for path in (place.db, place.root / "moved.db"):
        if not path.exists():
            continue
        document, integrity = _read(path)
        uids |= _uids(document)
    for beside in place.state.glob("unsaved-*.json"):
        uids |= _uids(json.loads(beside.read_text("utf-8")))
    return len(uids), integrity


def _read(path: Path) -> tuple[dict[str, Any], str]:
    """Export a file, and tell how it is: damage that is said is no silent one."""
    try:
        with open_store(path, clock=SystemClock()) as store:
            document = store.export()
            return document, "ok" if not store.check() else "DAMAGED"
    except TrainerError:
        return {}, "said"


def _uids(document: dict[str, Any], exercise: str = "quick") -> set[str]:
    return {
        hold["uid"]
        for session in document.get("sessions", ())
        for hold in session["holds"]
        if hold["exercise"] == exercise or not exercise
    }


def _lost_of_the_one_under_way(place: Place, session: Session, struck: Struck) -> float:
    """Give the seconds of the hold under way that nothing knows of.

    A hold that ended by a key lacks the come-down allowance; that isn't lost. One of
    which the file knows nothing yet is taken from when it was seen to begin.
    """
    address = place.db.absolute().as_uri() + "?mode=ro"
    with contextlib.closing(sqlite3.connect(address, uri=True)) as file:
        columns = "started_at, held_s, coalesce(allowance_s, 0)"
        journal = file.execute(
            f"SELECT {columns} FROM journal"
            " WHERE hold_uid NOT IN (SELECT uid FROM holds)"
        ).fetchall()
        ended = "SELECT count(*) FROM holds WHERE exercise = 'quick'"
        recorded = file.execute(ended).fetchone()[0]
        by_key = file.execute(
            f"SELECT {columns} FROM holds WHERE exercise = 'quick'"
            " AND ended_by = 'key' ORDER BY started_at DESC LIMIT 1"
        ).fetchall()
    for began, held_s, _ in journal:
        return max(0.0, struck.wall_s - _seconds(began) - held_s)
    for began, held_s, allowance_s in by_key:
        return max(0.0, struck.wall_s - _seconds(began) - held_s - allowance_s)
    begun = [at_s for at_s in session.holds_begun() if at_s <= struck.at_s]
    return struck.at_s - begun[-1] if len(begun) > recorded else 0.0


def _seconds(utc: str) -> float:
    return datetime.fromisoformat(utc.replace("Z", "+00:00")).timestamp()


# -- the table ----------------------------------------------------------------------


def table(outcomes: list[Outcome]) -> str:
    """Draw the outcomes as one table, a line for each fault and front end."""
    head = (
        "fault",
        "front end",
        "runs",
        "finished",
        "lost",
        "under way, worst s",
        "without waits",
        "orphans",
        "exit",
        "integrity",
        "said",
        "seeds",
    )
    rows = [head]
    for key in dict.fromkeys((each.fault, each.front) for each in outcomes):
        mine = [each for each in outcomes if (each.fault, each.front) == key]
        rows.append(
            (
                *key,
                str(len(mine)),
                str(sum(each.finished for each in mine)),
                str(sum(each.lost for each in mine)),
                f"{max(each.under_way_lost_s for each in mine):.2f}",
                f"{max(_without_waits_s(each) for each in mine):.2f}",
                str(sum(each.orphans for each in mine)),
                _counted(each.exit for each in mine),
                _counted(each.integrity for each in mine),
                _counted(each.said for each in mine if each.said),
                _ranges(each.seed for each in mine),
            )
        )
    widths = [max(len(row[column]) for row in rows) for column in range(len(head))]
    return "\n".join(
        "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True))
        for row in rows
    )


def _without_waits_s(outcome: Outcome) -> float:
    return outcome.under_way_lost_s - outcome.waited_s


def _ranges(seeds: Iterable[int]) -> str:
    """Write 1, 2, 3, 7 as ``1-3, 7``."""
    runs: list[list[int]] = []
    for seed in sorted(seeds):
        if runs and seed - runs[-1][-1] <= 2:  # every other one is the other front end
            runs[-1].append(seed)
        else:
            runs.append([seed])
    return ", ".join(f"{run[0]}-{run[-1]}" for run in runs)


def _counted(values: Iterator[str]) -> str:
    counts: dict[str, int] = {}
    for each in values:
        counts[each] = counts.get(each, 0) + 1
    if len(counts) == 1:
        return next(iter(counts))
    return ", ".join(f"{value} ({count})" for value, count in counts.items())


def is_well(outcome: Outcome) -> bool:
    """Tell whether a run kept every promise."""
    return (
        outcome.lost == 0
        and _without_waits_s(outcome) <= ONE_UNDER_WAY_S + TICK_AND_WRITE_S
        and outcome.orphans == 0
        and outcome.integrity in ("ok", "said")
        and outcome.exit not in ("stuck", "1")
        and outcome.exit in (KINDS[outcome.fault].exits or (outcome.exit,))
        and outcome.said in ("", "-", "said")
    )


def wanted(arguments: argparse.Namespace) -> list[tuple[str, str, int]]:
    """Give the runs to make: fault, front end, seed."""
    fronts = arguments.front.split(",") if arguments.front else BOTH
    names = arguments.only.split(";") if arguments.only else [*KINDS]
    if arguments.short:
        return [
            (name, fronts[number % len(fronts)], arguments.seed)
            for number, name in enumerate(names)
        ]
    runs = [
        (name, front, seed)
        for seed in range(arguments.seed, arguments.seed + arguments.runs)
        for name in names
        for front in fronts
    ]
    kills = range(KILLS_FROM, KILLS_FROM + arguments.kills)
    return runs + [("SIGKILL", fronts[seed % len(fronts)], seed) for seed in kills]


def made(
    to_do: list[tuple[str, str, int]], *, jobs: int, minutes: float
) -> Iterator[Outcome]:
    """Make runs, some at a time; give each as it ends, and begin none after MINUTES."""
    until_s = time.monotonic() + 60 * minutes
    import_module("trainer.store.schema")  # once, where jobs are forked from this one
    with ProcessPoolExecutor(max_workers=jobs) as pool:
        waiting = iter(to_do)
        under_way = {pool.submit(run, *each) for each in islice(waiting, jobs)}
        while under_way:
            ended = next(as_completed(under_way))
            under_way.discard(ended)
            more = next(waiting, None) if time.monotonic() < until_s else None
            if more is not None:
                under_way.add(pool.submit(run, *more))
            yield ended.result()


def main() -> int:
    """Make the faults, print the table; 1 if a promise was broken."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--only", help="faults, with semicolons between")
    parser.add_argument("--front", help="plain or screen; both, without it")
    parser.add_argument("--runs", type=int, default=3, help="of each fault")
    parser.add_argument("--kills", type=int, default=0, help="more SIGKILLs than that")
    parser.add_argument("--seed", type=int, default=1, help="the first of the seeds")
    parser.add_argument("--log", type=Path, help="note runs here, and go on from it")
    parser.add_argument("--jobs", type=int, help="runs at the same time (1; short: 5)")
    parser.add_argument("--short", action="store_true", help="each fault once")
    parser.add_argument("--minutes", type=float, default=1e9, help="stop after these")
    parser.add_argument(
        "--most", type=int, help="runs of this call; --log has the rest"
    )
    arguments = parser.parse_args()
    for name in arguments.only.split(";") if arguments.only else ():
        if name not in KINDS:
            parser.error(f"no fault {name!r}; there are: {'; '.join(KINDS)}")
    outcomes = []
    if arguments.log and arguments.log.exists():
        lines = arguments.log.read_text("utf-8").splitlines()
        outcomes = [Outcome(**json.loads(line)) for line in lines]
    done = {(each.fault, each.front, each.seed) for each in outcomes}
    left_out = {name: why_not(kind) for name, kind in KINDS.items() if why_not(kind)}
    to_do = [
        each
        for each in wanted(arguments)
        if each not in done and each[0] not in left_out
    ]
    jobs = arguments.jobs or (JOBS_IF_SHORT if arguments.short else 1)
    for outcome in made(to_do[: arguments.most], jobs=jobs, minutes=arguments.minutes):
        outcomes.append(outcome)
        if not is_well(outcome):
            print(f"seed {outcome.seed}: {outcome}", file=sys.stderr, flush=True)
        if arguments.log:
            with arguments.log.open("a", encoding="utf-8") as log:
                log.write(json.dumps(asdict(outcome)) + "\n")
    print(table(outcomes))
    for name in dict.fromkeys(each[0] for each in wanted(arguments)):
        if name in left_out:
            print(f"left out: {name} ({left_out[name]})")
    return 0 if all(map(is_well, outcomes)) else 1


if __name__ == "__main__":
    sys.exit(main())
