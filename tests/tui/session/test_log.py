"""The ten-second log by keys: every answer is in the file as soon as it is given."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual import events

from tests.tui.session.session_rig import Rig, one_set, rig, running
from trainer.core import words
from trainer.core.model import (
    FELT_SITES,
    Feet,
    Felt,
    Hold,
    Moment,
    Pain,
    PainKind,
    Side,
    Site,
    StoppedBy,
)
from trainer.core.session.state import Phase, SessionEnd

TWO_HANGS = running("hang", 30, 2)
HANG_AND_WALL = (one_set("hang", 30), one_set("press-wall", 20))


async def at_the_log(session: Rig) -> Hold:
    """Come down from the first hold at 25 s and give it as it is logged."""
    await session.wait(35)
    await session.press("space")
    return session.logged()[0]


async def test_nothing_is_required_and_nothing_made_up(tmp_path: Path) -> None:
    """What nobody answers is empty in the file, whatever the log shows."""
    async with rig(tmp_path, TWO_HANGS) as session:
        hold = await at_the_log(session)
        await session.wait_for(Phase.SET_UP)

        assert hold == session.logged()[0]
        assert (None, None, (), (), None, None, "") == (
            hold.rpe,
            hold.kept_s,
            hold.pain,
            hold.felt,
            hold.feet,
            hold.stopped_by,
            hold.note,
        )


RPES = (("8", 8), ("0", 10), ("7.", 7.5), ("7..", 7), ("0.", 10), ("89", 9))


async def test_rpe_by_digits(tmp_path: Path) -> None:
    """A digit is the RPE, 0 is ten, a full stop adds a half; the last word counts."""
    async with rig(tmp_path, TWO_HANGS) as session:
        await at_the_log(session)
        for keys, rpe in RPES:
            await session.press(*("full_stop" if key == "." else key for key in keys))

            assert rpe == session.logged()[0].rpe, keys


async def test_what_the_rpe_means_stands_beside_it(tmp_path: Path) -> None:
    """The scale beside the question; afterwards what was said, halves in words too."""
    async with rig(tmp_path, TWO_HANGS) as session:
        await at_the_log(session)
        asked = " ".join(session.seen().split())
        for step in words.RPE_SCALE.split(" · "):
            assert step in asked

        await session.press("8")
        assert "one breath left" in session.seen()
        await session.press("full_stop")
        assert "half a breath left" in session.seen()


async def test_all_kept_or_lost_on_a_breath(tmp_path: Path) -> None:
    """k: kept is held. l and a figure: kept up to the breath before (10 s of 4:6)."""
    async with rig(tmp_path, TWO_HANGS) as session:
        hold = await at_the_log(session)
        await session.press("k")
        assert hold.held_s == session.logged()[0].kept_s

        await session.press("l", "2")
        assert (10.0, 2) == (
            session.logged()[0].kept_s,
            session.logged()[0].lost_on_breath,
        )
        assert "lost on breath 2" in session.seen()


async def test_a_lost_breath_says_what_to_type(tmp_path: Path) -> None:
    """22 s of a hang of 4:6 had three breaths; a hold of one breath asks nothing."""
    async with rig(tmp_path, TWO_HANGS) as session:
        await at_the_log(session)
        await session.press("l")
        assert "The position went on breath (1 to 3)" in session.seen()
        await session.press("escape")
        assert session.logged()[0].lost_on_breath is None

    (tmp_path / "short").mkdir()
    async with rig(tmp_path / "short", running("hang", 10, 2)) as session:
        await session.wait_for(Phase.LOG_AND_REST)
        await session.press("l")
        assert (0.0, 1) == (
            session.logged()[0].kept_s,
            session.logged()[0].lost_on_breath,
        )
        assert "The position went" not in session.seen()


async def test_held_is_corrected_by_the_second_or_typed(tmp_path: Path) -> None:
    """Minus and plus go to whole seconds; t takes any figure; kept goes along."""
    async with rig(tmp_path, TWO_HANGS) as session:
        await at_the_log(session)
        assert 22.0 == session.logged()[0].held_s
        await session.press("k", "minus", "minus", "plus")
        assert 21.0 == session.logged()[0].held_s
        assert 21.0 == session.logged()[0].kept_s

        await session.press("t", "1", "8", "full_stop", "5", "enter")
        assert 18.5 == session.logged()[0].held_s


async def test_an_impossible_figure_is_refused_with_a_sentence(tmp_path: Path) -> None:
    """More than the hold can have lasted: nothing changes, and the screen says why."""
    async with rig(tmp_path, TWO_HANGS) as session:
        await at_the_log(session)
        await session.press("t", "9", "9", "9", "enter")

        assert 22.0 == session.logged()[0].held_s
        assert "between 0 and 300 s" in session.seen()


async def test_a_breath_that_the_hold_never_had_is_refused(tmp_path: Path) -> None:
    """Breath 0, a half breath and the ninth of a hold of 22 s: none was lost, and the
    screen says why."""
    async with rig(tmp_path, TWO_HANGS) as session:
        await at_the_log(session)
        await session.press("l", "0")
        assert session.logged()[0].lost_on_breath is None
        assert "breath 0" in session.seen()

        await session.press("l", "9")
        assert session.logged()[0].lost_on_breath is None
        assert "breath 9" in session.seen()

    (tmp_path / "long").mkdir()
    async with rig(tmp_path / "long", running("hang", 120, 2)) as session:
        await session.wait_for(Phase.LOG_AND_REST)
        await session.press("l", "2", "full_stop", "5", "enter")
        assert session.logged()[0].lost_on_breath is None


async def test_a_half_typed_figure_is_no_figure(tmp_path: Path) -> None:
    """Escape, or the set-up that begins, drops a 1 that was to become 18."""
    async with rig(tmp_path, TWO_HANGS) as session:
        await at_the_log(session)
        await session.press("t", "1", "escape")
        assert 22.0 == session.logged()[0].held_s

        await session.wait_for(Phase.LOG_AND_REST)
        await session.press("t", "1")
        await session.wait_for(Phase.SET_UP)
        assert 22.0 == session.logged()[0].held_s


REASONS = {
    "g": StoppedBy.GRIP,
    "s": StoppedBy.SHOULDER,
    "i": StoppedBy.POSITION,
    "b": StoppedBy.BREATH,
    "v": StoppedBy.NERVE,
    "o": StoppedBy.OTHER,
}


async def test_one_key_says_what_stopped_it(tmp_path: Path) -> None:
    """Each reason has its key; the same key again takes it back."""
    async with rig(tmp_path, TWO_HANGS) as session:
        await at_the_log(session)
        for key, why in REASONS.items():
            await session.press(key)
            assert why is session.logged()[0].stopped_by

        await session.press("o")
        assert session.logged()[0].stopped_by is None


async def test_what_stopped_a_hold_is_asked_only_where_something_did(
    tmp_path: Path,
) -> None:
    """After a hold to its target those keys are free: just after it, down earlier."""
    async with rig(tmp_path, TWO_HANGS) as session:
        await session.wait_for(Phase.LOG_AND_REST)
        assert "stopped by" not in session.seen()
        await session.press("g")

        assert session.logged()[0].stopped_by is None


async def test_feet_in_a_supported_hang(tmp_path: Path) -> None:
    """e goes through half, little, toes and nothing; other exercises don't ask."""
    async with rig(tmp_path, running("hang-supported", 30, 2)) as session:
        await at_the_log(session)
        await session.press("e")
        assert Feet.HALF is session.logged()[0].feet
        await session.press("e", "e")
        assert Feet.TOES is session.logged()[0].feet
        await session.press("e")
        assert session.logged()[0].feet is None


async def test_felt_on_the_drawing(tmp_path: Path) -> None:
    """A letter, side, moment, strength; five rows of the rest's seconds in view.

    Enter goes back to the log. An arrow and the space bar mark too, and take it away.
    """
    async with rig(tmp_path, HANG_AND_WALL, size=(80, 24)) as session:
        await at_the_log(session)
        await session.wait_for(Phase.LOG_AND_REST)
        await session.press("f", "a", "l", "s", "s", "6")

        felt = Felt(Site.ARMPIT, Side.LEFT, Moment.EXHALE, 6.0)
        assert (felt,) == session.logged()[0].felt
        assert "armpit, left, only with the" in session.seen()
        assert "60 s of 60 s left" in session.seen()
        assert 5 <= session.screen.query_one("#head-figure").size.height

        await session.press("down", "space", "space", "enter")
        assert (felt,) == session.logged()[0].felt
        assert "armpit, left, only with the exhale, 6" in session.seen()


async def test_last_time_is_shown_and_stored_only_when_chosen(tmp_path: Path) -> None:
    """What was felt last time is text; one key on the drawing chooses it again."""
    last = (Felt(Site.LATS, Side.BOTH, Moment.SETTLED, 4.0),)
    async with rig(tmp_path, HANG_AND_WALL, last_felt={"hang": last}) as session:
        await at_the_log(session)
        assert "last time: lats, both, all the time, 4" in session.seen()
        await session.press("f")
        assert () == session.logged()[0].felt

        await session.press("u")
        assert last == session.logged()[0].felt


async def test_felt_is_offered_after_every_set(tmp_path: Path) -> None:
    """Its key works, so it is shown: below the rest while sets of it are to come,
    before the note after the last one, in every window."""
    for size in ((60, 20), (100, 30)):
        (folder := tmp_path / str(size[0])).mkdir()
        async with rig(folder, TWO_HANGS, size=size) as session:
            await at_the_log(session)
            assert session.seen().index("pain") < session.seen().index("on the drawing")
            assert "write" not in session.seen()
            await session.wait_for(Phase.SET_UP)
            await session.wait_for(Phase.DONE)

            assert session.seen().index("on the drawing") < session.seen().index(
                "write"
            )


async def test_the_drawing_names_its_places_and_which_are_chosen(
    tmp_path: Path,
) -> None:
    """Every place and its letter before the first key; a sign beside the chosen."""
    for size in ((80, 24), (100, 30), (200, 60)):
        (folder := tmp_path / str(size[0])).mkdir()
        async with rig(folder, HANG_AND_WALL, size=size) as session:
            await at_the_log(session)
            await session.press("f")
            seen = session.seen()
            for site in FELT_SITES:
                assert f"{site.letter} {site.words}" in seen, (site, size)
            assert "right front left" in seen
            assert "left back right" in seen

            await session.press("v", "7")
            assert "# v between the blades 7" in session.seen()
            assert Site.BETWEEN_BLADES is session.logged()[0].felt[0].site


async def test_rpe_kept_and_felt_take_six_keys(tmp_path: Path) -> None:
    """Two for what each set is asked, four more for a place with its strength."""
    keys = ("8", "k", "f", "a", "6", "enter")
    async with rig(tmp_path, HANG_AND_WALL) as session:
        await at_the_log(session)
        await session.press(*keys)

        hold = session.logged()[0]
        assert (8.0, hold.held_s) == (hold.rpe, hold.kept_s)
        assert (Felt(Site.ARMPIT, strength=6.0),) == hold.felt
        assert "how much longer" not in session.seen()
        assert "f on the drawing" in session.seen()


async def test_a_note_is_text_whatever_is_in_it(tmp_path: Path) -> None:
    """Markup is text, control characters go, and the screen stands."""
    async with rig(tmp_path, HANG_AND_WALL) as session:
        await at_the_log(session)
        await session.press("n")
        await session.write("[/] [@click=app.quit]x[/] \x1b[31m red")
        await session.press("enter")

        assert "[/] [@click=app.quit]x[/] [31m red" == session.logged()[0].note
        assert "[@click=app.quit]x[/]" in session.seen()


async def test_a_half_typed_note_is_kept_when_a_set_up_begins(tmp_path: Path) -> None:
    """The log folds, saves, and gives the keys up: the next key means not yet."""
    async with rig(tmp_path, HANG_AND_WALL) as session:
        await at_the_log(session)
        await session.wait_for(Phase.LOG_AND_REST)
        await session.press("n")
        await session.write("grip was dam")
        await session.wait_for(Phase.SET_UP)
        assert "grip was dam" == session.logged()[0].note

        left_s = session.state.remaining_s(session.clock.now_s())
        await session.press("p")
        assert left_s + 30 == session.state.remaining_s(session.clock.now_s())


async def test_another_window_takes_no_key_from_the_hold(tmp_path: Path) -> None:
    """Away from the window while a line was open, back in the hold: any key ends it."""
    async with rig(tmp_path, TWO_HANGS) as session:
        await at_the_log(session)
        await session.wait_for(Phase.LOG_AND_REST)
        await session.wait(58)
        await session.press("t")
        session.pilot.app.post_message(events.AppBlur())
        await session.pilot.pause()
        await session.wait_for(Phase.HOLD)
        await session.wait(10)
        session.pilot.app.post_message(events.AppFocus())
        await session.pilot.pause()
        await session.press("space")

        assert session.is_in(Phase.COME_OUT)


async def test_another_window_closes_no_line(tmp_path: Path) -> None:
    """Back from it, what is typed still goes into the note and answers nothing."""
    async with rig(tmp_path, HANG_AND_WALL) as session:
        await at_the_log(session)
        await session.wait_for(Phase.LOG_AND_REST)
        await session.press("n")
        session.pilot.app.post_message(events.AppBlur())
        await session.wait(2)
        session.pilot.app.post_message(events.AppFocus())
        await session.wait(2)
        await session.press("g", "7", "enter")

        assert "g7" == session.logged()[0].note
        assert session.logged()[0].rpe is None


@pytest.mark.parametrize(
    ("keys", "pain"),
    [
        (("p", "w", "l", "enter"), Pain(PainKind.PAIN, Site.WRIST, Side.LEFT)),
        (("p", "n", "h", "r", "enter"), Pain(PainKind.NUMB, Site.HAND, Side.RIGHT)),
        (("p", "v", "enter"), Pain(PainKind.PAIN, Site.BETWEEN_BLADES)),
        (("p", "l", "enter"), Pain(PainKind.PAIN)),
        (("p", "w", "l", "l", "enter"), Pain(PainKind.PAIN, Site.WRIST)),
    ],
)
async def test_pain_has_its_place_and_side_in_five_keys(
    tmp_path: Path, keys: tuple[str, ...], pain: Pain
) -> None:
    """A letter for the place, one for the side; a side without a place says nothing."""
    async with rig(tmp_path, HANG_AND_WALL) as session:
        await at_the_log(session)
        await session.press(*keys)

        assert len(keys) <= 5
        assert (pain,) == session.logged()[0].pain


async def test_what_is_half_said_reaches_no_other_hold(tmp_path: Path) -> None:
    """A hold taken out while its pain is open; the one before it has no pain."""
    async with rig(tmp_path, running("hang", 30, 3)) as session:
        await session.wait_for(Phase.LOG_AND_REST)
        await session.wait_for(Phase.SET_UP)
        await session.wait_for(Phase.LOG_AND_REST)
        await session.press("p")
        session.screen.action_out()
        await session.wait_for(Phase.SET_UP)

        assert [()] == [hold.pain for hold in session.logged()]


async def test_pain_leaves_out_what_loads_the_place(tmp_path: Path) -> None:
    """p, a place, enter: the hold says so, and sets are left out; one key overrides."""
    async with rig(tmp_path, HANG_AND_WALL) as session:
        await at_the_log(session)
        await session.press("p", "down", "enter")

        pain = (Pain(PainKind.PAIN, Site.ARMPIT),)
        assert pain == session.logged()[0].pain
        assert frozenset({1}) == session.state.struck
        assert "1 set left out" in session.seen()

        await session.press("a")
        assert "There was pain in the armpit. Put back" in session.seen()
        assert frozenset({1}) == session.state.struck
        await session.press("a")
        assert frozenset() == session.state.struck
        assert session.logged()[0].pain_overridden
        await session.wait_for(Phase.SET_UP)


async def test_pain_can_be_taken_back(tmp_path: Path) -> None:
    """Escape notes nothing; undo puts the sets back."""
    async with rig(tmp_path, HANG_AND_WALL) as session:
        await at_the_log(session)
        await session.press("p", "n", "escape")
        assert () == session.logged()[0].pain

        await session.press("p", "n", "down", "enter")
        assert PainKind.NUMB is session.logged()[0].pain[0].kind
        await session.press("z")
        assert () == session.logged()[0].pain
        assert frozenset() == session.state.struck


async def test_a_pain_that_is_half_said_is_not_lost(tmp_path: Path) -> None:
    """p and no more: when the set-up begins it is noted, and the set is left out."""
    async with rig(tmp_path, TWO_HANGS) as session:
        await at_the_log(session)
        await session.wait_for(Phase.LOG_AND_REST)
        await session.press("p")
        await session.wait(61)

        assert (Pain(PainKind.PAIN),) == session.logged()[0].pain
        assert session.is_in(Phase.DONE)
        assert SessionEnd.PAIN is session.state.end


async def test_dizzy_ends_the_session(tmp_path: Path) -> None:
    """p and d: nothing more is led; one key overrides that too."""
    async with rig(tmp_path, HANG_AND_WALL) as session:
        await at_the_log(session)
        await session.press("p", "d")

        assert SessionEnd.DIZZY is session.state.end
        assert "Sit a moment" in session.seen()
        assert PainKind.DIZZY is session.logged()[0].pain[0].kind

        await session.press("a", "a")
        assert session.is_in(Phase.LOG_AND_REST)


async def test_a_hold_that_didnt_happen_goes_and_comes_back(tmp_path: Path) -> None:
    """x takes the hold out of the log, z puts it back."""
    async with rig(tmp_path, TWO_HANGS) as session:
        await at_the_log(session)
        await session.press("x")
        assert () == session.logged()
        assert "z Undo didn't happen" in session.seen()

        await session.wait_for(Phase.LOG_AND_REST)
        assert "This hold counts for nothing." in session.seen()

        await session.press("z")
        assert 1 == len(session.logged())


async def test_the_mouse_answers_too(tmp_path: Path) -> None:
    """A click on a key's word does what the key does."""
    async with rig(tmp_path, TWO_HANGS) as session:
        await at_the_log(session)
        rows = session.seen().splitlines()
        y = next(n for n, row in enumerate(rows) if "k all" in row)
        await session.pilot.click(offset=(rows[y].index("k all") + 3, y))
        await session.pilot.pause()

        assert 22.0 == session.logged()[0].kept_s


async def test_the_last_hold_can_be_logged_without_a_clock(tmp_path: Path) -> None:
    """After the last set there is no rest: the log waits for the one key."""
    async with rig(tmp_path, (one_set("hang", 30),)) as session:
        await at_the_log(session)
        await session.wait_for(Phase.DONE)
        await session.wait(300)
        await session.press("9", "k")

        assert (9.0, 22.0) == (session.logged()[0].rpe, session.logged()[0].kept_s)
        assert "enter Summary" in session.seen()


async def test_every_size_has_the_whole_log(tmp_path: Path) -> None:
    """From 60×20 on: every line of the longest log, and the seconds of the rest."""
    sets = (one_set("hang-supported", 30), one_set("press-pike", 30))
    async with rig(tmp_path, sets) as session:
        await at_the_log(session)
        await session.wait_for(Phase.LOG_AND_REST)
        for size in ((60, 20), (80, 24), (200, 60)):
            await session.pilot.resize_terminal(*size)
            await session.pilot.pause()
            seen = session.seen()

            for label in ("held", "RPE", "kept", "stopped by", "feet", "pain", "felt"):
                assert f"{label} " in seen, (label, size)
            assert "n write" in seen, size
            assert "60 s of 60 s left" in seen, size


async def test_a_breath_and_enter_go_on_in_the_log(tmp_path: Path) -> None:
    """The figure is taken by itself; enter after it doesn't open the summary."""
    async with rig(tmp_path, running("hang", 30, 1)) as session:
        await at_the_log(session)
        await session.wait_for(Phase.DONE)
        await session.press("l", "2", "enter")

        assert 2 == session.logged()[0].lost_on_breath
        assert [] == session.ended

        await session.press("enter")
        assert 1 == len(session.ended)


async def test_grip_is_no_reason_for_a_press_to_end(tmp_path: Path) -> None:
    """A press has no bar: grip is neither offered nor taken, the others are."""
    async with rig(tmp_path, running("press-pushup", 30, 2)) as session:
        await at_the_log(session)
        assert "g grip" not in session.seen()
        await session.press("g")
        assert session.logged()[0].stopped_by is None

        await session.press("s")
        assert StoppedBy.SHOULDER is session.logged()[0].stopped_by
