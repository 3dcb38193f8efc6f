"""Every sentence of next week is true: what it claims is read back from the log.

An *otherwise* is acted out on a copy of the history that is made here, from the words
alone, and the rules are asked again. A reason's figures are looked up in the plain log.
A sentence that no reader here knows fails the test: none goes unread. To read many more
histories: ``python -m tests.core.next_week.test_sentences COUNT [FIRST_SEED]``.
"""

from __future__ import annotations

import re
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from random import Random

from hypothesis import example, given, settings
from hypothesis import strategies as st

from tests.core.next_week.cases import WELL
from tests.core.next_week.stories import OWN, TODAY, Story, at
from tests.core.next_week.test_properties import examples
from trainer.core import words
from trainer.core.exercises import BUILT_IN, rung_above, said_name
from trainer.core.model import (
    Author,
    EndedBy,
    Feet,
    History,
    Hold,
    Pain,
    PainKind,
    PlannedSet,
    Session,
    SessionKind,
    Site,
    TargetSet,
)
from trainer.core.next_week.decide import next_week
from trainer.core.next_week.suggestion import Change, Rule, Suggestion
from trainer.core.plan.plan import Plan
from trainer.core.safety import pain_words
from trainer.core.today import today_view
from trainer.core.weeks import IsoWeek

NAMES = {
    **{said_name(exercise): exercise for exercise in BUILT_IN},
    **{exercise.said_name: exercise.id for exercise in OWN},
}
NAME = "|".join(re.escape(name) for name in NAMES)
DAY = r"\d+ [A-Z][a-z]+ \d{4}"
S = r"[\d.]+ s"
SITES = {site.words: site for site in Site}
PERHAPS = " perhaps "
LEFT_OUT = re.compile(
    r"Logged by hand and no try at the target, so left out here: (?P<holds>.*)\."
)
LISTED = r", (?=[0-9])| and (?=[0-9])"
SIGN = re.compile("There was (?:pain|numbness|dizziness)")


def parse_day(said: str) -> date:
    """Read a date as the sentences say it."""
    return datetime.strptime(said, "%d %B %Y").date()  # noqa: DTZ007 - no time in it


@dataclass(frozen=True)
class Asked:
    """One suggestion, and the question that it answers."""

    history: History
    plan: Plan
    week: IsoWeek
    today: date
    got: Suggestion
    rng: Random

    @property
    def exercise(self) -> str:
        """The exercise that was asked for."""
        return self.got.from_exercise or self.got.exercise

    def again(
        self,
        history: History | None = None,
        *,
        plan: Plan | None = None,
        week: IsoWeek | None = None,
        today: date | None = None,
        exercise: str | None = None,
    ) -> list[Suggestion]:
        """Ask again with something other than it was; of the one exercise."""
        found = next_week(
            history or self.history,
            plan or self.plan,
            today=today or self.today,
            week=week or self.week,
            answers=WELL,
        )
        wanted = exercise or self.exercise
        return [
            each for each in found if wanted == (each.from_exercise or each.exercise)
        ]

    def days_holds(self, on: date) -> list[Hold]:
        """Give the holds of a day that the rules may look at."""
        return [
            hold
            for session in self.history.sessions
            if session.local_date == on
            for hold in session.holds
            if hold.exercise == self.exercise
            and hold.counts
            and (
                session.kind in (SessionKind.PLAN, SessionKind.ADDED)
                or hold.ended_by is EndedBy.ADDED
            )
        ]

    def tries(self, on: date) -> list[Hold]:
        """Give the holds of a day less those that the answer says were left out.

        They are named by their seconds; of holds alike, those at another target go.
        """
        reasons = (LEFT_OUT.fullmatch(text) for text in self.got.reasons)
        named = [said["holds"] for said in reasons if said]
        out = [
            one.partition(" on ")[0]
            for one in re.split(LISTED, "".join(named))
            if one.endswith(f" on {words.day(on)}")
        ]
        found = self.days_holds(on)
        for hold in sorted(found, key=lambda one: one.target_s == self.got.current_s):
            kept = words.seconds(hold.kept_or_held_s)
            if hold.ended_by is EndedBy.ADDED and kept in out:
                out.remove(kept)
                found.remove(hold)
        return found

    def with_holds(self, change: Callable[[Hold], Hold], on: date | None) -> History:
        """Give the log with the exercise's holds of a day changed; None: all holds."""
        uids = None if on is None else {hold.uid for hold in self.days_holds(on)}
        return replace(
            self.history,
            sessions=tuple(
                replace(
                    session,
                    holds=tuple(
                        change(hold) if uids is None or hold.uid in uids else hold
                        for hold in session.holds
                    ),
                )
                for session in self.history.sessions
            ),
        )

    def trained_dates(self) -> list[date]:
        """Give the days with a hold that the rules may look at."""
        days = {session.local_date for session in self.history.sessions}
        return sorted(day for day in days if self.days_holds(day))

    def pair_dates(self) -> list[date]:
        """Give the days of the two sessions that the reasons speak of."""
        said = re.search(
            rf"The last two sessions, ({DAY}) and ({DAY}), were clean",
            " ".join(self.got.reasons),
        )
        assert said is not None
        return [parse_day(said[1]), parse_day(said[2])]

    def session(self, on: date, goal_s: float, **said: object) -> Session:
        """Give a session of the exercise in which every set is kept."""
        return made_session(self.exercise, on, goal_s, max(1, self.got.sets), **said)


def made_session(
    exercise: str, on: date, goal_s: float, sets: int, **said: object
) -> Session:
    """Give a session in which every set is kept."""
    numbers = range(1, sets + 1)
    return Session(
        uid=f"new-{exercise}-{on}",
        kind=SessionKind.PLAN,
        started_at=at(on, 12),
        utc_offset_min=0,
        local_date=on,
        planned=tuple(PlannedSet(exercise, n, goal_s, 60) for n in numbers),
        holds=tuple(
            Hold(
                uid=f"new-{exercise}-{on}-{n}",
                exercise=exercise,
                set_number=n,
                held_s=goal_s,
                kept_s=goal_s,
                target_s=goal_s,
                ended_by=EndedBy.TARGET,
                started_at=at(on, 12),
                confirmed=True,
                **said,  # type: ignore[arg-type]
            )
            for n in numbers
        ),
    )


def and_then(history: History, *sessions: Session) -> History:
    """Give the log with these sessions after all the others."""
    return replace(history, sessions=(*history.sessions, *sessions))


Reader = Callable[[Asked, "re.Match[str]"], None]
OTHERWISE: list[tuple[re.Pattern[str], Reader]] = []
REASONS: list[tuple[re.Pattern[str], Reader]] = []


def otherwise(pattern: str) -> Callable[[Reader], Reader]:
    """Let a function act out the sentences of that form."""

    def keep(reader: Reader) -> Reader:
        OTHERWISE.append((re.compile(pattern), reader))
        return reader

    return keep


def reason(pattern: str) -> Callable[[Reader], Reader]:
    """Let a function look up what sentences of that form claim."""

    def keep(reader: Reader) -> Reader:
        REASONS.append((re.compile(pattern), reader))
        return reader

    return keep


RESULT = (
    rf", it would (?:still )?be (?P<result>a rest|(?:{NAME})(?: at {S}|, on "
    rf"offer)|{S}(?: in \d+ sets?)?)\."
)


def comes_true(asked: Asked, said: str, found: list[Suggestion]) -> None:
    """Assert that the answer is the one that the sentence names."""
    (after,) = found
    if said == "a rest":
        assert after.target_s is None
        return
    offered = re.fullmatch(rf"({NAME}), on offer", said)
    if offered:
        assert (Change.MOVE_ON, NAMES[offered[1]]) == (after.change, after.exercise)
        return
    elsewhere = re.fullmatch(rf"({NAME}) at ([\d.]+) s", said)
    assert after.target_s is not None
    if elsewhere:
        assert NAMES[elsewhere[1]] == after.exercise
        assert words.seconds(after.target_s) == f"{elsewhere[2]} s"
        return
    at_s, _, sets = said.partition(" in ")
    assert not after.from_exercise
    assert at_s == words.seconds(after.target_s)
    if sets:
        assert int(sets.split()[0]) == after.sets


@otherwise(rf"Without the rest week{RESULT}")
def _(asked: Asked, said: re.Match[str]) -> None:
    weeks = asked.history.rest_weeks - {asked.week}
    comes_true(
        asked, said["result"], asked.again(replace(asked.history, rest_weeks=weeks))
    )


@otherwise(rf"For the week of (?P<monday>\d+ \w+), with nothing more logged{RESULT}")
def _(asked: Asked, said: re.Match[str]) -> None:
    week = next(
        asked.week.plus(n)
        for n in range(1, 9)
        if words.week(asked.week.plus(n)) == f"the week of {said['monday']}"
    )
    comes_true(asked, said["result"], asked.again(week=week))


@otherwise(
    rf"With an RPE of 7 noted for the last set(?P<counts> that counts)? on"
    rf" (?P<day>{DAY}){RESULT}"
)
def _(asked: Asked, said: re.Match[str]) -> None:
    on = parse_day(said["day"])
    last = (asked.tries if said["counts"] else asked.days_holds)(on)[-1].uid

    def rated(hold: Hold) -> Hold:
        return replace(hold, rpe=7.0) if hold.uid == last else hold

    comes_true(asked, said["result"], asked.again(asked.with_holds(rated, on)))


@otherwise(rf"With the position kept to the end of each set on (?P<day>{DAY}){RESULT}")
def _(asked: Asked, said: re.Match[str]) -> None:
    kept = asked.with_holds(
        lambda hold: replace(hold, kept_s=hold.held_s), parse_day(said["day"])
    )
    comes_true(asked, said["result"], asked.again(kept))


@otherwise(rf"With less than 6 felt in the (?P<sites>.+) on (?P<day>{DAY}){RESULT}")
def _(asked: Asked, said: re.Match[str]) -> None:
    sites = {SITES[one] for one in re.split(", | and ", said["sites"])}

    def eased(hold: Hold) -> Hold:
        felt = [
            replace(each, strength=5.5) if each.site in sites else each
            for each in hold.felt
        ]
        return replace(hold, felt=tuple(felt))

    comes_true(
        asked,
        said["result"],
        asked.again(asked.with_holds(eased, parse_day(said["day"]))),
    )


@otherwise(
    rf"After (?P<count>one more session|two more sessions) at (?P<at>[\d.]+) s by"
    rf" (?P<by>{DAY}), with every set kept, no pain and an RPE of 7 or less noted"
    rf"(?P<toes>, and no more than the toes taking weight)?"
    rf"(?:, for a week that begins training on (?P<free>{DAY}) or later)?{RESULT}"
)
def _(asked: Asked, said: re.Match[str]) -> None:
    by = parse_day(said["by"])
    days = [
        asked.today + timedelta(days=n) for n in range(1, (by - asked.today).days + 1)
    ]
    count = 1 if said["count"].startswith("one") else 2
    dates = sorted(asked.rng.sample(days, count))
    rpe = asked.rng.choice([7.0, 6.5, 6.0, 5.0])
    feet = Feet.TOES if said["toes"] else None
    goal_s = float(said["at"])
    later = [asked.session(on, goal_s, rpe=rpe, feet=feet) for on in dates]
    week = IsoWeek.of(dates[-1]).plus(1)
    if said["free"] is not None:
        first = week.monday + timedelta(days=min(asked.plan.days, default=1) - 1)
        week = week.plus(1) if first < parse_day(said["free"]) else week
    found = asked.again(
        and_then(asked.history, *later),
        week=week,
        today=week.monday - timedelta(days=1),
    )
    comes_true(asked, said["result"], found)


@otherwise(
    rf"After a third session running by (?P<by>{DAY}), with every set kept at an RPE"
    rf" of 9{RESULT}"
)
def _(asked: Asked, said: re.Match[str]) -> None:
    days = (parse_day(said["by"]) - asked.today).days
    on = asked.today + timedelta(days=asked.rng.randint(1, days))
    third = asked.session(on, asked.got.current_s, rpe=9.0)
    week = IsoWeek.of(on)
    found = asked.again(
        and_then(asked.history, third), week=week.plus(1), today=week.sunday
    )
    comes_true(asked, said["result"], found)


@otherwise(
    rf"With no RPE over (?P<rpe>[\d.]+) (?:on (?P<day>{DAY})|in either of the two)"
    rf"{RESULT}"
)
def _(asked: Asked, said: re.Match[str]) -> None:
    most = float(said["rpe"])

    def rated(hold: Hold) -> Hold:
        return hold if hold.rpe is None else replace(hold, rpe=min(hold.rpe, most))

    days = [parse_day(said["day"])] if said["day"] else asked.pair_dates()
    changed = asked
    for on in days:
        changed = replace(changed, history=changed.with_holds(rated, on))
    comes_true(asked, said["result"], changed.again())


@otherwise(
    rf"With each set under (?P<at>[\d.]+) s on (?P<day>{DAY}) kept for (?P=at) "
    rf"s{RESULT}"
)
def _(asked: Asked, said: re.Match[str]) -> None:
    least_s = float(said["at"])

    def kept(hold: Hold) -> Hold:
        kept_s = max(hold.kept_or_held_s, least_s)
        return replace(hold, held_s=max(hold.held_s, kept_s), kept_s=kept_s)

    history = asked.with_holds(kept, parse_day(said["day"]))
    comes_true(asked, said["result"], asked.again(history))


@otherwise(rf"Without what was set on (?P<day>{DAY}) and after{RESULT}")
def _(asked: Asked, said: re.Match[str]) -> None:
    on = parse_day(said["day"])
    before = tuple(
        target
        for target in asked.history.targets
        if target.exercise != asked.exercise or target.local_date < on
    )
    comes_true(
        asked, said["result"], asked.again(replace(asked.history, targets=before))
    )


@otherwise(rf"With a cap of (?P<cap>[\d.]+) s in the plan{RESULT}")
def _(asked: Asked, said: re.Match[str]) -> None:
    line = asked.plan.entry(asked.exercise)
    assert line is not None
    plan = asked.plan.with_entry(replace(line, cap_s=float(said["cap"])))
    comes_true(asked, said["result"], asked.again(plan=plan))


@otherwise(rf"Without any pain in the log{RESULT}")
def _(asked: Asked, said: re.Match[str]) -> None:
    well = asked.with_holds(lambda hold: replace(hold, pain=()), None)
    comes_true(asked, said["result"], asked.again(well))


@otherwise(rf"Without the pain on (?P<day>{DAY}){RESULT}")
def _(asked: Asked, said: re.Match[str]) -> None:
    on = parse_day(said["day"])
    sessions = tuple(
        replace(
            session,
            holds=tuple(
                replace(hold, pain=())
                if hold.exercise == asked.exercise and session.local_date == on
                else hold
                for hold in session.holds
            ),
        )
        for session in asked.history.sessions
    )
    comes_true(
        asked, said["result"], asked.again(replace(asked.history, sessions=sessions))
    )


def _worse(asked: Asked, how: str, least_s: float, over_rpe: float) -> History:
    """Give the log in which one of the last two sessions went a little worse."""
    on = asked.rng.choice(asked.pair_dates())
    made_s = asked.got.current_s - 0.5 - 1e-9
    made = [hold for hold in asked.days_holds(on) if hold.kept_or_held_s >= made_s]
    one = asked.rng.choice(made).uid

    def worse(hold: Hold) -> Hold:
        if hold.uid != one:
            return hold
        if how == "short":
            kept_s = round(least_s - 0.1, 1)
            return replace(hold, kept_s=min(hold.held_s, kept_s))
        if how == "rpe":
            return replace(hold, rpe=asked.rng.choice([over_rpe + 0.5, 10.0]))
        return replace(hold, pain=(Pain(PainKind.PAIN, Site.PECS),))

    return asked.with_holds(worse, on)


@otherwise(
    r"A set under (?P<least>[\d.]+) s, an RPE over 8 or pain in either of the two would"
    r" have kept (?P<at>[\d.]+) s\."
)
def _(asked: Asked, said: re.Match[str]) -> None:
    for how in ("short", "rpe", "pain"):
        (after,) = asked.again(_worse(asked, how, float(said["least"]), 8.0))
        assert after.target_s is not None
        assert f"{said['at']} s" == words.seconds(after.target_s)


@otherwise(
    rf"An RPE over 7, or a set under (?P<least>[\d.]+) s, in either of the two would"
    rf" have kept (?P<name>{NAME}) alone\."
)
def _(asked: Asked, said: re.Match[str]) -> None:
    for how in ("short", "rpe"):
        (after,) = asked.again(_worse(asked, how, float(said["least"]), 7.0))
        assert (NAMES[said["name"]], "") == (after.exercise, after.from_exercise)
        assert asked.got.current_s == after.target_s


@otherwise(rf"Declined, (?P<name>{NAME}) stays at (?P<at>[\d.]+) s\.")
def _(asked: Asked, said: re.Match[str]) -> None:
    day = max(asked.today, asked.week.monday)
    view = today_view(asked.plan, asked.history, today=day, answers=WELL)
    assert [f"{said['at']} s"] == [
        words.seconds(due.target_s or 0)
        for due in view.due
        if due.exercise.id == NAMES[said["name"]]
    ]


@otherwise(rf"One session of (?P<name>{NAME}) would end the count of days away\.")
def _(asked: Asked, said: re.Match[str]) -> None:
    on = max(asked.today + timedelta(days=1), asked.week.monday)
    assert asked.got.target_s is not None
    back = asked.session(on, asked.got.target_s, rpe=7.0)
    found = asked.again(and_then(asked.history, back), week=IsoWeek.of(on), today=on)
    assert NAMES[said["name"]] == asked.exercise
    assert all(after.rule is not Rule.AWAY for after in found)


@otherwise(rf"One session of (?P<name>{NAME}) would bring back (?P<back>{NAME})\.")
def _(asked: Asked, said: re.Match[str]) -> None:
    on = max(asked.today + timedelta(days=1), asked.week.monday)
    eased = made_session(NAMES[said["name"]], on, 20.0, 2, rpe=7.0)
    week = IsoWeek.of(on)
    weeks = asked.history.rest_weeks - {week}
    history = replace(and_then(asked.history, eased), rest_weeks=weeks)
    (after,) = asked.again(history, week=week, today=on)
    assert (NAMES[said["back"]], "") == (after.exercise, after.from_exercise)
    assert after.target_s is not None


def _own(asked: Asked, target_s: float) -> History:
    own = TargetSet(
        uid="own",
        exercise=asked.exercise,
        target_s=target_s,
        author=asked.rng.choice([Author.PERSON, Author.COACH]),
        set_at=at(asked.today, 23),
        local_date=asked.today,
        week=asked.week,
    )
    return replace(asked.history, targets=(*asked.history.targets, own))


@otherwise(r"Another target that you or a coach set would be the start\.")
def _(asked: Asked, said: re.Match[str]) -> None:
    (after,) = asked.again(_own(asked, asked.got.current_s + 5))
    assert (Rule.START, asked.got.current_s + 5) == (after.rule, after.target_s)


@otherwise(
    rf"Another target that you or a coach set on (?P<name>{NAME}) would keep it\."
)
def _(asked: Asked, said: re.Match[str]) -> None:
    goal_s = asked.got.current_s + asked.rng.choice([5, 10])
    assert NAMES[said["name"]] in {
        one.exercise for one in asked.again(_own(asked, goal_s))
    }


@otherwise(
    rf"One session of (?P<name>{NAME}) without pain would end that"
    rf"(?:, from (?P<day>{DAY}) on)?\."
)
def _(asked: Asked, said: re.Match[str]) -> None:
    on = asked.today + timedelta(days=1)
    free = max(on, parse_day(said["day"])) if said["day"] else on
    well = asked.session(on, asked.got.current_s, rpe=7.0)
    found = asked.again(
        and_then(asked.history, well), today=free, week=IsoWeek.of(free)
    )
    assert all(after.rule is not Rule.PAIN for after in found)
    assert not any(SIGN.match(text) for after in found for text in after.reasons)


@otherwise(rf"If it doesn't come back, that pain counts until (?P<day>{DAY})\.")
def _(asked: Asked, said: re.Match[str]) -> None:
    free = parse_day(said["day"]) + timedelta(days=1)
    for on, counts in ((free, False), (free - timedelta(days=1), True)):
        if on < asked.today or IsoWeek.of(on) in asked.history.rest_weeks:
            continue
        # None where another exercise stands in its place by then.
        for after in asked.again(today=on, week=IsoWeek.of(on)):
            assert counts == any(SIGN.match(text) for text in after.reasons)


@otherwise(r"Two sessions with the next rung in the first set would end this\.")
def _(asked: Asked, said: re.Match[str]) -> None:
    above = rung_above(asked.exercise)
    assert above is not None
    days = [asked.today + timedelta(days=n) for n in (1, 3)]
    new = [made_session(above, on, 20.0, 1, rpe=7.0) for on in days]
    week = IsoWeek.of(days[-1]).plus(1)
    found = next_week(
        and_then(asked.history, *new),
        asked.plan,
        today=days[-1],
        week=week,
        answers=WELL,
    )
    assert not any(one.first_set_only and one.exercise == above for one in found)


# What the reasons claim.


def last_counted(asked: Asked, count: int) -> list[date]:
    """Give the last days of training that the sentences may speak of."""
    return asked.trained_dates()[-count:]


@reason(
    rf"The last two sessions, (?P<one>{DAY}) and (?P<two>{DAY}), were clean: "
    rf"(?P<a>\d+) of (?P<b>\d+) and (?P<c>\d+) of (?P<d>\d+) planned sets kept at "
    rf"(?P<at>[\d.]+) s\. (?:Top )?RPE was (?P<rpe>[\d.]+)(?: at most, "
    rf"(?P<over>at|over) the cap of (?P<cap>[\d.]+) s)?\."
)
def _(asked: Asked, said: re.Match[str]) -> None:
    goal_s = float(said["at"])
    rated = []
    for day, made in (("one", "a"), ("two", "c")):
        holds = asked.days_holds(parse_day(said[day]))
        tries = asked.tries(parse_day(said[day]))
        rated += [hold.rpe for hold in tries if hold.rpe is not None]
        assert int(said[made]) == sum(
            h.kept_or_held_s >= goal_s - 0.5 - 1e-9 for h in holds
        )
        assert not any(hold.pain for hold in holds)
    assert float(said["rpe"]) == max(rated, default=0)
    if said["cap"]:
        assert (said["over"] == "over") == (goal_s > float(said["cap"]))


@reason(
    rf"In both of the last two sessions, (?P<one>{DAY}) and (?P<two>{DAY}), some set "
    rf"was kept for less than 80 % of (?P<at>[\d.]+) s \(under (?P<under>[\d.]+) s\):"
    rf" (?P<kept>.*)\."
)
def _(asked: Asked, said: re.Match[str]) -> None:
    listed = [part.split(", ") for part in said["kept"].split("; then ")]
    for day, kept in zip(("one", "two"), listed, strict=True):
        holds = asked.days_holds(parse_day(said[day]))
        assert set(kept) <= {words.seconds(hold.kept_or_held_s) for hold in holds}
        assert any(float(one[:-2]) < float(said["under"]) for one in kept)
    assert abs(float(said["under"]) - 0.8 * float(said["at"])) < 0.1


@reason(
    r"Top RPE was (?P<rpes>[\d., and]+) in the last (?:two|three) sessions, "
    r"(?P<days>[^:]*): (?:at 9 or more a second or two is left|9 or more each "
    r"time)\."
)
def _(asked: Asked, said: re.Match[str]) -> None:
    rpes = [float(one) for one in re.split(", | and ", said["rpes"])]
    days = [parse_day(one) for one in re.split(", | and ", said["days"])]
    found = [max(h.rpe or 0 for h in asked.tries(day)) for day in days]
    assert rpes == found
    assert min(rpes) >= 9


@reason(rf"The session on (?P<day>{DAY}) was not clean: (?P<faults>.*)\.")
@reason(
    rf"So far one session runs at (?P<at>[\d.]+) s, on (?P<day>{DAY}), not clean "
    rf"\((?P<faults>.*)\): a step needs two clean ones running\."
)
def _(asked: Asked, said: re.Match[str]) -> None:
    on = parse_day(said["day"])
    holds = asked.days_holds(on)
    for fault in re.split(r", (?!over)| and ", said["faults"]):
        rpe = re.fullmatch(r"an RPE of ([\d.]+), over 8", fault)
        done = re.fullmatch(r"(\d+) of (\d+) planned sets done", fault)
        short = re.fullmatch(r"(\d+) of (\d+) sets short of the target", fault)
        if rpe:
            assert float(rpe[1]) == max(h.rpe or 0 for h in asked.tries(on)) > 8
        elif done:
            assert int(done[1]) <= len(holds)
            assert int(done[1]) < int(done[2])
        elif short:
            assert int(short[2]) <= len(holds)
            goal_s = asked.got.current_s - 0.5 - 1e-9
            assert int(short[1]) <= sum(h.kept_or_held_s < goal_s for h in holds)
        elif fault == "pain":
            assert any(
                hold.pain
                for session in asked.history.sessions
                if session.local_date == on
                for hold in session.holds
                if hold.exercise == asked.exercise
            )
        else:
            assert fault == "no set confirmed by anybody"
            assert not any(hold.confirmed for hold in holds)


@reason(
    rf"So far one session runs at (?P<at>[\d.]+) s, on (?P<day>{DAY}); a step needs "
    rf"two running\."
)
def _(asked: Asked, said: re.Match[str]) -> None:
    assert parse_day(said["day"]) in asked.trained_dates()
    assert f"{said['at']} s" == words.seconds(asked.got.current_s)


@reason(
    rf"The last session, on (?P<day>{DAY}), was at (?P<was>[\d.]+) s; a step needs "
    rf"two running at (?P<at>[\d.]+) s\."
)
def _(asked: Asked, said: re.Match[str]) -> None:
    assert parse_day(said["day"]) in asked.trained_dates()
    assert said["was"] != said["at"]


@reason(r"No session counts for it yet(?:; a step needs two running at [\d.]+ s)?\.")
def _(asked: Asked, said: re.Match[str]) -> None:
    by_hand = {
        hold.uid
        for session in asked.history.sessions
        for hold in session.holds
        if session.kind is SessionKind.ADDED or hold.ended_by is EndedBy.ADDED
    }
    assert all(
        hold.uid in by_hand
        for day in asked.trained_dates()
        for hold in asked.days_holds(day)
    )


@reason(
    r"The last two sessions at (?P<at>[\d.]+) s are (?P<days>\d+) days apart; a step"
    r" needs two less than 14 days apart\. So seldom a target is held, not built\."
)
def _(asked: Asked, said: re.Match[str]) -> None:
    apart = int(said["days"])
    dates = asked.trained_dates()
    assert apart >= 14
    assert any((b - a).days == apart for a in dates for b in dates)


@reason(
    r"No RPE was noted in the last two sessions; without one the target doesn't rise\."
)
def _(asked: Asked, said: re.Match[str]) -> None:
    holds = asked.days_holds(asked.trained_dates()[-1])
    assert any(hold.rpe is None for hold in holds)


@reason(
    r"A stretch of 6 or more was felt in the (?P<sites>.+) in both of the last two "
    r"sessions: something else does the shoulder's work\."
)
def _(asked: Asked, said: re.Match[str]) -> None:
    for one in re.split(", | and ", said["sites"]):
        felt_on = [
            day
            for day in asked.trained_dates()[-3:]
            if any(
                felt.site is SITES[one] and (felt.strength or 0) >= 6
                for hold in asked.days_holds(day)
                for felt in hold.felt
            )
        ]
        assert len(felt_on) >= 2


@reason(
    r"In both of the last two sessions a set was held on after the position was "
    r"lost\."
)
def _(asked: Asked, said: re.Match[str]) -> None:
    lost_on = [
        day
        for day in asked.trained_dates()[-3:]
        if any(h.held_s - h.kept_or_held_s > 0.5 for h in asked.days_holds(day))
    ]
    assert len(lost_on) >= 2


@reason(
    rf"The last session was (?P<days>\d+) days ago, on (?P<day>{DAY}), at "
    rf"(?P<at>[\d.]+) s\."
)
@reason(
    rf"On (?P<first>{DAY}), the week's first day of training, the last session lies "
    rf"(?P<days>\d+) days back: (?P<day>{DAY}), at (?P<at>[\d.]+) s\."
)
def _(asked: Asked, said: re.Match[str]) -> None:
    first = said.groupdict().get("first")
    to = parse_day(first) if first else asked.today
    on = parse_day(said["day"])
    assert int(said["days"]) == (to - on).days >= 14
    assert on in asked.trained_dates()
    if first:
        assert to in asked.week
        assert not asked.plan.days or to.isoweekday() in asked.plan.days


@reason(
    r"That was (?P<days>\d+) days after that session, in knowledge of the time away:"
    r" so it is kept\."
)
def _(asked: Asked, said: re.Match[str]) -> None:
    own = [
        target
        for target in asked.history.targets
        if target.exercise == asked.exercise
        and target.author in (Author.PERSON, Author.COACH)
    ]
    apart = int(said["days"])
    assert apart >= 14
    assert any(
        (target.local_date - day).days == apart
        for target in own
        for day in asked.trained_dates()
    )
    assert asked.got.target_s == asked.got.current_s


@reason(
    r"Gains fade within two to six weeks \(Konrad et al\. 2025\); what is taken off "
    r"is our choice\."
)
def _(asked: Asked, said: re.Match[str]) -> None:
    counted = " ".join(asked.got.reasons)
    froms = re.findall(r"off ([\d.]+) s for each|lower of ([\d.]+) s", counted)
    assert froms
    assert asked.got.target_s is not None
    assert asked.got.target_s < max(float(a or b) for a, b in froms)


@reason(
    r"The target in force is (?P<at>[\d.]+) s; it is counted from (?P<base>[\d.]+) s\."
)
def _(asked: Asked, said: re.Match[str]) -> None:
    assert f"{said['at']} s" == words.seconds(asked.got.current_s)


@reason(
    r"That is (?P<weeks>\d+) full weeks? past two weeks: 5 s off [\d.]+ s for each, "
    r"not under the floor of [\d.]+ s\."
)
def _(asked: Asked, said: re.Match[str]) -> None:
    days = re.search(r"(\d+) days (?:ago|back)", " ".join(asked.got.reasons))
    assert days is not None
    assert int(said["weeks"]) == (int(days[1]) - 14) // 7


@reason(r"The first session back has (?P<sets>\d+) sets? of (?P<of>\d+)\.")
def _(asked: Asked, said: re.Match[str]) -> None:
    assert int(said["sets"]) == int(said["of"]) - 1
    if asked.got.target_s is not None:
        assert int(said["sets"]) == asked.got.sets


@reason(
    rf"The target of (?P<at>[\d.]+) s is one that (?P<who>you|your coach) set on "
    rf"(?P<day>{DAY})\."
)
def _(asked: Asked, said: re.Match[str]) -> None:
    author = Author.PERSON if said["who"] == "you" else Author.COACH
    assert any(
        (target.author, target.local_date) == (author, parse_day(said["day"]))
        and words.seconds(target.target_s) == f"{said['at']} s"
        for target in asked.history.targets
        if target.exercise == asked.exercise
    )


@reason(
    rf"There was (?P<signs>.+) in the last session of (?P<name>{NAME}), on "
    rf"(?P<day>{DAY})\."
)
@reason(
    rf"There was (?P<signs>.+) on (?P<day>{DAY}), in (?P<name>{NAME})"
    rf"(?:, not more than 7 days ago|; where isn't noted, so it may be loaded here too"
    rf"|; (?P<loads>{NAME}) loads that too)\."
)
def _(asked: Asked, said: re.Match[str]) -> None:
    on = parse_day(said["day"])
    signs = [
        sign
        for session in asked.history.sessions
        if session.local_date == on
        for hold in session.holds
        if hold.exercise == NAMES[said["name"]]
        for sign in hold.pain
    ]
    assert signs
    left = said["signs"]
    for one in sorted({pain_words(sign) for sign in signs}, key=len, reverse=True):
        left = left.replace(one, "")
    assert re.fullmatch(r"(?:,? ?(?:and)? ?)*", left)
    loads = said.groupdict().get("loads")
    assert loads != said["name"]
    if "last session of" not in said[0]:
        assert (asked.today - on).days <= 7


@reason(
    rf"There was pain in both of the last two sessions of (?P<name>{NAME}), "
    rf"(?P<one>{DAY}) and (?P<two>{DAY}): .*\."
)
def _(asked: Asked, said: re.Match[str]) -> None:
    one, two = parse_day(said["one"]), parse_day(said["two"])
    hurt = {
        session.local_date
        for session in asked.history.sessions
        for hold in session.holds
        if hold.exercise == asked.exercise and hold.pain
    }
    assert {one, two} <= hurt
    assert 0 < (two - one).days < 14


@reason(
    r"As long as that counts no target rises(?:: it stays at (?P<at>[\d.]+) s)?\. "
    r"(?:Where it comes back or stays, see a clinician\.|It has come back: "
    rf"(?P<days>\d+) days with it since (?P<since>{DAY})\. See a clinician\.)"
)
def _(asked: Asked, said: re.Match[str]) -> None:
    if said["days"]:
        since = parse_day(said["since"])
        hurt = {
            session.local_date
            for session in asked.history.sessions
            for hold in session.holds
            if hold.pain and since <= session.local_date <= asked.today
        }
        assert 2 <= int(said["days"]) <= len(hurt)
        assert since in hurt
        assert (asked.today - since).days < 28
    start = asked.got.change is Change.START
    if asked.got.target_s is not None and not start and not asked.got.from_exercise:
        assert asked.got.target_s <= asked.got.current_s


@reason(
    r"It was already trained in the week of (?P<monday>\d+ \w+); a target doesn't "
    r"rise within a week\."
)
def _(asked: Asked, said: re.Match[str]) -> None:
    assert any(day in asked.week for day in asked.trained_dates())
    assert f"the week of {said['monday']}" == words.week(asked.week)


@reason(
    rf"The target rose on (?P<day>{DAY}), less than 6 days before the week's first "
    rf"session on (?P<first>{DAY})\."
)
def _(asked: Asked, said: re.Match[str]) -> None:
    first = parse_day(said["first"])
    assert 0 <= (first - parse_day(said["day"])).days < 6 or first < parse_day(
        said["day"]
    )
    assert first in asked.week


@reason(r"The target (?:stays|has been|of|is) .*")
@reason(r"The median kept is .* that is (?P<to>[\d.]+) s\.")
@reason(r"(?P<off>[\d.]+) s come off, which leaves (?P<to>[\d.]+) s\.")
def _(asked: Asked, said: re.Match[str]) -> None:
    to = said.groupdict().get("to")
    if to is not None and asked.got.rule is not Rule.PAIN:
        assert asked.got.target_s is not None
        assert f"{to} s" == words.seconds(asked.got.target_s)


@reason(r"(?P<by>[\d.]+) s more is (?P<share>[\d.]+) % on (?P<at>[\d.]+) s\.")
def _(asked: Asked, said: re.Match[str]) -> None:
    assert asked.got.target_s is not None
    rise_s = asked.got.target_s - asked.got.current_s
    assert abs(float(said["by"]) - rise_s) < 0.1
    assert abs(float(said["share"]) - 100 * rise_s / asked.got.current_s) < 0.06


@reason(
    r"The chance that all \d+ sets? of (?P<to>[\d.]+) s are made is .*(?:under|just "
    r"under) 50 %: the step to (?P=to) s is held back, the target stays at "
    r"(?P<at>[\d.]+) s\."
)
def _(asked: Asked, said: re.Match[str]) -> None:
    assert "50 %, under 50 %" not in said[0]
    assert float(said["to"]) > float(said["at"])


@reason(
    r"By the estimate (?P<sets>\d+) sets? of (?P<at>[\d.]+) s can hardly be made "
    r"\(.*\)(?:, and no target more likely than not|; (?P<likely>[\d.]+) s more "
    r"likely than not\. That is for you or a coach to set)\."
)
def _(asked: Asked, said: re.Match[str]) -> None:
    assert asked.got.chance is not None
    assert asked.got.chance < 0.15
    if said["likely"]:
        easier = asked.again(_own(asked, float(said["likely"])))
        assert all(
            one.chance is None
            or one.chance > 0.5
            or (one.target_s, one.sets) != (float(said["likely"]), asked.got.sets)
            for one in easier
        )


@reason(LEFT_OUT.pattern)
def _(asked: Asked, said: re.Match[str]) -> None:
    found = {
        f"{words.seconds(hold.kept_or_held_s)} on {words.day(session.local_date)}"
        for session in asked.history.sessions
        for hold in session.holds
        if hold.exercise == asked.exercise and hold.ended_by is EndedBy.ADDED
    }
    assert set(re.split(LISTED, said["holds"])) <= found


@reason(
    r"For (?P<unsaid>\d+) of (?P<sets>\d+) sets? of the last (?:two sessions|session)"
    r" it wasn't said how long the position was kept: what was held counts\."
)
def _(asked: Asked, said: re.Match[str]) -> None:
    dates = asked.trained_dates()
    holds = [hold for day in dates for hold in asked.days_holds(day)]
    assert 0 < int(said["unsaid"]) <= sum(hold.kept_s is None for hold in holds)


@reason(r"The last 4 weeks of training had (?P<count>\d+) sessions? of it; .*")
def _(asked: Asked, said: re.Match[str]) -> None:
    dates = asked.trained_dates()
    assert int(said["count"]) < 8
    assert int(said["count"]) <= len(dates)


@reason(r"Set (?P<number>\d+) was missed each time and those before it never: .*")
@reason(r"Grip ended a set in both of the last two sessions: .*")
@reason(r"\d+ weeks of training had a rise in \d+: a lighter week is on offer, .*")
@reason(r"It is on trial: in the first set only, for 2 sessions; .*")
@reason(r"Ways on, to choose from: .*")
@reason(r"After two to three weeks away it doesn't rise\.")
@reason(r"After five weeks away or more it starts again: .*")
@reason(rf"The next rung, (?:{NAME}), waits for .*\.")
@reason(rf"To RPE 7 first, twice running: the next rung, (?:{NAME}), waits\.")
@reason(r"The next rung is on offer: .*")
@reason(r"It is asked, never taken by itself\.")
@reason(r"It fills the sets beside the next rung; stay, add nothing\.")
@reason(r"No further rung is on offer here: stay, add nothing\.")
@reason(r"It was held back last time too\. .*")
@reason(r"The full step of .* so half of it\.")
@reason(rf"One rung down: (?P<below>{NAME}) at its start of [\d.]+ s\.")
@reason(r"There is no easier rung to go to.*\.|There is no easier rung: so .*")
@reason(r"The easier rung is .*")
@reason(r"A wrist in a press is not eased by an easier press\.")
@reason(r"Numbness twice running asks for a rest on any rung\.")
@reason(
    r"(?:7 days of rest\. |The 7 days of rest are over\. )?Pain in two sessions "
    r"running is for a clinician to look at\."
)
@reason(r"Stop at the first sign\.")
@reason(rf"It comes back as (?:{NAME}) for one session\.")
@reason(rf"There was a session of (?:{NAME}) since, so it goes on\.")
@reason(rf"The first session back is (?:{NAME}), which is planned anyway\.")
@reason(r"The week of \d+ \w+ is a rest week; it isn't counted as missed\.")
@reason(r"The plan starts at .*")
@reason(r"The test on .* came to .*")
@reason(r"[\d.]+ s was taken for it\.")
@reason(r"It doesn't go (?:over|under) the plan's .*")
def _(asked: Asked, said: re.Match[str]) -> None:
    """Nothing that the figures checked above don't say already."""


PERHAPS_FORMS = re.compile(
    r"(?:.*, it would perhaps be .*"
    r"|.*, another exercise would perhaps stand here\."
    r"|Another start in the plan, or a first-day test, would perhaps .*"
    r"|A longer or a shorter test would perhaps .*"
    rf"|A test of {S} or more would perhaps set a start of (?:{NAME})\."
    r"|More sessions with every set kept at an RPE of 7 or less would perhaps .*"
    r"|A higher cap in the plan would perhaps let it rise again\."
    r"|An? (?:set|RPE) .* in either of the two would perhaps have kept .*)"
)


def questions(seed: int) -> Iterator[Asked]:
    """Ask a story's questions: for this week, for the coming one, for one far off."""
    story = Story(seed)
    this = IsoWeek.of(TODAY)
    for week in (this, this.plus(1), this.plus(3)):
        for got in next_week(
            story.history, story.plan, today=TODAY, week=week, answers=WELL
        ):
            today = TODAY if week <= this.plus(1) else week.monday - timedelta(days=1)
            yield Asked(story.history, story.plan, week, today, got, Random(seed))


def read_all(seed: int, counts: Counter[str]) -> None:
    """Read every sentence of a story's suggestions; a false one raises."""
    for asked in questions(seed):
        for text in asked.got.would_change:
            if PERHAPS in text:
                assert PERHAPS_FORMS.fullmatch(text), text
                counts["perhaps"] += 1
                continue
            read(asked, text, OTHERWISE)
            counts["acted out"] += 1
        for text in asked.got.reasons:
            if not text.startswith("This is how it will stand on"):
                read(asked, text, REASONS)
            counts["reasons"] += 1
        counts["suggestions"] += 1


def read(
    asked: Asked, text: str, readers: list[tuple[re.Pattern[str], Reader]]
) -> None:
    """Let the reader of a sentence's form judge it."""
    for pattern, reader in readers:
        said = pattern.fullmatch(text)
        if said is not None:
            try:
                reader(asked, said)
            except (AssertionError, ValueError) as fault:
                raise AssertionError(f"false: {text}\n{asked.got}\n{fault}") from fault
            return
    raise AssertionError(f"nobody reads: {text}")


@given(st.integers(0, 2**40))
@example(314922)  # Two holds left out, rated above the day's tries.
@example(900006)  # The last set of the day was by hand, and no try.
@example(8000034)  # By the day on which the pain is over another rung stands there.
@settings(max_examples=examples(36), deadline=None)
def test_every_otherwise_comes_true_and_every_reason_is_in_the_log(seed: int) -> None:
    """Acted out on a copy of the history, each *otherwise* gives what it says."""
    read_all(seed, Counter())


def test_no_id_and_no_week_number_stands_in_a_sentence() -> None:
    """Exercises are named and weeks said as dates, in 20 stories' sentences."""
    ids = [one for one in (*BUILT_IN, *(each.id for each in OWN)) if "-" in one]
    said = [
        text
        for seed in range(20)
        for asked in questions(seed)
        for text in (*asked.got.reasons, *asked.got.would_change)
    ]

    assert said
    assert not [
        text for text in said if re.search(r"\d{4}-W\d\d|\d{4}-\d\d-\d\d", text)
    ]
    assert not [text for text in said if any(one in text for one in ids)]


def main() -> None:
    """Read many stories; print how many sentences were read, and which were false."""
    many = int(sys.argv[1])
    first = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    counts: Counter[str] = Counter()
    for seed in range(first, first + many):
        try:
            read_all(seed, counts)
        except AssertionError as fault:
            counts["false"] += 1
            print(f"seed {seed}: {fault}")  # noqa: T201 - run by hand
    print(dict(counts))  # noqa: T201 - run by hand


if __name__ == "__main__":
    main()
