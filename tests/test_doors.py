"""Every way into a hold passes the gate: the doors, found in the source, one by one.

The type is the lock: a runner takes a ``Cleared`` and nothing else (mypy), and
``clearance`` alone makes one. What is left to look at is who asks for one, and that
nobody makes one or leads a program by another way. Whoever adds a door adds it here,
with how it is held to the gate.
"""

from __future__ import annotations

import ast
from functools import cache

import pytest

from tests.source import Module, modules, taken_apart

# Read by one worker, once, with what else reads it.
pytestmark = pytest.mark.xdist_group("source")

CLEARED_BY = {
    "tui/screens/gate.py": "asks on a slip; Enter answers nothing",
    "cli/plain/questions.py": "asks line by line; without a terminal it refuses",
}
"""Who may say that a program is cleared, and how the person is asked."""
REHEARSED_BY = {
    "tui/screens/today.py": "a rehearsal from Today or from the command line",
    "cli/plain/run.py": "a rehearsal line by line",
}
"""Who leads without asking, for nothing is held: the runner refuses it a log."""
LED_BY = {
    "tui/session/lead.py": "the full screen",
    "cli/plain/run.py": "line by line",
}
"""Who makes a runner."""
DOORS = {
    ("tui/screens/today.py", "pass_gate"): "Today, one exercise, test, command line",
    ("cli/plain/run.py", "pass_gate"): "session --plain, planned and one exercise",
}
"""Where a person stands before a door that leads to a hold."""
PLAN_DOORS = {
    "cli/plan.py": "plan set, plan use",
    "tui/screens/plan.py": "the plan page",
}
"""Where an exercise comes into a plan by a person's hand."""
PLAN_WRITERS = {
    "cli/plan.py": "past_the_gate stands before it",
    "tui/screens/plan.py": "past_the_gate stands before it",
    "tui/screens/first_day.py": "plan_from, which never goes past the gate",
    "training/answers.py": "plan_from, which never goes past the gate",
    "demo/trainee.py": "a made-up trainee's",
    "store/store.py": "is the one who writes",
}
"""Who saves a plan, and why none of them puts anything past the gate in silence."""


def called_in(module: Module) -> set[str]:
    """Give the names that are called in a module."""
    return {
        getattr(node.func, "id", getattr(node.func, "attr", ""))
        for node in module.each(ast.Call)
    }


@cache
def calls() -> set[tuple[str, str]]:
    """Give every call in the package: (file, name called)."""
    return {(module.file, name) for module in modules() for name in called_in(module)}


def callers(*names: str) -> set[str]:
    return {file for file, name in calls() if name in names}


def test_only_the_clearance_makes_what_may_be_led() -> None:
    """No other module can make a program that a runner takes."""
    assert {"core/session/clearance.py"} == callers("Cleared")


def test_every_clearance_is_asked_for_by_a_known_door() -> None:
    """Who says "cleared" or "rehearsed" is listed, with how it asks."""
    assert set(CLEARED_BY) == callers("cleared")
    assert set(REHEARSED_BY) == callers("rehearsed")


def test_every_runner_is_made_behind_a_door() -> None:
    """A new front end that leads a session fails here until it is listed."""
    assert set(LED_BY) == callers("SessionRunner")
    assert {"training/runner.py"} == callers("begin") - {"tui/photo/screen.py"}
    assert set(DOORS) == {each for each in calls() if each[1] == "pass_gate"} - {
        ("tui/screens/gate.py", "pass_gate")  # asks again after an answer
    }


def test_no_plan_is_written_past_the_gate() -> None:
    """Who saves a plan is listed; a person's hand goes by ``past_the_gate``."""
    assert set(PLAN_DOORS) == callers("past_the_gate") - {"core/next_week/decide.py"}
    assert set(PLAN_WRITERS) == callers("save_plan", "write_plan") - {
        "store/merge.py"  # a document of the person's own, which holds their answers
    }


def test_a_new_door_is_seen() -> None:
    """The net has no hole: a call written in any usual way is found."""
    source = "x = clearance.Cleared(program)\ny = Cleared(program)\n"

    assert {"Cleared"} == called_in(taken_apart(source, name="door"))
