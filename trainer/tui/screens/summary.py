"""Summary: what was held in a session, what was said of it, and what comes next."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.containers import Container
from textual.widget import Widget
from textual.widgets import Static

from trainer.core import words
from trainer.core.exercises import rung_below
from trainer.core.model import EndedBy, History, Hold, Session, SessionKind
from trainer.core.next_week.days import days_of, trained
from trainer.core.next_week.decide import next_week
from trainer.core.next_week.suggestion import Suggestion
from trainer.core.plan.first_day import (
    LEAST_START_S,
    ROUND_TO_S,
    TOO_SHORT_S,
    start_from_test,
)
from trainer.core.plan.plan import Plan
from trainer.core.safety import pain_words
from trainer.core.weeks import IsoWeek
from trainer.errors import TrainerError
from trainer.tui.door import open_screen
from trainer.tui.keymap import bind
from trainer.tui.screens.correct import CorrectSlip
from trainer.tui.screens.next_week_text import headline
from trainer.tui.screens.page import Page
from trainer.tui.screens.today_text import why
from trainer.tui.widgets.fields import Field, FieldList
from trainer.tui.widgets.sheet import Note, Sheet, columns, note

GONE = "didn't happen"


def exercise_name(plan: Plan, exercise_id: str) -> str:
    """Give an exercise's short name; an exercise that is no more keeps its id."""
    try:
        return plan.exercise(exercise_id).brief_name
    except KeyError:
        return exercise_id


def said(hold: Hold) -> str:
    """Say what was noted of a hold, in a few words."""
    parts = []
    if hold.pain:
        pains = [pain_words(sign) for sign in hold.pain]
        parts.append(", ".join(pains))
    if hold.stopped_by is not None:
        parts.append(f"stopped by {hold.stopped_by}")
    if hold.lost_on_breath is not None:
        parts.append(f"lost on breath {hold.lost_on_breath}")
    if hold.ended_by.value in ("interrupted", "crash"):
        parts.append(hold.ended_by.value)
    if hold.feet is not None:
        parts.append(f"feet {hold.feet}")
    for felt in hold.felt:
        strength = "" if felt.strength is None else f" {felt.strength:g}"
        parts.append(f"{felt.site.words}{strength}")
    if hold.note:
        parts.append(f"“{hold.note}”")
    return "; ".join(parts)


HEAD = ["exercise", "target", "held", "kept", "RPE", "said"]


def gone_words(hold: Hold) -> str:
    """Say that a hold is out of the log; pain that was noted stays to be seen."""
    return f"{GONE}; {said(hold)}" if hold.pain else GONE


def table(plan: Plan, holds: Sequence[Hold], gone: frozenset[str]) -> list[str]:
    """Give the head and one line for each hold, aligned."""
    rows = [
        [
            exercise_name(plan, hold.exercise),
            words.figure(hold.target_s),
            words.figure(hold.held_s),
            words.figure(hold.kept_s) if hold.kept_s is not None else "",
            "" if hold.rpe is None else words.rpe(hold.rpe),
            gone_words(hold) if hold.uid in gone else said(hold),
        ]
        for hold in holds
    ]
    return columns([HEAD, *rows], right=[1, 2, 3, 4], gap=2)


def outcome(session: Session) -> str:
    """Say in a sentence what was done."""
    kept_s = sum(hold.kept_or_held_s for hold in session.holds)
    planned = len(session.planned)
    done = words.count(len(session.holds), "hold")
    of = f" of {planned} planned" if planned and planned != len(session.holds) else ""
    pain = " Pain was noted." if session.hurt else ""
    return f"{done}{of}, {words.whole_seconds(kept_s)} kept in all.{pain}"


def anyway_notes(session: Session) -> list[Note]:
    """Say what was gone on with although the gate had said why not; else nothing."""
    said = dict.fromkeys(each.says for each in session.overrides)
    return [note("Anyway", *said)] if said else []


def test_notes(session: Session, history: History, plan: Plan) -> list[Note]:
    """Say what a first-day test found, and the start that follows; else nothing."""
    if session.kind is not SessionKind.TEST:
        return []
    return [
        note("Test", test_words(hold, history, plan))
        for hold in session.holds
        if hold.ended_by is not EndedBy.ADDED
    ]


def test_words(hold: Hold, history: History, plan: Plan) -> str:
    """Say what one hold of a test comes to: ``20 s: your start``."""
    kept_s = hold.kept_or_held_s
    found = f"Held {words.whole_seconds(hold.held_s)}"
    if hold.kept_s is not None and hold.kept_s < hold.held_s:
        found += f", kept {words.whole_seconds(hold.kept_s)}"
    if hold.rpe is not None:
        found += f", RPE {words.rpe(hold.rpe)}: {words.rpe_meaning(hold.rpe)}"
    found += "."
    if not hold.counts:
        return f"{found} It was cut short, so it sets no start."
    if trained(days_of(history, plan, hold.exercise)):
        return f"{found} It has been trained before: the target stays."
    start_s = start_from_test(kept_s)
    if start_s is None:
        short = f"{found} Under {words.whole_seconds(TOO_SHORT_S)}"
        below = rung_below(hold.exercise)
        if below is not None and plan.entry(below) is None:
            return f"{short}: {exercise_name(plan, below)} fits better to start with."
        least = words.whole_seconds(LEAST_START_S)
        return f"{short}, and there is no easier rung: you start at {least}."
    share = (
        f"{found} Two thirds of {words.whole_seconds(kept_s)}, rounded down to"
        f" {words.whole_seconds(ROUND_TO_S)}, is {words.whole_seconds(start_s)}"
    )
    entry = plan.entry(hold.exercise)
    bound_s = (
        min(entry.cap_s, max(entry.floor_s, start_s)) if entry is not None else start_s
    )
    if bound_s == start_s:
        return f"{share}: your start."
    return f"{share}; within the plan's floor and cap your start is {bound_s:g} s."


def next_notes(suggestions: Sequence[Suggestion], plan: Plan) -> list[Note]:
    """Say in a sentence each what the coming week will ask."""
    return [
        note(
            exercise_name(plan, one.exercise),
            f"{words.sentence(headline(one))} {why(one)}".rstrip(),
        )
        for one in suggestions
    ]


class SummaryScreen(Page[None]):
    """A session's holds, which can be corrected here, and next week in a sentence."""

    HEADING = "Summary"
    BINDINGS: ClassVar[list[BindingType]] = [
        bind("summary.done", "back"),
        bind("summary.correct", "correct"),
        bind("summary.gone", "gone"),
        bind("summary.next", "next"),
        bind("everywhere.back", "back", show=False),
    ]

    def __init__(self, session_uid: str, *, looked_up: bool = False) -> None:
        """LOOKED_UP: it is an old session, opened to be read or corrected."""
        super().__init__()
        self._uid = session_uid
        self._looked_up = looked_up
        self._gone: dict[str, Hold] = {}
        self._session: Session | None = None

    def body(self) -> Iterator[Widget]:
        """Give the sentence, the table, and what comes."""
        with Container(classes="spread"):
            with Container(classes="leaf"):
                yield Sheet(id="outcome")
                yield FieldList([], id="holds")
            if not self._looked_up:
                yield Sheet(id="coming", classes="leaf second")

    async def on_mount(self) -> None:
        await self._show()
        self.query_one(FieldList).focus(scroll_visible=False)

    async def _show(self) -> None:
        store = self.trainer.store
        session = store.session(self._uid)
        if session is None and self._session is not None:
            # Its last hold was taken out: it can still be put back here.
            session = replace(self._session, holds=())
        if session is None:
            return
        self._session = session
        if self._looked_up:
            date = words.long_date(session.local_date)
            self.query_one("#title", Static).update(self.titled(date))
        plan, today = store.plan(), self.trainer.clock.wall().date()
        holds = self._holds(session)
        rows = table(plan, holds, frozenset(self._gone))
        head = Field(key="head", label="", value=rows[0], heading=True)
        lines = [
            Field(key=hold.uid, label=f"set {hold.set_number}", value=row)
            for hold, row in zip(holds, rows[1:], strict=True)
        ]
        self.query_one(FieldList).show([head, *lines])
        history = store.history()
        await self.query_one("#outcome", Sheet).show(
            [
                note("Done", outcome(session)),
                *anyway_notes(session),
                *test_notes(session, history, plan),
            ]
        )
        if not self._looked_up:
            week = IsoWeek.of(today).plus(1)
            suggestions = next_week(
                history,
                plan,
                today=today,
                week=week,
                answers=store.answers(),
                otherwise=False,
            )
            said = words.sentence(words.week(week))
            await self.query_one("#coming", Sheet).show(
                [note("Next week", said), *next_notes(suggestions, plan)]
            )
        self.refresh_bindings()

    def _holds(self, session: Session) -> list[Hold]:
        holds = {hold.uid: hold for hold in session.holds} | self._gone
        return sorted(holds.values(), key=lambda hold: hold.started_at)

    def _marked(self) -> Hold | None:
        field = self.query_one(FieldList).marked
        return self.trainer.store.hold(field.key) if field is not None else None

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Correct only what is in the log; an old session leads nowhere else."""
        if action == "next":
            return not self._looked_up
        if action in ("correct", "gone"):
            return bool(self.query(FieldList)) and bool(
                self.query_one(FieldList).fields
            )
        return super().check_action(action, parameters)

    def key_label(self, binding: Binding) -> str:
        """Call the key of a set that is out of the log by what it does now."""
        if binding.id == "summary.gone":
            field = self.query_one(FieldList).marked
            if field is not None and field.key in self._gone:
                return "Put back"
        return super().key_label(binding)

    def action_correct(self) -> None:
        """Correct the marked hold."""
        hold = self._marked()
        if hold is None or hold.uid in self._gone:
            self.say("That set is out of the log; put it back first.")
            return

        async def corrected(better: Hold | None) -> None:
            if better is None:
                return
            try:
                self.trainer.store.correct_hold(better)
            except TrainerError as error:
                self.complain(error)
            await self._show()

        name = exercise_name(self.trainer.store.plan(), hold.exercise)
        self.app.push_screen(CorrectSlip(hold, name), corrected)

    async def action_gone(self) -> None:
        """Take the marked hold out of the log, or put it back."""
        field = self.query_one(FieldList).marked
        if field is None:
            return
        store = self.trainer.store
        try:
            if field.key in self._gone:
                store.put_back_hold(field.key)
                del self._gone[field.key]
            else:
                hold = store.hold(field.key)
                if hold is not None:
                    store.take_out_hold(field.key)
                    self._gone[field.key] = hold
        except TrainerError as error:
            self.complain(error)
        await self._show()

    def action_next(self) -> None:
        """Open next week."""
        week = IsoWeek.of(self.trainer.clock.wall().date()).plus(1)
        open_screen(self.app, "next-week", week)
