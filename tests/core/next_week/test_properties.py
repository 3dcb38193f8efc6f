"""What holds for every history whatever, found by trying to break it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time, timedelta, timezone

from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.core.capacity.calibration import score_of
from trainer.core.capacity.forecast import forecast
from trainer.core.exercises import BUILT_IN, Family
from trainer.core.model import (
    FELT_SITES,
    Author,
    EndedBy,
    Feet,
    Felt,
    History,
    Hold,
    Pain,
    PainKind,
    PlannedSet,
    Session,
    SessionKind,
    ShownSuggestion,
    Site,
    StoppedBy,
    TargetSet,
)
from trainer.core.next_week.days import Known, days_of
from trainer.core.next_week.decide import next_week, suggestion_as_dict, taken
from trainer.core.next_week.suggestion import Change, Rule, Suggestion
from trainer.core.plan.plan import Plan, PlanExercise
from trainer.core.weeks import IsoWeek

FIRST = date(2026, 1, 5)
TODAY = FIRST + timedelta(days=60)
IDS = sorted(BUILT_IN)
PROFILE_EXAMPLES = 100
"""What a profile asks for that doesn't say."""


def examples(usual: int) -> int:
    """Give how many to try: more with ``--hypothesis-profile=campaign``."""
    asked = settings.default.max_examples if settings.default else 0
    return asked if asked > PROFILE_EXAMPLES else usual


# Each strategy is made once, here: made anew for each draw, they would be looked over
# anew each time, which takes longer than all that is asked of the histories.
TARGETS = st.sampled_from([8.0, 10.0, 12.0, 20.0, 22.0, 25.0, 30.0, 45.0, 60.0, 80.0])
RPES = st.one_of(st.none(), st.integers(8, 20).map(lambda half: half / 2))
GOOD_RPES = st.sampled_from([None, 5.0, 6.0, 7.0, 7.5, 8.0, 8.0, 9.0])
EXERCISES = st.sampled_from(IDS)
COUNTS = st.integers(0, 4)
SETS = st.integers(1, 4)
YES_OR_NO = st.booleans()

GOALS = st.one_of(st.none(), TARGETS)
SHARES = st.sampled_from([0.1, 0.5, 0.79, 0.8, 0.95, 0.99, 1.0, 1.0, 1.0, 1.3])
KEPT_SHARES = st.sampled_from([None, 1.0, 1.0, 1.0, 0.7])
ENDS = st.sampled_from([*EndedBy, *[EndedBy.TARGET] * 6])
STOPS = st.sampled_from([None, None, None, *StoppedBy])
ONE_IN_TEN = st.integers(0, 9)
PAINS = st.sampled_from(
    [(), (), (), (), (), *[(Pain(kind),) for kind in PainKind]]
) | st.sampled_from([(Pain(PainKind.PAIN, site),) for site in Site])
FELT = st.one_of(
    st.just(()), st.sampled_from([(Felt(site, strength=7),) for site in FELT_SITES])
)
FEET = st.sampled_from([None, *Feet])

DAYS = st.integers(0, 62)
HOURS = st.integers(5, 21)
KINDS = st.sampled_from([SessionKind.PLAN, SessionKind.PLAN, *SessionKind])
OFFSETS_MIN = st.sampled_from([-720, -300, 0, 60, 840])
OTHER_DAYS = st.sampled_from([0, 0, 0, 1, -1])

RUN_LENGTHS = st.integers(1, 6)
GAPS = st.sampled_from([1, 2, 3, 3, 4, 7])
LAST_DAYS = st.sampled_from([60, 60, 60, 59, 57, 55, 50, 46, 40])
ROUGH_SHARES = st.tuples(*[st.sampled_from([1.0, 1.0, 0.79, 0.5])] * 3)
GOOD_SHARES = st.tuples(*[st.sampled_from([1.0] * 15 + [0.97])] * 3)


def _at(day: date, hour: int) -> datetime:
    return datetime.combine(day, time(hour), timezone.utc)


def hold(draw: st.DrawFn, day: date, exercise: str, number: int) -> Hold:
    """Draw any hold that the model allows."""
    goal = draw(GOALS)
    held = round((goal or 30.0) * draw(SHARES), 1)
    share = draw(KEPT_SHARES)
    return Hold(
        uid=f"{day}-{exercise}-{number}",
        exercise=exercise,
        set_number=number,
        held_s=held,
        kept_s=None if share is None else round(held * share, 1),
        target_s=goal,
        ended_by=draw(ENDS),
        started_at=_at(day, 18),
        stopped_by=draw(STOPS),
        confirmed=draw(YES_OR_NO),
        rpe=draw(RPES),
        pain=draw(PAINS) if draw(ONE_IN_TEN) == 0 else (),
        felt=draw(FELT),
        feet=draw(FEET),
    )


@st.composite
def sessions(draw: st.DrawFn) -> Session:
    """Any session: several a day, any kind, any zone, planned or not."""
    day = FIRST + timedelta(days=draw(DAYS))
    hour = draw(HOURS)
    exercise = draw(EXERCISES)
    other = draw(EXERCISES)
    made = [hold(draw, day, exercise, n + 1) for n in range(draw(COUNTS))]
    if draw(YES_OR_NO):
        made.append(hold(draw, day, other, 1))
    goal = draw(TARGETS)
    return Session(
        uid=f"{day}-{hour}-{exercise}",
        kind=draw(KINDS),
        started_at=_at(day, hour),
        utc_offset_min=draw(OFFSETS_MIN),
        local_date=day + timedelta(days=draw(OTHER_DAYS)),
        planned=tuple(
            PlannedSet(exercise, n + 1, goal, 60) for n in range(draw(COUNTS))
        ),
        holds=tuple(made),
    )


def run(draw: st.DrawFn, exercise: str) -> list[Session]:
    """Draw sessions that look like training: a run at one target, mostly made."""
    goal = draw(TARGETS)
    made = []
    count = draw(RUN_LENGTHS)
    gap = draw(GAPS)
    last = draw(LAST_DAYS)
    rough = draw(YES_OR_NO)
    for number in range(count):
        day = FIRST + timedelta(days=last - gap * (count - 1 - number))
        rpe = draw(RPES if rough else GOOD_RPES)
        made.append(
            Session(
                uid=f"r-{exercise}-{day}",
                kind=SessionKind.PLAN,
                started_at=_at(day, 17),
                utc_offset_min=60,
                local_date=day,
                planned=tuple(PlannedSet(exercise, n, goal, 60) for n in (1, 2, 3)),
                holds=tuple(
                    Hold(
                        uid=f"r-{exercise}-{day}-{n}",
                        exercise=exercise,
                        set_number=n,
                        held_s=round(goal * share, 1),
                        kept_s=round(goal * share, 1),
                        target_s=goal,
                        ended_by=EndedBy.TARGET if share >= 1 else EndedBy.KEY,
                        started_at=_at(day, 17),
                        confirmed=True,
                        rpe=rpe,
                    )
                    for n, share in enumerate(
                        draw(ROUGH_SHARES if rough else GOOD_SHARES), 1
                    )
                ),
            )
        )
    return made


SET_DAYS = st.integers(0, 60)
LEFT = st.sampled_from(["", "", "", *IDS])
AUTHORS = st.sampled_from(list(Author))
FOR_WEEKS = st.sampled_from([None, 0, 1])
RULES = st.sampled_from([str(rule) for rule in Rule])


@st.composite
def set_targets(draw: st.DrawFn) -> TargetSet:
    """Any target, with any author, also along and across the ladders."""
    day = FIRST + timedelta(days=draw(SET_DAYS))
    weeks = draw(FOR_WEEKS)
    return TargetSet(
        uid=str(day),
        exercise=draw(EXERCISES),
        target_s=draw(TARGETS),
        author=draw(AUTHORS),
        set_at=_at(day, 9),
        local_date=day,
        week=None if weeks is None else IsoWeek.of(day).plus(weeks),
        rule=draw(RULES),
        from_exercise=draw(LEFT),
    )


MIXED: st.SearchStrategy[list[Session]] = st.one_of(
    st.just([]), st.lists(sessions(), max_size=8)
)
RUNS = st.lists(EXERCISES, max_size=5, unique=True)
SET_TARGETS: st.SearchStrategy[list[TargetSet]] = st.one_of(
    st.just([]), st.lists(set_targets(), max_size=3)
)
SHOWN = st.lists(
    st.builds(
        ShownSuggestion,
        uid=st.just("w"),
        exercise=EXERCISES,
        week=st.integers(0, 9).map(lambda n: IsoWeek.of(FIRST).plus(n)),
        shown_at=SET_DAYS.map(lambda n: _at(FIRST + timedelta(days=n), 8)),
        target_s=GOALS,
        sets=COUNTS,
        rule=RULES,
        change=st.sampled_from([str(change) for change in Change]),
        chance=st.one_of(st.none(), st.floats(0, 1)),
    ),
    max_size=4,
)
REST_WEEKS = st.frozensets(
    st.integers(0, 10).map(lambda n: IsoWeek.of(FIRST).plus(n)), max_size=2
)


@st.composite
def histories(draw: st.DrawFn) -> History:
    """Any history; most have runs, many of them undisturbed."""
    made = [*draw(MIXED)]
    for exercise in draw(RUNS):
        made.extend(run(draw, exercise))
    shown = draw(SHOWN)
    return History(
        sessions=tuple(sorted(made, key=lambda s: s.started_at)),
        targets=tuple(sorted(draw(SET_TARGETS), key=lambda t: t.set_at)),
        rest_weeks=draw(REST_WEEKS),
        shown=tuple(shown),
    )


PLANNED = st.lists(EXERCISES, min_size=1, max_size=4, unique=True)
PLANNED_DAYS = st.sets(st.integers(1, 7), max_size=4)
STEPS_S = st.sampled_from([0.5, 1.0, 2.0, 5.0, 5.0, 15.0])
BOUNDS_S = st.sampled_from(
    [
        (start_s, cap_s, floor_s)
        for start_s in (5.0, 20.0, 30.0)
        for cap_s in (25.0, 60.0, 60.0, 90.0)
        for floor_s in (5.0, 10.0, 20.0)
        if floor_s <= start_s <= cap_s
    ]
)
TOP_HANGS = st.sampled_from(["hang-supported", "hang"])
TOP_PRESSES = st.sampled_from(["press-pushup", "press-wall"])


@st.composite
def plans(draw: st.DrawFn) -> Plan:
    """Any plan: both rungs in it, odd steps and caps."""
    entries = []
    for exercise in draw(PLANNED):
        start_s, cap_s, floor_s = draw(BOUNDS_S)
        entries.append(
            PlanExercise(
                exercise=exercise,
                sets=draw(SETS),
                start_s=start_s,
                step_s=draw(STEPS_S),
                cap_s=cap_s,
                floor_s=floor_s,
            )
        )
    return Plan(
        days=tuple(draw(PLANNED_DAYS)),
        exercises=tuple(entries),
        top={Family.HANG: draw(TOP_HANGS), Family.PRESS: draw(TOP_PRESSES)},
    )


def _line(plan: Plan, suggestion: Suggestion) -> PlanExercise:
    return plan.entry(suggestion.exercise) or PlanExercise(exercise=suggestion.exercise)


@given(histories(), plans(), st.integers(-10, 30), st.sampled_from([None, -1, 0, 1, 5]))
@settings(max_examples=examples(60), deadline=None)
def test_the_bounds_hold(
    history: History, plan: Plan, later: int, week: int | None
) -> None:
    """No history gives an exception, a leap, a target out of bounds, or odd answers.

    No rise above the step; none over the cap or under the floor except where a person's
    own target lies there; ``change`` agrees with the figures; asked twice, the same.
    """
    today = TODAY + timedelta(days=later)
    asked = None if week is None else IsoWeek.of(today).plus(week)
    given_twice = [next_week(history, plan, today=today, week=asked) for _ in range(2)]

    assert given_twice[0] == given_twice[1]
    for got in given_twice[0]:
        line = _line(plan, got)
        assert got.reasons
        assert got.would_change
        assert all(text.endswith(".") for text in (*got.reasons, *got.would_change))
        assert got.chance is None or 0 <= got.chance <= 1
        assert suggestion_as_dict(got)["exercise"] == got.exercise
        if got.target_s is None:
            assert (Change.REST, 0) == (got.change, got.sets)
            continue
        assert got.sets >= 1
        taken(got, uid="t", set_at=_at(today, 9), local_date=today)
        if got.from_exercise:
            continue
        if got.change is Change.START:
            # A first-day test may start elsewhere than the plan, within its bounds.
            within = line.floor_s <= got.target_s <= line.cap_s
            assert within or got.target_s == got.current_s
            continue
        assert got.target_s <= got.current_s + line.step_s + 0.05
        rise = got.target_s - got.current_s
        assert (rise > 0, rise < 0) == (
            got.change is Change.UP,
            got.change is Change.DOWN,
        )
        if rise > 0:
            assert got.target_s <= line.cap_s
        if rise < 0:
            assert got.target_s >= min(line.floor_s, got.current_s)


@given(histories(), plans())
@settings(max_examples=examples(60), deadline=None)
def test_no_rise_without_its_grounds(history: History, plan: Plan) -> None:
    """A rise has an RPE in the last two sessions, no pain, and 6 days since the last.

    Worked out here from the plain log, not by the module's own helpers.
    """
    for got in next_week(history, plan, today=TODAY):
        if got.change is not Change.UP:
            continue
        assert Rule.STEP is got.rule
        mine = [
            (session, hold)
            for session in history.sessions
            for hold in session.holds
            if hold.exercise == got.exercise
        ]
        counted = [
            (s.local_date, h)
            for s, h in mine
            if h.counts and s.kind in (SessionKind.PLAN, SessionKind.ADDED)
        ]
        last_two = sorted({day for day, _ in counted})[-2:]
        assert 2 == len(last_two)
        assert (last_two[1] - last_two[0]).days < 14
        recent = [hold for day, hold in counted if day in last_two]
        assert any(hold.rpe is not None for hold in recent)
        assert all(hold.rpe is None or hold.rpe <= 8 for hold in recent)
        assert not any(hold.pain for hold in recent)
        loads = BUILT_IN[got.exercise].loads
        assert not any(
            sign.site is None or sign.site in loads
            for session in history.sessions
            if (TODAY - session.local_date).days <= 7
            for hold in session.holds
            for sign in hold.pain
        )
        assert all(hold.kept_or_held_s >= got.current_s - 0.5 for hold in recent)


@given(histories(), plans())
@settings(max_examples=examples(60), deadline=None)
def test_with_the_head_up_nothing_is_head_down(history: History, plan: Plan) -> None:
    """After that answer no history and no plan gives a head-down exercise a target."""
    asked = next_week(history, plan, today=TODAY, answers={"head-up": "yes"})

    for got in asked:
        assert not BUILT_IN[got.exercise].upside_down or got.target_s is None
        assert got.reasons
        assert got.would_change


def _better(hold: Hold, kind: str) -> Hold:
    """Give a hold that went better: kept longer, easier, or without pain."""
    goal = hold.target_s or hold.held_s
    if kind == "kept":
        held = max(hold.held_s, goal)
        kept = None if hold.kept_s is None else held
        return replace(hold, held_s=held, kept_s=kept)
    if kind == "rpe" and hold.rpe is not None:
        return replace(hold, rpe=max(0.0, hold.rpe - 2))
    return replace(hold, pain=())


@given(
    histories(),
    plans(),
    st.integers(0, 20),
    st.integers(0, 3),
    st.sampled_from(["kept", "rpe", "pain"]),
)
@settings(max_examples=examples(60), deadline=None)
def test_a_better_history_never_gives_a_lower_target(
    history: History, plan: Plan, which: int, nth: int, kind: str
) -> None:
    """One hold that went better never lowers a target on the same exercise."""
    if not history.sessions:
        return
    index = which % len(history.sessions)
    session = history.sessions[index]
    better = replace(
        session,
        holds=tuple(
            _better(hold, kind) if n == nth % max(1, len(session.holds)) else hold
            for n, hold in enumerate(session.holds)
        ),
    )
    improved = replace(
        history,
        sessions=(*history.sessions[:index], better, *history.sessions[index + 1 :]),
    )
    before = {s.exercise: s for s in next_week(history, plan, today=TODAY)}
    after = {s.exercise: s for s in next_week(improved, plan, today=TODAY)}

    for exercise in before.keys() & after.keys():
        old, new = before[exercise], after[exercise]
        if old.from_exercise == new.from_exercise and old.target_s is not None:
            assert (new.target_s or 0) >= old.target_s - 1e-9


@given(histories(), plans())
@settings(max_examples=examples(10), deadline=None)
def test_forecast_and_score_never_fail(history: History, plan: Plan) -> None:
    """Whatever the history, a forecast's chances rise to at most 1; a score exists."""
    for entry in plan.exercises:
        told = forecast(history, plan, entry.exercise, today=TODAY)
        if told is not None:
            assert list(told.by_week) == sorted(told.by_week)
            assert 0 <= told.by_week[0] <= told.by_week[-1] <= 1
            assert told.sentence().endswith(".")
    found = score_of(history)

    assert found.count == sum(line.count for line in found.table)


@given(histories(), plans())
@settings(max_examples=examples(20), deadline=None)
def test_taking_it_and_asking_again_gives_the_same_target(
    history: History, plan: Plan
) -> None:
    """Taken for its week and asked again without training, no target moves further."""
    first = next_week(history, plan, today=TODAY)
    made = [
        taken(s, uid="t", set_at=_at(TODAY, 23), local_date=TODAY)
        for s in first
        if s.target_s is not None and not s.from_exercise
    ]
    again = next_week(
        replace(history, targets=(*history.targets, *made)), plan, today=TODAY
    )
    before = {s.exercise: s.target_s for s in first if not s.from_exercise}

    for got in again:
        if before.get(got.exercise) is not None and not got.from_exercise:
            assert before[got.exercise] == got.target_s


CHANGES = st.integers(0, 3)
SESSIONS = sessions()


@settings(max_examples=examples(25))
@given(histories(), plans(), st.data())
def test_days_known_from_another_log_change_nothing(
    history: History, plan: Plan, data: st.DataObject
) -> None:
    """A log's days are the same whether or not those of a log like it are at hand."""
    exercise, sets = data.draw(EXERCISES), data.draw(SETS)
    others = list(history.sessions)
    for _ in range(data.draw(CHANGES)):
        at = data.draw(st.integers(0, len(others)))
        others[at : at + data.draw(st.integers(0, 1))] = [data.draw(SESSIONS)]
    other = replace(history, sessions=tuple(others))
    known = Known(other.sessions, days_of(other, plan, exercise, sets=sets))
    afresh = days_of(history, plan, exercise, sets=sets)
    assert afresh == days_of(history, plan, exercise, sets=sets, known=known)
