"""The merge's rules: a table, and an order that every machine shares."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.core.merging import RULES, Verdict, Version, decide

EARLY, LATE = "2026-03-02T17:00:00.000000Z", "2026-03-02T17:00:01.000000Z"
LIVE, GONE = Version(updated_at=EARLY), Version(updated_at=EARLY, taken_back=True)
TABLE = [
    (None, LIVE, Verdict.NEW),
    (None, GONE, Verdict.NEW),
    (None, Version(updated_at=None), Verdict.NEW),
    (LIVE, Version(updated_at=None, content="by hand"), Verdict.UNDATED),
    (GONE, Version(updated_at=None), Verdict.UNDATED),
    (LIVE, Version(updated_at=LATE, taken_back=True), Verdict.LATER),
    (GONE, Version(updated_at=LATE), Verdict.LATER),
    (Version(updated_at=LATE, taken_back=True), LIVE, Verdict.EARLIER),
    (Version(updated_at=LATE), GONE, Verdict.EARLIER),
    (GONE, LIVE, Verdict.LIVE_COMES),
    (LIVE, GONE, Verdict.LIVE_STAYS),
    (LIVE, Version(updated_at=EARLY, content="b"), Verdict.TEXT_COMES),
    (Version(updated_at=EARLY, content="b"), LIVE, Verdict.TEXT_STAYS),
    (LIVE, LIVE, Verdict.ALIKE),
]
VERSIONS = st.builds(
    Version,
    updated_at=st.sampled_from([EARLY, LATE]),
    taken_back=st.booleans(),
    content=st.sampled_from(["", "a", "b"]),
)


@pytest.mark.parametrize(("here", "there", "verdict"), TABLE)
def test_each_line_of_the_table(
    here: Version | None, there: Version, verdict: Verdict
) -> None:
    """What is here and what comes in decide by the line that names them."""
    assert verdict is decide(here, there)


def test_every_line_has_its_case() -> None:
    """No line of the table is without an example, and the words have them all."""
    assert set(Verdict) == {verdict for _, _, verdict in TABLE}
    assert {verdict.value for verdict in Verdict} <= set(RULES)
    assert len(RULES) == len(set(RULES))


def test_the_developers_page_has_the_table() -> None:
    """What contributors read is what the code says, line by line."""
    page = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text("utf-8")
    rows = [f"| {r.what} | {r.here} | {r.there} | {r.result} |" for r in RULES]

    assert "\n".join(rows) in page


def merged(here: Version, there: Version) -> Version:
    return there if decide(here, there).theirs_comes_in else here


@given(one=VERSIONS, two=VERSIONS, three=VERSIONS)
def test_every_order_of_exchange_comes_to_the_same(
    one: Version, two: Version, three: Version
) -> None:
    """Merging is idempotent, commutative and associative: a join of a total order."""
    assert one == merged(one, one)
    assert merged(one, two) == merged(two, one)
    assert merged(merged(one, two), three) == merged(one, merged(two, three))


@given(one=VERSIONS, two=VERSIONS)
def test_of_one_instant_the_live_one_stands(one: Version, two: Version) -> None:
    """In a tie nothing is lost: it stands as taken back only where both say so."""
    same = Version(
        updated_at=one.updated_at, taken_back=two.taken_back, content=two.content
    )

    assert (one.taken_back and two.taken_back) == merged(one, same).taken_back
