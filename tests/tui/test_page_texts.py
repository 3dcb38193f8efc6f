"""What the pages say: pain that still stands, and how the chances came true."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from tests.tui.desk import (
    clock_at,
    frame,
    made_app,
    made_store,
    settle,
    text_of,
    train,
)
from trainer.core.capacity.calibration import Scored, score
from trainer.core.exercises import BUILT_IN
from trainer.core.model import Pain, PainKind, Side, Site
from trainer.store import Store
from trainer.tui.screens.next_week_text import score_words

NUMB_RIBS = Pain(PainKind.NUMB, Site.RIBS, Side.LEFT)


def hurt(store: Store, uid: str, sign: Pain, exercise: str = "hang") -> None:
    """Note SIGN on the first hold of EXERCISE in a session."""
    session = store.session(uid)
    assert session is not None
    hold = next(each for each in session.holds if each.exercise == exercise)
    store.correct_hold(replace(hold, pain=(sign,)))


async def test_today_says_open_pain_on_its_first_line(tmp_path: Path) -> None:
    """What, where, since when and what to do; a day without pain doesn't close it."""
    clock = clock_at()
    with made_store(tmp_path, clock) as store:
        settle(store)
        hurt(store, train(store, date(2026, 3, 4), 20), NUMB_RIBS)
        train(store, date(2026, 3, 6), 20)
        app = made_app(store, clock)
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            first = frame(pilot).splitlines()[3]
            said = " ".join(text_of(app.screen.query_one("#day")).split())

    assert "Pain   Numbness in the left ribs since Wed 4 Mar." in first
    assert (
        "Don't load it before it is gone: Start asks. Where it stays or comes back, see"
        " a clinician." in said
    )


async def test_next_week_names_no_chance_for_what_loads_the_place(
    tmp_path: Path,
) -> None:
    """Pain stands above why, and the chance line is left out."""
    clock = clock_at()
    with made_store(tmp_path, clock) as store:
        settle(store)
        train(store, date(2026, 3, 2), 20)
        site = sorted(BUILT_IN["hang"].loads)[0]
        uid = train(store, date(2026, 3, 4), 20)
        hurt(store, uid, Pain(PainKind.PAIN, site))
        app = made_app(store, clock, start="next")
        async with app.run_test(size=(80, 50)) as pilot:
            await app.workers.wait_for_complete()
            await pilot.pause()
            said = text_of(app.screen.query_one("#detail"))

    where = f"Pain in the {site.replace('-', ' ')} since Wed 4 Mar."
    assert where in said
    assert said.index(where) < said.index("Why")
    assert "Chance" not in said


@pytest.mark.parametrize(("made", "hopeful"), [(19, True), (24, False), (25, False)])
def test_the_chances_are_called_hopeful_only_where_clearly_fewer_were_made(
    made: int, hopeful: bool
) -> None:
    """25 chances of 96 %: 24 expected. No score for statisticians on this page."""
    said = score_words(
        score([Scored("hang", 0.96, made=nth < made) for nth in range(25)])
    )

    assert f"{made} were made; the estimate expected 24." in said
    assert hopeful is ("Read the chance as hopeful." in said)
    assert "Brier" not in said
    assert "" == score_words(score([Scored("hang", 0.96, made=True)] * 9))
