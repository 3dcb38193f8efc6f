"""The JSON against the schemas that ship, by the library ``jsonschema``.

Source: JSON Schema, draft 2020-12.
"""

from __future__ import annotations

import json
import random
from datetime import datetime, timedelta
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
from jsonschema import Draft202012Validator, ValidationError
from referencing import Registry, Resource

from tests.cli.conftest import Cli
from trainer.core.model import (
    FELT_SITES,
    EndedBy,
    Feet,
    Felt,
    Hold,
    Moment,
    Pain,
    PainKind,
    SessionKind,
    Side,
    Site,
    StoppedBy,
)
from trainer.core.next_week.suggestion import Change, Rule
from trainer.demo.trainee import write_demo
from trainer.store import open_store

COMMANDS = {
    "next": "next --json",
    "export": "data export",
    "review": "review --json",
    "group": "review {file} {file} --json",
    "log-list": "log list --json",
    "angle-list": "angle list --json",
    "plan-show": "plan show --json",
}
"""Each schema, and what gives its document; FILE is the trainee's."""
SPOILED: dict[str, tuple[list[str | int], Any]] = {
    "next": ([0, "chance"], 1.2),
    "export": (["sessions", 0, "holds", 0, "rpe"], 7.3),
    "review": (["answers", "hurts", "pains", 0, "side"], "front"),
    "group": ([1, "answers", "hurts", "pains", 0, "side"], "front"),
    "log-list": ([0, "holds", 0, "number"], 0),
    "angle-list": ([0, "method"], "ruler"),
    "plan-show": (["exercises", 0, "sets"], 0),
}
"""A place in each document, and what may not stand there."""


@cache
def schemas() -> dict[str, Any]:
    """Return every schema that ships, by its name."""
    folder = Path(str(resources.files("trainer.report") / "schemas"))
    return {
        path.name.removesuffix(".schema.json"): json.loads(path.read_text("utf-8"))
        for path in folder.glob("*.schema.json")
    }


def given(cli: Cli, command: str, file: Path) -> Any:
    """Give the document of a command on FILE."""
    words = command.format(file=file).split()
    answer = cli(*words, "--db", str(file))
    assert 0 == answer.code, answer.err
    return answer.json


@cache
def checker(name: str) -> Draft202012Validator:
    """Return the checker of one of our documents, itself checked."""
    found = schemas()
    Draft202012Validator.check_schema(found[name])
    known: Registry[Any] = Registry().with_resources(
        (each["$id"], Resource.from_contents(each)) for each in found.values()
    )
    return Draft202012Validator(
        found[name],
        registry=known,
        format_checker=Draft202012Validator.FORMAT_CHECKER,
    )


def spoil(document: Any, path: list[str | int], value: Any) -> None:
    """Put VALUE into a place of a document."""
    *way, last = path
    for step in way:
        document = document[step]
    document[last] = value


def test_every_schema_has_its_command() -> None:
    """None ships that isn't checked here."""
    assert set(COMMANDS) == set(schemas())


def test_a_trainees_documents_keep_to_their_schemas(cli: Cli) -> None:
    """Twenty weeks of a made-up trainee; and what is wrong in one is found."""
    file = cli.db.with_name("demo.db")
    write_demo(file, clock=cli.clock)
    for name, command in COMMANDS.items():
        document = given(cli, command, file)

        checker(name).validate(document)
        spoil(document, *SPOILED[name])
        with pytest.raises(ValidationError):
            checker(name).validate(document)


def test_an_empty_logs_documents_keep_to_their_schemas(cli: Cli) -> None:
    """Nothing logged is a document all the same."""
    for name, command in COMMANDS.items():
        checker(name).validate(given(cli, command, cli.db))


@pytest.mark.parametrize("seed", range(4))
def test_any_logbooks_documents_keep_to_their_schemas(cli: Cli, seed: int) -> None:
    """Whatever was logged and left out, in whatever order, every schema holds it."""
    draw = random.Random(seed)
    with open_store(cli.db, clock=cli.clock) as store:
        for number in range(40):
            at = cli.clock.wall() - timedelta(hours=draw.randrange(1, 2000))
            store.add_hold(any_hold(draw, number, at), at=at, has_time=True)
    for day in draw.sample(range(10, 28), 3):
        pose = ["--reach", draw.choice(["guarded", "free"]), "--on", f"2026-02-{day}"]
        method = draw.choice(["eye", "goniometer", "inclinometer"])
        degrees = str(draw.randint(90, 200))
        cli.ok("angle", "add", "--degrees", degrees, "--method", method, *pose)
    cli.ok("rest-week", "2026-W08")
    cli.ok("data", "name", "Mirel, made up")

    for name, command in COMMANDS.items():
        checker(name).validate(given(cli, command, cli.db))


def any_hold(draw: random.Random, number: int, at: datetime) -> Hold:
    """Return a hold with anything said of it, or nothing."""

    def maybe(*values: Any) -> Any:
        return draw.choice((None, *values))

    exercise = draw.choice(("hang", "hang-supported", "press-pike", "press-wall"))
    held_s = round(draw.uniform(0, 300), 1)
    feet = maybe(*Feet) if exercise == "hang-supported" else None
    felt = Felt(draw.choice(FELT_SITES), maybe(*Side), maybe(*Moment), maybe(0.0, 5.0))
    site = draw.choice((*Site,))
    pain = Pain(draw.choice((*PainKind,)), maybe(site), maybe(*Side))
    return Hold(
        uid=str(UUID(int=draw.getrandbits(128), version=4)),
        exercise=exercise,
        set_number=number % 3 + 1,
        target_s=maybe(30.0, 45.5),
        held_s=held_s,
        kept_s=maybe(held_s, round(held_s / 2, 1)),
        ended_by=EndedBy.ADDED,
        started_at=at,
        stopped_by=maybe(*StoppedBy),
        confirmed=True,
        rpe=maybe(0.0, 6.5, 8.0, 10.0),
        felt=draw.choice(((), (felt,))),
        pain=draw.choice(((), (), (pain,))),
        feet=feet,
        note=draw.choice(("", "=1+1", "ä – ✓")),
    )


def test_the_schemas_words_are_the_programs() -> None:
    """A new word of the program can't be forgotten in the schema, nor one dropped."""
    known = schemas()
    hold = known["export"]["$defs"]["hold"]["properties"]
    session = known["export"]["$defs"]["session"]["properties"]
    suggested = known["next"]["items"]["properties"]
    pain = known["review"]["properties"]["pain"]["items"]["properties"]

    assert set(EndedBy) == set(hold["ended_by"]["enum"])
    assert {*StoppedBy, None} == set(hold["stopped_by"]["enum"])
    assert set(PainKind) == set(hold["pain"]["items"]["properties"]["kind"]["enum"])
    assert set(SessionKind) == set(session["kind"]["enum"])
    assert set(Change) == set(suggested["change"]["enum"])
    assert set(Rule) == set(suggested["rule"]["enum"])
    assert {*Site, None} == set(pain["site"]["enum"])
