"""The JSON against the schemas that ship, by the library ``jsonschema``.

Source: JSON Schema, draft 2020-12.
"""

from __future__ import annotations

import json
from importlib import resources
from typing import Any

import pytest
from jsonschema import Draft202012Validator, ValidationError

from tests.cli.conftest import Cli
from trainer.core.model import EndedBy, PainKind, SessionKind, StoppedBy
from trainer.demo.trainee import write_demo


def schema(name: str) -> Draft202012Validator:
    """Return the checker of one of our documents, itself checked."""
    text = resources.files("trainer.report") / "schemas" / f"{name}.schema.json"
    found = json.loads(text.read_text("utf-8"))
    Draft202012Validator.check_schema(found)
    return Draft202012Validator(
        found, format_checker=Draft202012Validator.FORMAT_CHECKER
    )


@pytest.mark.parametrize(
    ("name", "command"),
    [("next", ("next", "--json")), ("export", ("data", "export"))],
)
def test_a_trainees_documents_keep_to_their_schemas(
    cli: Cli, name: str, command: tuple[str, ...]
) -> None:
    """Twenty weeks of a made-up trainee; and what is wrong in one is found."""
    file = cli.db.with_name("demo.db")
    write_demo(file, clock=cli.clock)
    document: Any = cli(*command, "--db", str(file)).json
    checker = schema(name)

    checker.validate(document)
    if name == "next":
        document[0]["chance"] = 1.2
    else:
        document["sessions"][0]["holds"][0]["rpe"] = 7.3
    with pytest.raises(ValidationError):
        checker.validate(document)


def test_the_schemas_words_are_the_programs() -> None:
    """A new word of the program can't be forgotten in the schema, nor one dropped."""
    known = schema("export").schema["$defs"]
    hold = known["hold"]["properties"]

    assert set(EndedBy) == set(hold["ended_by"]["enum"])
    assert {*StoppedBy, None} == set(hold["stopped_by"]["enum"])
    assert set(PainKind) == set(hold["pain"]["items"]["properties"]["kind"]["enum"])
    assert set(SessionKind) == set(known["session"]["properties"]["kind"]["enum"])
