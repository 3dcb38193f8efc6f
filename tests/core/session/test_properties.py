"""What must hold of the session machine whatever happens to it."""

from __future__ import annotations

import math
from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.core.session.sessions import Led, program, program_set, run
from trainer.core.cues.breathing import Pattern, lay
from trainer.core.cues.cues import Cue
from trainer.core.model import EndedBy, Pain, PainKind, Site
from trainer.core.session.cue_sheet import cue_sheet
from trainer.core.session.events import (
    AnswerHeld,
    AnswerKept,
    AnswerPain,
    AnswerRpe,
    AnyKey,
    DidNotHappen,
    Effect,
    EndSession,
    Event,
    FalseStart,
    Gap,
    IllegalEventError,
    OverridePain,
    PauseSession,
    Ready,
    RecordHold,
    Resolve,
    Resume,
    Skip,
    SkipWarmUp,
    Start,
    TakeBack,
    Tick,
)
from trainer.core.session.machine import TRANSITIONS, allowed, begin, step
from trainer.core.session.program import SessionProgram, WarmUpMove
from trainer.core.session.state import Phase, SessionState

# Made once: a strategy that is made for each draw is looked over anew each time.
EXERCISES = st.sampled_from(
    ("hang", "hang-supported", "press-pushup", "press-pike", "press-wall")
)
COUNTS = st.integers(1, 4)
TARGETS_S = st.integers(3, 40)
RESTS_S = st.integers(0, 90)
YES_OR_NO = st.booleans()


@st.composite
def programs(draw: st.DrawFn) -> SessionProgram:
    sets = []
    for number in range(draw(COUNTS)):
        exercise = draw(EXERCISES)
        target_s = float(draw(TARGETS_S))
        stays = exercise != "press-wall" and draw(YES_OR_NO)
        sets.append(
            program_set(
                exercise,
                target_s=target_s,
                rest_s=float(draw(RESTS_S)),
                set_number=number + 1,
                limit_s=2 * target_s if stays else None,
            )
        )
    moves = (WarmUpMove("Circles", "", 20.0),) if draw(YES_OR_NO) else ()
    return program(*sets, warm_up=moves)


EVENTS: st.SearchStrategy[Event] = st.one_of(
    st.sampled_from(
        [
            Tick(),
            Tick(),
            AnyKey(),
            FalseStart(),
            DidNotHappen(),
            TakeBack(),
            Skip(),
            SkipWarmUp(),
            Ready(),
            PauseSession(),
            Resume(),
            Resolve(held_s=3.0),
            Resolve(held_s=None),
            OverridePain(),
            EndSession(),
            AnswerRpe(rpe=7.5),
            AnswerKept(all_kept=True),
            AnswerKept(lost_on_breath=2),
            AnswerHeld(held_s=4.0),
            AnswerPain(pain=Pain(PainKind.PAIN, Site.WRIST)),
            AnswerPain(pain=Pain(PainKind.DIZZY)),
        ]
    ),
)

Timed = list[tuple[float, Event]]

PROGRAMS = programs()
STEPS = st.lists(
    st.tuples(st.integers(0, 400).map(lambda n: n / 10), EVENTS), max_size=25
)
ONE_IN_21 = st.integers(0, 20)


@st.composite
def lived(draw: st.DrawFn) -> tuple[SessionProgram, Timed]:
    """A program, and the events that its session took, each at its time."""
    made = draw(PROGRAMS)
    now_s = 50.0
    timed: Timed = [(now_s, Start())]
    state, _ = step(begin(made), Start(), now_s)
    for wait_s, event in draw(STEPS):
        now_s += wait_s
        if draw(ONE_IN_21) == 0:
            event = Gap(since_s=now_s - wait_s)
        try:
            state, _ = step(state, event, now_s)
        except (IllegalEventError, ValueError):
            continue
        timed.append((now_s, event))
    return made, timed


@given(lived())
def test_the_state_says_what_the_machine_then_does(
    made: tuple[SessionProgram, Timed],
) -> None:
    """Whether undo, *didn't happen* or an override works is asked of the state."""
    program_, timed = made
    state = begin(program_)
    for at_s, event in timed:
        state, _ = step(state, event, at_s)
    now_s = timed[-1][0]
    for event, may in (
        (TakeBack(), state.can_take_back(now_s)),
        (OverridePain(), state.can_override_pain),
        (DidNotHappen(), bool(state.holds_to_take_out)),
    ):
        try:
            step(state, event, now_s)
        except IllegalEventError:
            assert not may, event
        else:
            assert may, event


def with_ticks(timed: Timed, every_s: float) -> Timed:
    """Put ticks between events, as a screen's timer would; none inside a gap."""
    finer: Timed = []
    for (at_s, event), (next_s, after) in pairwise(timed):
        finer.append((at_s, event))
        until_s = after.since_s if isinstance(after, Gap) else next_s
        ticks = math.floor((until_s - at_s) / every_s)
        finer.extend((at_s + n * every_s, Tick()) for n in range(1, ticks + 1))
    return [*finer, timed[-1]]


@settings(max_examples=60, deadline=None)
@given(lived(), st.sampled_from([0.1, 0.73, 5.0]))
def test_many_small_ticks_are_one_big_tick(
    life: tuple[SessionProgram, Timed], every_s: float
) -> None:
    """However often the screen looks, the same happens, at the same times."""
    made, timed = life

    assert run(made, timed) == run(made, with_ticks(timed, every_s))


@settings(max_examples=60, deadline=None)
@given(lived())
def test_replaying_the_events_gives_the_same(
    life: tuple[SessionProgram, Timed],
) -> None:
    """The machine has no memory but its state."""
    made, timed = life
    expected = run(made, timed)

    state: SessionState = begin(made)
    effects: list[Effect] = []
    for at_s, event in timed:
        copied = eval_copy(state)
        state, more = step(copied, event, at_s)
        effects.extend(more)

    assert expected == (state, effects)


def eval_copy(state: SessionState) -> SessionState:
    """A state made anew from its parts: nothing may hang on identity."""
    names = state.__dataclass_fields__
    return SessionState(**{name: getattr(state, name) for name in names})


@settings(max_examples=100, deadline=None)
@given(lived())
def test_only_listed_transitions_happen(life: tuple[SessionProgram, Timed]) -> None:
    """With no time passing, an event leads where its row says, or is refused."""
    made, timed = life
    state = begin(made)
    for at_s, event in timed:
        if not isinstance(event, Gap):
            state, _ = step(state, Tick(), at_s)
            before = state.phase
            assert allowed(before, event)
            state, _ = step(state, event, at_s)
            rows = [
                states
                for kind, states in TRANSITIONS[before].items()
                if isinstance(event, kind)
            ]
            assert state.phase in frozenset().union(*rows)
        else:
            state, _ = step(state, event, at_s)


@settings(max_examples=100, deadline=None)
@given(lived())
def test_nothing_held_is_lost_or_invented(life: tuple[SessionProgram, Timed]) -> None:
    """Every hold in the state was recorded as it stands, within the time it had."""
    made, timed = life
    state, effects = run(made, timed)

    written = {e.draft.serial: e.draft for e in effects if isinstance(e, RecordHold)}
    for draft in state.kept_holds:
        assert draft == written[draft.serial]
        assert draft.kept_s is None or draft.kept_s <= draft.held_s
        if draft.ended_by is EndedBy.KEY and draft.key_s is not None:
            assert draft.held_s <= draft.key_s or draft.confirmed
    assert len(written) == len({d.serial for d in state.holds} | set(written))


@settings(max_examples=80, deadline=None)
@given(lived())
def test_no_cue_comes_twice(life: tuple[SessionProgram, Timed]) -> None:
    """A sheet holds each cue once, in order, and no two at one moment but breaths."""
    made, timed = life
    state = begin(made)
    for at_s, event in timed:
        state, _ = step(state, event, at_s)
        sheet = cue_sheet(state)
        assert sorted(set(sheet)) == list(sheet)


@settings(max_examples=80, deadline=None)
@given(programs(), st.integers(1, 60))
def test_what_is_to_come_does_not_change_as_time_passes(
    made: SessionProgram, looks: int
) -> None:
    """A screen that looks often hands over no other sound than one that doesn't."""
    led = Led(made)
    before = led.state
    for _ in range(looks):
        led.wait(1.7)
        same_set = before.index == led.state.index and led.state.phase not in (
            Phase.DONE,
            Phase.PAUSED,
            Phase.WARM_UP,
        )
        if same_set and before.phase is not Phase.WARM_UP:
            assert coming(before, led.now_s) == coming(led.state, led.now_s)
        before = led.state


def coming(state: SessionState, now_s: float) -> list[tuple[float, Cue]]:
    return [(round(c.at_s, 3), c.cue) for c in cue_sheet(state) if c.at_s > now_s]


@settings(max_examples=60, deadline=None)
@given(programs(), st.integers(1, 40_000), st.integers(0, 100))
def test_a_pause_in_a_rest_shifts_everything_by_exactly_the_pause(
    made: SessionProgram, paused_eighths: int, into_s: int
) -> None:
    """All that follows comes later by the pause, nothing else differs.

    Eighths of a second are exact in binary, so the comparison can be exact too.
    """
    paused_s = paused_eighths / 8
    led = Led(made)
    for _ in range(600):
        if led.state.phase in (Phase.LOG_AND_REST, Phase.DONE):
            break
        led.wait(1)
    if led.state.phase is Phase.DONE or led.state.remaining_s(led.now_s) < 1:
        return
    led.wait(min(into_s, int(led.state.remaining_s(led.now_s)) - 1))
    straight, shifted = led.state, led.state
    shifted, _ = step(shifted, PauseSession(), led.now_s)
    shifted, _ = step(shifted, Resume(), led.now_s + paused_s)
    for _ in range(40):
        led.now_s += 3.125
        straight, one = step(straight, Tick(), led.now_s)
        shifted, other = step(shifted, Tick(), led.now_s + paused_s)
        if straight.phase is Phase.PAUSED:
            return  # nobody was there; but whoever paused and resumed was
        assert [type(e) for e in one] == [type(e) for e in other]
        if straight.phase is not Phase.DONE:
            assert straight.ends_at_s is not None
            assert shifted.ends_at_s is not None
            assert straight.ends_at_s + paused_s == shifted.ends_at_s


@settings(max_examples=300, deadline=None)
@given(
    st.integers(1, 300),
    st.floats(1, 10).map(lambda x: round(x, 1)),
    st.floats(1, 10).map(lambda x: round(x, 1)),
)
def test_the_last_exhale_ends_with_the_hold(
    target_s: int, in_s: float, out_s: float
) -> None:
    """For every target and pattern: whole breaths, none over 1.1 of the pattern's."""
    pattern = Pattern(in_s, out_s)
    breaths = lay(target_s, pattern)

    if target_s < 4:
        assert breaths is None
        return
    assert breaths is not None
    assert math.isclose(target_s, breaths.count * breaths.period_s)
    assert breaths.period_s <= 1.1 * pattern.period_s + 1e-6
    assert math.isclose(breaths.in_s * out_s, breaths.out_s * in_s)
    if breaths.count > 1:
        assert target_s / (breaths.count - 1) > 1.1 * pattern.period_s
    start_s, _, length_s = breaths.boundaries_s(breaths.count)[-1]
    assert math.isclose(target_s, start_s + length_s)
