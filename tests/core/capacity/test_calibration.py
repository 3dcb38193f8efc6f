"""The score of the chances that were shown."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.core.next_week.cases import day, log, shown, trained
from trainer.core.capacity.calibration import Scored, brier, score, score_of, scored
from trainer.core.model import EndedBy
from trainer.core.weeks import IsoWeek

WEEK = IsoWeek.of(day(0))


@pytest.mark.parametrize(
    ("chance", "rain", "expected"),
    [
        (1, True, 0),
        (1, False, 1),
        (0.7, True, 0.09),
        (0.3, True, 0.49),
        (0.5, True, 0.25),
    ],
)
def test_the_published_example(chance: float, rain: bool, expected: float) -> None:
    """The rain forecasts of the encyclopaedia article on the Brier score.

    Source: "Brier score", en-academic.com/dic.nsf/enwiki/1203570, after Brier 1950.
    """
    assert expected == pytest.approx(brier([(chance, rain)]))


@given(st.lists(st.tuples(st.floats(0, 1), st.booleans()), min_size=1, max_size=50))
def test_against_numpy(pairs: list[tuple[float, bool]]) -> None:
    """The score and the table equal numpy's means (independent computation)."""
    found = score([Scored("hang", chance, made) for chance, made in pairs])
    chances = np.array([chance for chance, _ in pairs])
    outcomes = np.array([float(made) for _, made in pairs])
    bins = np.minimum(4, np.floor(chances * 5)).astype(int)

    assert float(np.mean((chances - outcomes) ** 2)) == pytest.approx(found.brier)
    for number, line in enumerate(found.table):
        inside = bins == number
        assert (number / 5, (number + 1) / 5) == (line.low, line.high)
        assert int(inside.sum()) == line.count
        if line.count:
            assert float(chances[inside].mean()) == pytest.approx(line.mean_chance)
            assert float(outcomes[inside].mean()) == pytest.approx(line.share_made)


def test_only_what_was_trained_after_the_showing() -> None:
    """A session from before the showing, or of another week, is not scored."""
    before = trained(0, 30, 30, 30, hour=8)
    after = trained(2, 30, 30, 30)
    other_week = trained(9, 30, 30, 30)
    one = shown(0, chance=0.8)

    assert () == scored(log(before, shown=[one]))
    assert () == scored(log(other_week, shown=[one]))
    assert (Scored("hang", 0.8, True),) == scored(log(before, after, shown=[one]))


def test_the_last_one_shown_is_scored_once() -> None:
    """Shown twice, the later showing counts, for the week's first session only."""
    first, second = shown(0, chance=0.3), shown(1, week=WEEK, chance=0.6)
    history = log(trained(2, 30, 30, 30), trained(4, 30, 30, 20), shown=[first, second])

    assert (Scored("hang", 0.6, True),) == scored(history)


@pytest.mark.parametrize(
    ("sets", "made"), [((30, 30, 30), True), ((30, 30, 29.4), False), ((30, 30), False)]
)
def test_all_sets_of_one_session(sets: tuple[float, ...], made: bool) -> None:
    """Made means every set that was suggested, kept to the target within the slack."""
    history = log(trained(2, *sets), shown=[shown(0, chance=0.5)])

    assert (Scored("hang", 0.5, made),) == scored(history)


def test_what_cannot_be_compared_is_left_out() -> None:
    """Another target, an interrupted hold, no chance: not scored."""
    one = shown(0, chance=0.5)
    cut = trained(2, 30, 10, ended_by=EndedBy.INTERRUPTED)
    whole = trained(2, 30, 30, 30)
    mixed = replace(
        whole, holds=(replace(whole.holds[0], target_s=25.0), *whole.holds[1:])
    )

    assert () == scored(log(trained(2, 25, 25, 25, target=25), shown=[one]))
    assert () == scored(log(cut, shown=[one]))
    assert () == scored(log(mixed, shown=[one]))
    assert () == scored(log(trained(2, 30, 30, 30), shown=[shown(0, chance=None)]))


def test_the_sentence_waits_for_ten() -> None:
    """Under ten there is no sentence; with ten it has the counts and the score."""
    ten = [Scored("hang", 0.8, number < 8) for number in range(10)]

    assert "" == score(ten[:9]).sentence()
    assert (
        "Of 10 targets that were shown and trained, 8 were made; the estimate expected"
        " 8.0. Brier score 0.16 (0 is perfect, 0.25 is guessing)."
    ) == score(ten).sentence()
    assert 0 == score_of(log()).count


@pytest.mark.parametrize(("minutes", "count"), [(0, 1), (1, 0)])
def test_what_was_shown_as_the_session_began_is_scored(
    minutes: int, count: int
) -> None:
    """Shown at the very moment of its beginning it was shown before; later, after."""
    session = trained(1, 30, 30, 30)
    begun = session.started_at + timedelta(minutes=minutes)
    late = replace(shown(1, chance=0.8), shown_at=begun)

    assert count == len(scored(log(session, shown=[late])))


def test_with_a_week_only_what_was_for_it_is_scored() -> None:
    """Two weeks' suggestions, scored one by one and together."""
    history = log(
        trained(1, 30, 30, 30),
        trained(8, 30, 30, 30),
        shown=[shown(0, chance=0.8), shown(7, chance=0.6)],
    )

    assert [0.8, 0.6] == [one.chance for one in scored(history)]
    assert [0.6] == [one.chance for one in scored(history, week=WEEK.plus(1))]
