"""Kill what changes the data file, half-way and by the hundred: whole, or not at all.

    kills.py                     each work killed 100 times: one table
    kills.py --kills 300 "migration from m001" import

Each kill is a SIGKILL to a process of its own. Half of them come at a *point*: before
the n-th statement that SQLite is given, or the n-th file that is opened, renamed or
deleted, from the first to the last; the others after a random time, so that they fall
into a statement or into what the system does. Afterwards every row of the file is
compared with what was there before and with what is there when nobody kills: it has to
be one of the two. Then the program opens the file, which has to be well and to end as
the work would have, or as if it had never begun; copies beside it have to be whole, and
nothing half made may stay. POSIX only. Ends with 1 if a promise was broken.
"""

from __future__ import annotations

import argparse
import contextlib
import json
import os
import random
import re
import signal
import sqlite3
import sys
import tempfile
import time
import uuid
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from trainer.core.angle.check import AngleCheck, Position
from trainer.core.angle.figures import measure
from trainer.core.angle.landmarks import Facing, Landmarks, Point
from trainer.core.clock import ManualClock
from trainer.core.model import EndedBy, Hold
from trainer.core.plan.plan import Plan
from trainer.store import open_store, restore
from trainer.store.schema import APPLICATION_ID

OLD_FILES = Path(__file__).parents[1] / "tests" / "data"
CLOCK = ManualClock()
FILE_EVENTS = ("open", "os.rename", "os.remove", "os.truncate", "os.mkdir", "os.chmod")
"""What Python says it does to files (docs.python.org, audit events table)."""
APPLIED_AT = re.compile(r"(INSERT INTO \"_sqlite_migrations\" .*),'[^']*'\);")
"""The stamp of a migration is of the real clock, and differs each time."""
LATE = 1.15
"""Random kills come up to so much of the work's usual time (our choice)."""


@dataclass(frozen=True)
class Work:
    """Something that changes the data file."""

    lay_out: Callable[[Path], None]
    """Makes the file as it is before."""
    do: Callable[[Path], None]


@dataclass
class Tally:
    """What came of one work."""

    kills: int = 0
    points: int = 0
    before: int = 0
    after: int = 0
    wrong: list[str] = field(default_factory=list)


# -- what is killed -----------------------------------------------------------------


def _old(name: str) -> Callable[[Path], None]:
    def lay_out(path: Path) -> None:
        with contextlib.closing(sqlite3.connect(path)) as file:
            file.executescript((OLD_FILES / f"{name}.sql").read_text("utf-8"))
            file.execute(f"PRAGMA application_id = {APPLICATION_ID}")

    return lay_out


def _open(path: Path) -> None:
    open_store(path, clock=CLOCK).close()


def _hold(number: int) -> Hold:
    return Hold(
        uid=str(uuid.UUID(int=number, version=4)),
        exercise="hang",
        set_number=1,
        held_s=20.0 + number,
        ended_by=EndedBy.ADDED,
        started_at=CLOCK.wall(),
    )


def _filled(path: Path) -> None:
    with open_store(path, clock=CLOCK) as store:
        store.save_plan(Plan(), valid_from=CLOCK.wall().date())
        for number in range(3):
            store.add_hold(_hold(number), at=CLOCK.wall(), has_time=True)


def _with_copy(path: Path) -> None:
    _filled(path)
    with open_store(path, clock=CLOCK) as store:
        store.backup(path.parent / "copy.db")
        store.take_out_hold(_hold(1).uid)


def _with_document(path: Path) -> None:
    _filled(path)
    with open_store(path, clock=CLOCK) as store:
        document: dict[str, Any] = json.loads(json.dumps(store.export()))
    holds = document["sessions"][0]["holds"]
    holds += [
        dict(holds[0], uid=str(uuid.UUID(int=100 + number, version=4)))
        for number in range(200)
    ]
    (path.parent / "document.json").write_text(json.dumps(document), "utf-8")


def _import(path: Path) -> None:
    document = json.loads((path.parent / "document.json").read_text("utf-8"))
    with open_store(path, clock=CLOCK) as store:
        store.import_document(document)


def _add(path: Path) -> None:
    with open_store(path, clock=CLOCK) as store:
        store.add_hold(_hold(7), at=CLOCK.wall(), has_time=True)


def _check(number: int) -> AngleCheck:
    marked = Landmarks(
        shoulder=Point(760, 640),
        elbow=Point(812 - number, 310),
        hip=Point(740, 1180),
        facing=Facing.RIGHT,
    )
    now = CLOCK.wall()
    return AngleCheck(
        uid=str(uuid.UUID(int=50 + number, version=4)),
        measured_at=now,
        utc_offset_min=0,
        local_date=now.date(),
        position=Position(),
        figures=measure(marked),
        landmarks=marked,
    )


def _with_checks(path: Path) -> None:
    _filled(path)
    with open_store(path, clock=CLOCK) as store:
        for number in range(2):
            store.add_angle_check(_check(number))


def _angle_add(path: Path) -> None:
    with open_store(path, clock=CLOCK) as store:
        store.add_angle_check(_check(2))


def _angle_correct(path: Path) -> None:
    with open_store(path, clock=CLOCK) as store:
        later = replace(_check(9), uid=_check(1).uid)
        store.correct_angle_check(later)


def _undo(path: Path) -> None:
    with open_store(path, clock=CLOCK) as store:
        logged = store.last_logged()
        if logged is not None:
            store.take_back(logged)


def _back_up(path: Path) -> None:
    with open_store(path, clock=CLOCK) as store:
        store.backup()


def _restore(path: Path) -> None:
    restore(path, path.parent / "copy.db", clock=CLOCK)


WORKS: dict[str, Work] = {
    **{
        f"migration from {each.stem}": Work(_old(each.stem), _open)
        for each in sorted(OLD_FILES.glob("m*.sql"))[:-1]
    },
    "first start": Work(lambda path: None, _open),
    "import": Work(_with_document, _import),
    "restore": Work(_with_copy, _restore),
    "backup": Work(_filled, _back_up),
    "add": Work(_filled, _add),
    "undo": Work(_filled, _undo),
    "angle add": Work(_with_checks, _angle_add),
    "angle correct": Work(_with_checks, _angle_correct),
    "angle undo": Work(_with_checks, _undo),
}


# -- how it is killed ---------------------------------------------------------------


def _at_each_point(tell: Callable[[], None]) -> None:
    """Have TELL called before each statement and each deed to a file."""

    def audited(event: str, _: object) -> None:
        if event in FILE_EVENTS:
            tell()

    really_connect = sqlite3.connect

    def connect(*arguments: Any, **options: Any) -> sqlite3.Connection:
        connection = really_connect(*arguments, **options)
        connection.set_trace_callback(lambda _: tell())
        return connection

    sqlite3.connect = connect  # type: ignore[assignment] # in a process of its own
    sys.addaudithook(audited)


def _child(do: Callable[[], None]) -> int:
    """Do it in a process of its own; give its id."""
    child = os.fork()
    if child:
        return child
    try:
        do()
    except BaseException as fault:
        os.write(2, f"in the child: {fault!r}\n".encode())
        os._exit(1)
    os._exit(0)


def _same_ids(seed: int) -> None:
    """Let ids be the same in each run: what is compared has to be."""
    os.urandom = random.Random(seed).randbytes  # what uuid4 draws from


def killed_at_point(work: Work, path: Path, point: int) -> bool:
    """Kill the work at its n-th point; tell whether it came that far."""

    def do() -> None:
        left = point

        def tell() -> None:
            nonlocal left
            left -= 1
            if left < 0:
                os.kill(os.getpid(), signal.SIGKILL)

        _at_each_point(tell)
        work.do(path)

    return os.WIFSIGNALED(os.waitpid(_child(do), 0)[1])


def killed_after(work: Work, path: Path, seconds: float) -> None:
    """Kill the work after a time, wherever it is then."""

    def do() -> None:
        work.do(path)

    child = _child(do)
    time.sleep(seconds)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)


# -- what is looked at --------------------------------------------------------------


def rows_of(path: Path) -> str:
    """Give every row and every table of a file, as SQL; empty: there is none."""
    if not path.exists():
        return ""
    with contextlib.closing(sqlite3.connect(path)) as file:
        dump = "\n".join(file.iterdump())
    return "" if dump.count("\n") < 2 else APPLIED_AT.sub(r"\1);", dump)


@contextlib.contextmanager
def laid_out(work: Work) -> Iterator[Path]:
    """Make the file in a folder of its own."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "log.db"
        _same_ids(1)
        work.lay_out(path)
        _same_ids(2)
        yield path


def campaign(name: str, kills: int, seed: int) -> Tally:
    """Kill one work so many times."""
    work, tally, draw = WORKS[name], Tally(), random.Random(f"{name} {seed}")
    with laid_out(work) as path:
        before = rows_of(path)
        began_s = time.monotonic()
        work.do(path)
        usual_s = time.monotonic() - began_s
        after = rows_of(path)
    tally.points = _count_points(work)
    at_points = kills // 2
    for number in range(kills):
        with laid_out(work) as path:
            if number < at_points:
                point = number * tally.points // at_points
                how = f"at point {point}"
                killed_at_point(work, path, point)
            else:
                seconds = draw.uniform(0, usual_s * LATE)
                how = f"after {seconds:.4f} s"
                killed_after(work, path, seconds)
            tally.kills += 1
            for wrong in _judge(tally, path, before, after):
                tally.wrong.append(f"{name}, seed {seed}, {how}: {wrong}")
    return tally


def _count_points(work: Work) -> int:
    """Count the points of a work that nobody kills, told through a pipe."""
    with laid_out(work) as path:
        reading, writing = os.pipe()

        def do() -> None:
            count = 0

            def tell() -> None:
                nonlocal count
                count += 1

            _at_each_point(tell)
            work.do(path)
            os.write(writing, str(count).encode())

        os.waitpid(_child(do), 0)
        os.close(writing)
        with open(reading, "rb") as told:
            return int(told.read())


def _judge(tally: Tally, path: Path, before: str, after: str) -> Iterator[str]:
    """Say what is wrong with what a kill has left."""
    left = rows_of(path)
    if left == after:
        tally.after += 1
    elif left == before:
        tally.before += 1
    else:
        yield "the rows are neither those before nor those after"
    with open_store(path, clock=CLOCK) as store:
        yield from store.check()
        copies = [each.path for each in store.backups()]
    for each in copies:
        with contextlib.closing(sqlite3.connect(each)) as copy:
            found = copy.execute("PRAGMA integrity_check").fetchone()[0]
        if found != "ok":
            yield f"the copy {each.name} is damaged ({found})"
    for part in (*path.parent.glob("*.part*"), *path.parent.rglob("*/*.part*")):
        yield f"{part.name} stayed"


def main() -> int:
    """Kill, print the table; 1 if a promise was broken."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("works", nargs="*", metavar="WORK", help="; ".join(WORKS))
    parser.add_argument("--kills", type=int, default=100, help="of each work")
    parser.add_argument("--seed", type=int, default=1)
    arguments = parser.parse_args()
    for name in arguments.works:
        if name not in WORKS:
            parser.error(f"no work {name!r}; there are: {'; '.join(WORKS)}")
    names = arguments.works or list(WORKS)
    tallies = {name: campaign(name, arguments.kills, arguments.seed) for name in names}
    print(f"{'work':<22}{'kills':>7}{'points':>8}{'before':>8}{'after':>7}{'wrong':>7}")
    for name, tally in tallies.items():
        print(
            f"{name:<22}{tally.kills:>7}{tally.points:>8}{tally.before:>8}"
            f"{tally.after:>7}{len(tally.wrong):>7}"
        )
    print(f"seed {arguments.seed}")
    for tally in tallies.values():
        for wrong in tally.wrong:
            print(wrong, file=sys.stderr)
    return int(any(tally.wrong for tally in tallies.values()))


if __name__ == "__main__":
    sys.exit(main())
