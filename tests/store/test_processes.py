"""Several processes on one file, and processes that die."""

from __future__ import annotations

import signal
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from tests.store.makers import Makers
from trainer.core.clock import ManualClock
from trainer.store import Store, open_store

ROOT = Path(__file__).parents[2]


def start(code: str, *arguments: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-c", code, *arguments],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=ROOT,
    )


_OPEN_AT_ONCE = """
import sys
from pathlib import Path
from trainer.core.clock import ManualClock
from trainer.store import database, open_store
from tests.store.makers import Makers
# How long one waits is no matter of this test.
database.OPEN_WAIT_S = database.WRITE_WAIT_S = 30
print("ready", flush=True)
sys.stdin.readline()
clock = ManualClock()
make = Makers(clock)
with open_store(Path(sys.argv[1]), clock=clock) as store:
    for _ in range(5):
        make.logged(store, make.hold())
print("done", flush=True)
"""


def test_four_processes_may_open_a_fresh_file_at_once(path: Path) -> None:
    """All of them get a migrated file, and what each of them writes is there."""
    processes = [start(_OPEN_AT_ONCE, str(path)) for _ in range(4)]
    for process in processes:
        assert process.stdout is not None
        assert "ready\n" == process.stdout.readline()
    for process in processes:
        assert process.stdin is not None
        process.stdin.write("\n")
        process.stdin.flush()
    ended = [process.communicate(timeout=60) for process in processes]

    assert ["done\n"] * 4 == [out for out, _ in ended], [err for _, err in ended]
    with open_store(path, clock=ManualClock()) as store:
        assert 20 == len(store.history().sessions)
        assert [] == store.check()


_WRITE_UNTIL_KILLED = """
import sys
from dataclasses import replace
from pathlib import Path
from trainer.core.clock import ManualClock
from trainer.store import open_store
from tests.store.makers import Makers
clock = ManualClock()
make = Makers(clock)
with open_store(Path(sys.argv[1]), clock=clock) as store:
    store.take_lock()
    session = make.session()
    store.begin_session(session)
    number = 0
    while True:
        number += 1
        hold = make.hold(set_number=number)
        for second in range(1, 4):
            clock.advance(1)
            store.journal(session.uid, replace(hold, held_s=float(second)))
            print("journaled", number, second, flush=True)
        store.save_hold(session.uid, hold)
        print("saved", number, flush=True)
"""


@pytest.mark.skipif(
    sys.platform == "win32", reason="Windows has no SIGKILL; its kill is the same there"
)
@pytest.mark.parametrize("lines", [1, 8, 29, 50])
def test_a_killed_process_loses_no_finished_hold(path: Path, lines: int) -> None:
    """Killed at any moment: every hold said to be saved is there, and of the one
    under way at most what came after the last second that was journaled.
    """
    process = start(_WRITE_UNTIL_KILLED, str(path))
    assert process.stdout is not None
    said = [process.stdout.readline().split() for _ in range(lines)]
    process.send_signal(signal.SIGKILL)
    said += [line.split() for line in process.stdout]
    process.wait(timeout=30)
    process.communicate()

    saved = [int(words[1]) for words in said if words and words[0] == "saved"]
    last = said[-1] if len(said[-1]) > 1 else said[-2]
    with open_store(path, clock=ManualClock()) as store:
        found = store.unfinished()
        numbers = [hold.set_number for hold in store.history().sessions[0].holds]
        assert saved == numbers[: len(saved)]
        assert len(numbers) - len(saved) <= 1
        if last[0] == "journaled" and len(numbers) == len(saved):
            assert found is not None
            assert int(last[1]) == found.hold.set_number
            assert float(last[2]) <= found.hold.held_s
        assert [] == store.check()


_TAKE_LOCK = """
import sys
from pathlib import Path
from trainer.core.clock import SystemClock
from trainer.store import open_store
with open_store(Path(sys.argv[1]), clock=SystemClock()) as store:
    print(store.take_lock(), flush=True)
    sys.stdin.readline()
"""


def test_one_of_two_processes_has_the_lock(path: Path, store: Store) -> None:
    """The second is told, may still write, and gets the lock when the first ends."""
    first = start(_TAKE_LOCK, str(path))
    assert first.stdout is not None
    assert "True\n" == first.stdout.readline()
    assert not store.take_lock()
    store.set_answer("added", "meanwhile")
    first.communicate("\n", timeout=30)

    assert store.take_lock()
    assert store.take_lock()


def test_a_killed_process_lets_go_of_the_lock(path: Path, store: Store) -> None:
    """However a program ends, its lock ends with it: nothing stale stays behind."""
    first = start(_TAKE_LOCK, str(path))
    assert first.stdout is not None
    assert "True\n" == first.stdout.readline()
    first.kill()
    first.communicate(timeout=30)

    assert store.take_lock()


def test_closing_lets_go_of_the_lock(path: Path, store: Store) -> None:
    """The lock is held until the file is closed, also within one process."""
    with open_store(path, clock=ManualClock()) as second:
        assert second.take_lock()
        assert not store.take_lock()

    assert store.take_lock()


def test_threads_may_share_a_store(store: Store, make: Makers) -> None:
    """The screen's workers write while others look back: nothing is lost or mixed."""
    session = make.logged(store)
    faults: list[BaseException] = []

    def work(number: int) -> None:
        try:
            for turn in range(10):
                store.save_hold(
                    session.uid, make.hold(set_number=1 + number * 10 + turn)
                )
                store.history()
        except BaseException as error:  # handed to the test's thread
            faults.append(error)

    threads = [threading.Thread(target=work, args=(number,)) for number in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert [] == faults
    assert 40 == len(store.history().sessions[0].holds)
