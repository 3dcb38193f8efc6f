"""The felt map: blocks of four weeks, what moved, and sites to be careful with."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from tests.core.histories import hold, session
from trainer.core.charts.body import ROWS, SMALL, felt_chart, maps_that_fit
from trainer.core.charts.canvas import ASCII, plain
from trainer.core.model import Felt, Moment, Session, Side, Site
from trainer.core.review.felt import NOT_LOADED, Block, blocks, keeps_turning_up, moved
from trainer.core.weeks import IsoWeek

LAST = IsoWeek(2026, 40)
FIRST = LAST.plus(-7)


def visit(weeks_ago: int, *felt: Felt, day: int = 0) -> Session:
    when = LAST.plus(-weeks_ago).monday + timedelta(days=day)
    return session(when, hold(day=when, felt=felt))


def cut(*sessions: Session) -> tuple[Block, ...]:
    return blocks(sessions, first=FIRST, last=LAST)


def weekly(site: Site, weeks: range, strength: float = 6) -> list[Session]:
    return [
        visit(ago, Felt(site, Side.BOTH, Moment.SETTLED, strength)) for ago in weeks
    ]


class TestBlocks:
    def test_four_weeks_end_with_the_running_one(self) -> None:
        """Eight weeks are two blocks of four; the newest ends with the last week."""
        found = cut()

        assert [(FIRST, FIRST.plus(3)), (FIRST.plus(4), LAST)] == [
            (block.first, block.last) for block in found
        ]

    def test_a_period_that_isn_t_whole_blocks_begins_with_a_short_one(self) -> None:
        """The oldest block doesn't reach back before the period."""
        found = blocks([], first=LAST.plus(-5), last=LAST)

        assert LAST.plus(-5) == found[0].first
        assert 2 == len(found)

    def test_how_often_and_how_strongly(self) -> None:
        """Felt in two of three sessions at 4 and 6: share two thirds, strength 5."""
        found = cut(
            visit(0, Felt(Site.RIBS, Side.LEFT, Moment.EXHALE, 4)),
            visit(1, Felt(Site.RIBS, Side.BOTH, Moment.EXHALE, 6)),
            visit(2, Felt(Site.LATS, None, None, None)),
        )
        mark = found[-1].mark(Site.RIBS)

        assert mark is not None
        assert (2, 5.0, 2, 1) == (mark.sessions, mark.strength, mark.left, mark.right)
        assert pytest.approx(2 / 3) == mark.share

    def test_settled_and_exhale_are_kept_apart(self) -> None:
        """A place that came with the exhale isn't shown as settled."""
        found = cut(visit(0, Felt(Site.RIBS, Side.BOTH, Moment.EXHALE, 5)))[-1]

        assert None is found.mark(Site.RIBS, Moment.SETTLED)
        assert found.mark(Site.RIBS, Moment.EXHALE) is not None

    def test_nothing_unsaid_is_made_up(self) -> None:
        """Without a strength there is none, without a moment neither moment has it."""
        found = cut(visit(0, Felt(Site.RIBS)))[-1]
        mark = found.mark(Site.RIBS)

        assert mark is not None
        assert mark.strength is None
        assert (0, 0) == (mark.left, mark.right)
        assert () == found.marks[Moment.SETTLED] == found.marks[Moment.EXHALE]

    def test_sessions_without_anything_felt_don_t_count(self) -> None:
        """The share is of sessions in which something was noted at all."""
        found = cut(visit(0, Felt(Site.RIBS)), visit(1))[-1]

        assert 1 == found.sessions


class TestMoved:
    def test_from_one_place_to_another(self) -> None:
        """Pecs in the old block, ribs in the new one: the sentence says both, and when.

        The newer block begins with week 37 of 2026, on 7 September.
        """
        found = cut(*weekly(Site.PECS, range(4, 8)), *weekly(Site.RIBS, range(4)))

        assert "From the pecs to the ribs since September." == moved(found)

    def test_as_much_as_counts_is_enough_on_both_sides(self) -> None:
        """The pecs lose 0.12 of their weight and the ribs gain it: that is a move."""
        then = (Felt(Site.PECS, strength=5.2), Felt(Site.RIBS, strength=4))
        now = (Felt(Site.PECS, strength=4), Felt(Site.RIBS, strength=5.2))
        found = cut(
            *(visit(ago, *then) for ago in range(4, 8)),
            *(visit(ago, *now) for ago in range(4)),
        )

        assert "From the pecs to the ribs since September." == moved(found)

    def test_nothing_moved(self) -> None:
        """The same place in both blocks is said to be the same."""
        found = cut(*weekly(Site.LATS, range(8)))

        assert "Still mostly felt in the lats: no place gained or lost much." == moved(
            found
        )

    def test_one_block_is_no_movement(self) -> None:
        """With one block told there is a place and no movement."""
        found = cut(*weekly(Site.LATS, range(4)))

        assert "Mostly felt in the lats; one block is no movement yet." == moved(found)

    def test_too_little_is_said_to_be_too_little(self) -> None:
        """Two sessions draw no map."""
        assert moved(cut(*weekly(Site.LATS, range(2)))).startswith("Too little noted")
        assert moved(()).startswith("Too little noted")

    @pytest.mark.parametrize(
        ("old", "new", "sentence"),
        [
            (2, 8, "More in the lats than in the block of August."),
            (8, 2, "Less in the lats than in the block of August."),
            (4, 5.2, "More in the lats than in the block of August."),
            (5.2, 4, "Less in the lats than in the block of August."),
            (4, 5.1, "Still mostly felt in the lats: no place gained or lost much."),
            (5.1, 4, "Still mostly felt in the lats: no place gained or lost much."),
        ],
    )
    def test_one_place_alone(self, old: float, new: float, sentence: str) -> None:
        """A place that gains or loses 0.12 of its weight or more is named alone."""
        found = cut(
            *weekly(Site.LATS, range(4, 8), old), *weekly(Site.LATS, range(4), new)
        )

        assert sentence == moved(found)


class TestNotLoaded:
    @pytest.mark.parametrize("site", list(NOT_LOADED))
    def test_is_named_when_it_keeps_turning_up(self, site: Site) -> None:
        """Three sessions of the last block are named, with the caution."""
        said = keeps_turning_up(cut(*weekly(site, range(3))))

        assert 1 == len(said)
        assert said[0].startswith(site.value.replace("-", " ").capitalize())
        assert "clinician" in said[0]
        assert "Usually behind it" in said[0]

    def test_twice_is_not_yet(self) -> None:
        """Two sessions are no pattern."""
        assert () == keeps_turning_up(cut(*weekly(Site.NECK, range(2))))

    @pytest.mark.parametrize(("others", "named"), [(9, 1), (10, 0)])
    def test_a_quarter_of_the_sessions_is_enough(self, others: int, named: int) -> None:
        """Three of twelve sessions are a quarter, three of thirteen aren't."""
        lats = [visit(n // 5, Felt(Site.LATS), day=n % 5) for n in range(others)]
        neck = [visit(3, Felt(Site.NECK), day=n) for n in range(3)]

        assert named == len(keeps_turning_up(cut(*lats, *neck)))

    def test_long_ago_is_over(self) -> None:
        """What turned up in the older block alone isn't held up any more."""
        assert () == keeps_turning_up(cut(*weekly(Site.NECK, range(4, 8))))

    def test_a_stretch_where_it_belongs_is_not_named(self) -> None:
        """Lats and ribs are what a hold is for."""
        assert () == keeps_turning_up(cut(*weekly(Site.LATS, range(4))))
        assert () == keeps_turning_up(())


class TestPicture:
    def test_shades_the_site_and_names_it(self) -> None:
        """The ribs' cells are shaded, and the figures stand below in words."""
        found = cut(*weekly(Site.RIBS, range(4), 9))
        drawn = felt_chart([(block, Moment.SETTLED) for block in found])
        picture = plain(drawn)

        assert len(drawn) == ROWS
        assert "█" in picture
        assert "ribs 4x at 9" in picture
        assert "nothing noted" in picture

    def test_ascii_shades_with_other_signs(self) -> None:
        """Four steps of shading that aren't part of the drawing's lines."""
        found = cut(*weekly(Site.RIBS, range(4), 9))
        picture = plain(felt_chart([(block, None) for block in found], glyphs=ASCII))

        assert picture.isascii()
        assert "@" in picture
        assert not set(ASCII.shades) & set("".join(SMALL.rows)) - {"-"}

    def test_one_side_alone_is_shaded_alone(self) -> None:
        """Felt on the left only: the person's right stays blank on both figures."""
        left = [
            visit(ago, Felt(Site.TRICEPS, Side.LEFT, Moment.SETTLED, 9))
            for ago in range(4)
        ]
        both = weekly(Site.TRICEPS, range(4), 9)

        def shaded(sessions: list[Session]) -> int:
            return plain(felt_chart([(cut(*sessions)[-1], None)])).count("█")

        assert 2 * shaded(left) == shaded(both)

    @pytest.mark.parametrize(("width", "count"), [(40, 1), (77, 2), (118, 3), (10, 1)])
    def test_as_many_blocks_as_fit(self, width: int, count: int) -> None:
        """One block at least, and no more than the width holds."""
        assert count == maps_that_fit(width)

    def test_blocks_are_named_by_their_days(self) -> None:
        """The title has the first and the last day of the block."""
        assert date(2026, 9, 7) == cut()[-1].first.monday
        assert "since 7 Sep, 0 sessions" in plain(felt_chart([(cut()[-1], None)]))
