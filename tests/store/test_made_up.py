"""A made-up trainee's file and a person's are never mixed."""

from __future__ import annotations

import json

import pytest

from tests.store.makers import Makers
from tests.trainee import trainee
from trainer.core.answers import is_made_up
from trainer.demo.trainee import fill
from trainer.errors import UsageError
from trainer.store import Store


def test_what_is_written_is_what_is_read(store: Store) -> None:
    """The whole made-up history goes through the store and comes back the same."""
    fill(store, trainee())
    found = store.history()

    assert is_made_up(store.answers())
    assert trainee().history.rest_weeks == found.rest_weeks
    assert trainee().history.targets == found.targets
    assert trainee().history.sessions == found.sessions
    assert trainee().plans == store.plans()
    assert {(one.exercise, one.week) for one in trainee().history.shown} == {
        (one.exercise, one.week) for one in found.shown
    }


def test_its_export_is_refused_by_a_person_s_file(store: Store, other: Store) -> None:
    """Nothing of a made-up trainee comes into a person's log."""
    fill(store, trainee())
    document = json.loads(json.dumps(store.export()))

    with pytest.raises(UsageError, match="made-up trainee's"):
        other.import_document(document)
    assert () == other.history().sessions


def test_a_person_s_export_is_refused_by_a_made_up_file(
    store: Store, other: Store, make: Makers
) -> None:
    """Nor does a person's log come into a made-up file."""
    fill(store, trainee())

    with pytest.raises(UsageError, match="a person's"):
        store.import_document(json.loads(json.dumps(other.export())))


def test_between_made_up_files_it_travels(
    store: Store, other: Store, make: Makers
) -> None:
    """Two made-up files merge as any two files do."""
    make.clock.advance(300 * 86400)
    fill(store, trainee())
    for key, value in trainee().answers.items():
        other.set_answer(key, value)
    other.import_document(json.loads(json.dumps(store.export())))

    assert store.history().sessions == other.history().sessions
