"""Today: what is due and why, how it was last time, and one key that starts it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import ClassVar

from textual.binding import BindingType
from textual.containers import Container, VerticalScroll
from textual.widget import Widget
from textual.widgets import Static

from trainer.core import words
from trainer.core.angle.due import DECLINED_KEY, check_due
from trainer.core.angle.in_a_set import (
    PHOTO_DECLINED_KEY,
    SetPhoto,
    due_in_a_set,
    with_photos,
)
from trainer.core.answers import TEST_DECLINED, YES
from trainer.core.next_week.suggestion import Change
from trainer.core.plan.first_day import may_test, to_test, when_to_come_down
from trainer.core.session.clearance import Cleared, rehearsed
from trainer.core.session.program import SessionProgram
from trainer.core.today import Due, TodayView, first_day_test, today_view
from trainer.core.weeks import IsoWeek
from trainer.errors import TrainerError
from trainer.training.request import SessionRequest
from trainer.training.shown import remember_shown
from trainer.training.start import requested_program, take_suggestions
from trainer.tui.door import open_screen
from trainer.tui.keymap import bind
from trainer.tui.screens.page import READING, Page
from trainer.tui.screens.today_text import (
    can_decline,
    card,
    check_line,
    first_steps,
    other_keys,
    streak_sentence,
    today_notes,
    turn_words,
)
from trainer.tui.session.lead import PACES, after_cautions, hear_sounds, lead
from trainer.tui.widgets.keyline import keys_by_id
from trainer.tui.widgets.sheet import Sheet, SheetIfSeen, plain

ALL, DECLINE = "all", "decline"
"""What the test's slip offers beside the single exercises."""


class TodayScreen(Page[None]):
    """The page that the program opens with."""

    HEADING = "Today"
    BINDINGS: ClassVar[list[BindingType]] = [
        *READING,
        bind("today.start", "start"),
        bind("today.decline", "decline"),
        bind("today.next", "next"),
        bind("today.plan", "plan"),
        bind("today.review", "review"),
        bind("today.exercise", "exercise"),
        bind("today.angle", "angle"),
        bind("today.no-angle", "no_angle"),
        bind("today.rehearse", "rehearse"),
        bind("today.sound", "sound"),
        bind("today.listen", "listen"),
        bind("today.questions", "questions"),
        bind("today.test", "test"),
        bind("today.leave", "app.leave"),
    ]
    SEEN_FIRST = ("today.start", "today.decline", "today.no-angle")

    def __init__(self) -> None:
        super().__init__()
        self._declined: set[str] = set()
        self._accepted: set[str] = set()
        self._view: TodayView | None = None
        self._opened = False
        self._second_copy = False
        self._check_due = False
        self._photos: tuple[SetPhoto, ...] = ()

    def body(self) -> Iterator[Widget]:
        """Give the day, and beside it, on a wide window, the card of its sets."""
        with Container(classes="spread"):
            yield Sheet(id="day", classes="leaf")
            yield SheetIfSeen(id="card", classes="leaf second only-wide")

    async def on_screen_resume(self) -> None:
        """Work the day out anew: something may have been logged or changed."""
        await self._show()
        if not self._opened:
            self._opened = True
            self._open()

    def _open(self) -> None:
        """Lead through what comes before the first day, and what a crash left."""
        store = self.trainer.store
        if store.notices:
            self.say(" ".join(store.notices))
        if store.unfinished() is not None:
            open_screen(self.app, "unfinished", then=lambda _: self._first_pages())
        else:
            self._first_pages()

    def _first_pages(self) -> None:
        if self.trainer.store.has_plan():
            self._lead_what_was_asked()
        else:
            after_cautions(self.trainer, self.action_questions)

    def _lead_what_was_asked(self) -> None:
        request = self.trainer.take_request()
        page = self.trainer.take_first_page()
        if request is not None:
            self._lead_request(request)
        elif page:
            self.call_later(self.run_action, page)

    def _lead_request(self, request: SessionRequest) -> None:
        """Lead what the command line asked for."""
        view = self._view
        if view is None:
            return
        if request.exercise is None and not request.rehearse:
            after_cautions(self.trainer, lambda: self._start(anyway=request.anyway))
            return
        try:
            program = requested_program(view, self.trainer.store.history(), request)
        except TrainerError as error:
            self.complain(error)
            return
        if request.rehearse:
            lead(self.trainer, rehearsed(program), pace=request.speed)
        else:
            self._lead_logged(program, anyway=request.anyway)

    def note_seen(self) -> None:
        """Let keys count once the day's own text is on the page."""
        if self.query_one("#day", Sheet).children:
            super().note_seen()

    async def _show(self) -> None:
        """Work the day out and write it down; the log is read once for all of it."""
        store, now = self.trainer.store, self.trainer.clock.wall()
        try:
            history, plan = store.history(), store.plan()
            checks, answers = store.angle_checks(), store.answers()
            streak = streak_sentence(history, store.plans(), now.date())
            self._view = view = today_view(
                plan,
                history,
                today=now.date(),
                answers=answers,
                declined=self._declined,
                accepted=self._accepted,
            )
        except TrainerError as error:
            self.complain(error)
            return
        pains = view.person.open_pain
        self._check_due = check_due(checks, pains, answers, today=view.today)
        self._photos = due_in_a_set(checks, pains, answers, today=view.today)
        if view.program is not None:
            led = with_photos(view.program, self._photos)
            self._view = view = replace(view, program=led)
        keys = keys_by_id(self)
        corner = plain(f"{words.long_date(view.today)} · {view.week}")
        self.query_one("#corner", Static).update(corner)
        notes = today_notes(
            view,
            streak=streak,
            made_up=self.trainer.made_up,
            pain=view.person.open_pain,
            second_copy=self._second_copy,
            first_steps=first_steps(
                history, keys, to_test=to_test(plan, history, answers)
            ),
            check=check_line(keys, reach=self._check_due, program=view.program),
            other_keys=other_keys(keys),
        )
        await self.query_one("#day", Sheet).show(notes)
        await self.query_one("#card", SheetIfSeen).show(card(view, history))
        self.refresh_bindings()
        self.call_after_refresh(self.note_seen)
        try:
            remember_shown(store, [due.suggestion for due in view.due], now=now)
        except TrainerError as error:
            self.complain(error)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Offer only what applies today."""
        view = self._view
        if action == "back":
            return False
        if action == "no_angle":
            return self._check_due or bool(self._photos)
        if action in ("start", "rehearse"):
            return view is not None and view.program is not None
        if action == "decline":
            return view is not None and any(
                can_decline(due.suggestion) for due in view.due
            )
        return super().check_action(action, parameters)

    def action_start(self) -> None:
        """Start the session shown, once the cautions were read."""
        after_cautions(self.trainer, self._start)

    def _start(self, *, anyway: bool = False) -> None:
        view = self._view
        if view is None:
            return
        if view.program is None:
            self.say("Nothing to lead today. One exercise can be trained alone.")
            return
        if view.today != self.trainer.clock.wall().date():
            self.say("It is another day by now. This is what it asks for.")
            self.call_later(self._show)
            return

        def go(program: Cleared) -> None:
            # Only now: who starts nothing must keep nobody else from starting.
            if not self._may_log():
                return
            try:
                now = self.trainer.clock.wall()
                take_suggestions(self.trainer.store, view, now=now, led=program.program)
            except TrainerError as error:
                self.complain(error)
                return
            lead(self.trainer, program)

        self._pass_gate(view.program, go, anyway=anyway)

    def _pass_gate(
        self,
        program: SessionProgram,
        go: Callable[[Cleared], None],
        *,
        anyway: bool = False,
    ) -> None:
        """Ask the gate; every start of a hold from here goes through this."""
        from trainer.tui.screens.gate import pass_gate

        pass_gate(
            self.trainer, program, go, anyway=anyway, questions=self.action_questions
        )

    def _may_log(self) -> bool:
        """Take the lock; where another copy has it, the page says so."""
        try:
            refused = not self.trainer.store.take_lock()
        except TrainerError as error:
            self.complain(error)
            return False
        if refused or self._second_copy:
            self._second_copy = refused
            self.query_one("#page", VerticalScroll).scroll_home(animate=False)
            self.call_later(self._show)
        return not refused

    def _lead_logged(self, program: SessionProgram, *, anyway: bool = False) -> None:
        """Lead PROGRAM into the log, once the cautions were read."""

        def go(through: Cleared) -> None:
            if self._may_log():
                lead(self.trainer, through)

        after_cautions(
            self.trainer, lambda: self._pass_gate(program, go, anyway=anyway)
        )

    async def action_decline(self) -> None:
        """Say no to a suggestion, or yes to a move; or take that back."""
        view = self._view
        choices = (
            [due for due in view.due if can_decline(due.suggestion)] if view else []
        )
        if len(choices) == 1:
            self._turn(choices[0])
            await self._show()
        elif choices:
            lines = [(due.suggestion.exercise, turn_words(due)) for due in choices]

            async def chosen(exercise: str | None) -> None:
                for due in choices:
                    if due.suggestion.exercise == exercise:
                        self._turn(due)
                await self._show()

            self.ask("Which suggestion?", lines, chosen)

    def _turn(self, due: Due) -> None:
        one = due.suggestion
        said = self._accepted if one.change is Change.MOVE_ON else self._declined
        said ^= {one.exercise}

    def action_angle(self) -> None:
        """Open the page of the angle checks."""
        open_screen(self.app, "angle-checks")

    async def action_no_angle(self) -> None:
        """Leave the angle checks that are due out this time."""
        today = self.trainer.clock.wall().date().isoformat()
        if self._check_due:
            self.trainer.store.set_answer(DECLINED_KEY, today)
        if self._photos:
            self.trainer.store.set_answer(PHOTO_DECLINED_KEY, today)
        await self._show()

    def action_exercise(self) -> None:
        """Choose one exercise, and train that alone this time."""
        view = self._view
        if view is None:
            return
        choices = [
            (each, view.plan.exercise(each).name) for each in view.plan.known_ids()
        ]

        def chosen(exercise: str | None) -> None:
            if exercise is not None:
                self._lead_request(SessionRequest(exercise=exercise))

        self.ask("One exercise, this time", choices, chosen)

    def action_rehearse(self) -> None:
        """Run through the session at a pace to be chosen."""
        view = self._view
        if view is None or view.program is None:
            return
        program = view.program

        def chosen(pace: str | None) -> None:
            if pace is not None:
                lead(self.trainer, rehearsed(program), pace=float(pace))

        self.ask("A rehearsal logs nothing. How fast?", list(PACES), chosen)

    def action_next(self) -> None:
        """Open next week."""
        week = IsoWeek.of(self.trainer.clock.wall().date()).plus(1)
        open_screen(self.app, "next-week", week)

    def action_plan(self) -> None:
        """Open the plan."""
        open_screen(self.app, "plan")

    def action_review(self) -> None:
        """Open the review."""
        store, today = self.trainer.store, self.trainer.clock.wall().date()
        open_screen(self.app, "review", store, store.plan(), today)

    def action_sound(self) -> None:
        """Open the sound settings."""
        open_screen(self.app, "sound")

    def action_listen(self) -> None:
        """Hear the sounds of a hold."""
        hear_sounds(self.trainer, lambda: None)

    def action_questions(self) -> None:
        """Ask the first day's questions."""
        from trainer.tui.screens.first_day import FirstDayDone

        async def answered(done: FirstDayDone | None) -> None:
            await self._show()
            if done is FirstDayDone.TEST:
                self.action_test()
            else:
                self._lead_what_was_asked()

        open_screen(self.app, "first-day", then=answered)

    def action_test(self) -> None:
        """Offer the first-day test of an exercise; never upside down on the wall."""
        plan = self.trainer.store.plan()
        ids = [each.exercise for each in plan.exercises if may_test(each.exercise)]
        exercises = [plan.exercise(each) for each in ids]
        choices = [
            (each.id, f"{each.name}: {when_to_come_down(each)}") for each in exercises
        ]
        if len(ids) > 1:
            choices.insert(0, (ALL, "All of them, after one warm-up"))
        choices.append((DECLINE, "No test: start at the plan's figures"))

        async def chosen(choice: str | None) -> None:
            if choice == DECLINE:
                self.trainer.store.set_answer(TEST_DECLINED, YES)
                await self._show()
            elif choice is not None:
                tested = ids if choice == ALL else [choice]
                self._lead_logged(first_day_test(plan, tested))

        self.ask("A test: one hold, 45 s at most", choices, chosen)
