"""Review: five answers, then one picture at a time, the tables behind it."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from datetime import date
from typing import TYPE_CHECKING, ClassVar

from textual import events, work
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from trainer.core import words
from trainer.core.charts.canvas import Picture
from trainer.core.charts.pages import Page as Leaf
from trainer.core.charts.pages import pages, tables_picture
from trainer.core.model import Session, SessionKind
from trainer.core.plan.plan import Plan
from trainer.core.review.review import DEFAULT_WEEKS, Review, with_forecasts
from trainer.errors import TrainerError
from trainer.tui.door import open_screen
from trainer.tui.keymap import bind
from trainer.tui.screens.page import Page
from trainer.tui.screens.summary import outcome
from trainer.tui.widgets.fields import Field, FieldList
from trainer.tui.widgets.picture import drawn, screen_glyphs
from trainer.tui.widgets.sheet import lines, plain, styled

if TYPE_CHECKING:
    from trainer.store import Store

KIND_WORDS = {
    SessionKind.PLAN: "",
    SessionKind.ONE_OFF: " (not from the plan)",
    SessionKind.TEST: " (test)",
    SessionKind.ADDED: " (added by hand)",
}
"""What is said beside a session that the plan didn't ask for."""


class SessionsScreen(Page[None]):
    """The sessions of the period, newest first."""

    HEADING = "Sessions"
    BINDINGS: ClassVar[list[BindingType]] = [bind("sessions.open", "open")]

    def __init__(self, found: Review) -> None:
        super().__init__()
        self._found = found

    def corner(self) -> str:
        """Say which weeks they are of."""
        first, today = self._found.first.monday, self._found.today
        return f"{words.short_date(first)} to {words.short_date(today)}"

    def body(self) -> Iterator[Widget]:
        """Give one line for each session."""
        if not self._found.sessions:
            yield Static(plain("No session in these weeks."))
        yield FieldList(
            [
                Field(
                    key=session.uid,
                    label=f"{words.near_date(session.local_date)}",
                    value=_line(session),
                )
                for session in reversed(self._found.sessions)
            ]
        )

    def on_mount(self) -> None:
        self.query_one(FieldList).focus(scroll_visible=False)

    def on_screen_resume(self) -> None:
        """Say what stands in the log now: a hold may have been corrected."""
        fields = self.query_one(FieldList)
        marked = fields.marked
        if marked is None:
            return
        session = self.trainer.store.session(marked.key)
        if session is not None:
            fields.show(
                [
                    Field(key=one.key, label=one.label, value=_line(session))
                    if one.key == marked.key
                    else one
                    for one in fields.fields
                ]
            )

    def action_open(self) -> None:
        """Open the marked session's holds."""
        marked = self.query_one(FieldList).marked
        if marked is not None:
            open_screen(self.app, "summary", marked.key, looked_up=True)


def _line(session: Session) -> str:
    kind = KIND_WORDS[session.kind]
    note = f" “{session.note}”" if session.note else ""
    return f"{outcome(session)}{kind}{note}"


PERIODS: tuple[tuple[str, int | None], ...] = (
    ("12 weeks", DEFAULT_WEEKS),
    ("12 months", 52),
    ("all", None),
)
SENTENCE_COLUMNS = 96
LOWEST_PICTURE, HIGHEST_PICTURE = 9, 26
WIDEST_PICTURE = 132


class ReviewScreen(Page[None]):
    """The weeks of holds: five answers, then page by page."""

    HEADING = "Review"
    CSS = """
    ReviewScreen #contents { display: none; width: 24; margin-right: 3; }
    ReviewScreen.-wide #contents { display: block; }
    ReviewScreen #looking { height: auto; }
    ReviewScreen #leaf { width: 1fr; height: auto; }
    ReviewScreen #sentences { height: auto; margin-bottom: 1; max-width: 96; }
    ReviewScreen #picture { height: auto; width: 1fr; }
    ReviewScreen.-normal #heading, ReviewScreen.-normal #page,
    ReviewScreen.-normal KeyLine { margin: 0; }
    ReviewScreen.-normal #page, ReviewScreen.-narrow #page { padding: 1 0 0 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        bind("review.next", "turn(1)"),
        bind("review.before", "turn(-1)", show=False),
        bind("review.table", "table"),
        bind("review.period", "period"),
        bind("review.sessions", "sessions"),
        bind("review.down", "line(1)"),
        bind("review.up", "line(-1)"),
    ]

    def __init__(self, store: Store, plan: Plan, today: date) -> None:
        super().__init__()
        self._store = store
        self._plan = plan
        self._today = today
        self._period = 0
        self._at = ""
        self._as_table = False
        self._found: Review | None = None
        self._leaves: tuple[Leaf, ...] = ()
        self._glyphs = screen_glyphs()

    def body(self) -> Iterator[Widget]:
        """Return the contents (on a wide screen), the sentences and the picture."""
        with Horizontal(id="looking"):
            yield Static("", id="contents")
            with Vertical(id="leaf"):
                yield Static(plain("Looking back …"), id="sentences")
                yield Static("", id="picture")

    def on_mount(self) -> None:
        self.look_back()

    def on_screen_resume(self) -> None:
        """Look again: a hold may have been corrected meanwhile."""
        if self._found is not None:
            self.look_back()

    @work(exclusive=True)
    async def look_back(self) -> None:
        """Read the log and put the review together, off the screen's own thread."""
        from trainer.report.gather import gather

        weeks = PERIODS[self._period][1]
        try:
            found = await asyncio.to_thread(
                gather,
                self._store,
                today=self._today,
                weeks=weeks,
                otherwise=False,
            )
        except TrainerError as error:
            self.complain(error)
            return
        self._take(found)
        # The first picture doesn't wait for what takes longest.
        self._take(await asyncio.to_thread(with_forecasts, found))

    def _take(self, found: Review) -> None:
        if self.was_left:
            return
        self._found = found
        self._leaves = pages(found)
        self._show()

    @property
    def leaf(self) -> Leaf | None:
        """The page that is open; the first one where the last is no more."""
        for one in self._leaves:
            if one.id == self._at:
                return one
        return self._leaves[0] if self._leaves else None

    def on_resize(self, event: events.Resize) -> None:
        super().on_resize(event)
        if self._found is not None:
            self.show_when_laid_out(self._show)

    def _show(self) -> None:
        leaf, found = self.leaf, self._found
        self.refresh_bindings()
        sentences = self.query_one("#sentences", Static)
        if leaf is None or found is None:
            sentences.update(
                plain("No holds in these weeks yet. They will be looked back on here.")
            )
            self.query_one("#picture", Static).update("")
            return
        place = self._leaves.index(leaf)
        head = Content.assemble(
            (leaf.title, "bold"),
            (
                f"   page {place + 1} of {len(self._leaves)}"
                f" · {PERIODS[self._period][0]}",
                "$text-muted",
            ),
        )
        sentences.update(lines([head, *leaf.cautions, *leaf.sentences]))
        self.query_one("#picture", Static).update(
            drawn(self._picture(leaf), self._glyphs)
        )
        self.query_one("#contents", Static).update(
            lines(
                styled(f"▸ {one.title}", "bold")
                if one is leaf
                else styled(f"  {one.title}", "$text-muted")
                for one in self._leaves
            )
        )

    def _picture(self, leaf: Leaf) -> Picture:
        page = self.query_one("#page", VerticalScroll)
        contents = 27 if self.has_class("-wide") else 0
        # With or without a scrollbar: whether there will be one isn't known yet.
        beside = page.styles.gutter.width + page.styles.scrollbar_size_vertical
        width = min(WIDEST_PICTURE, page.outer_size.width - beside - contents)
        if self._as_table:
            return tables_picture(leaf.tables, width=width)
        columns = max(20, min(SENTENCE_COLUMNS, width))
        above = (*leaf.cautions, *leaf.sentences)
        said = 1 + sum(1 + len(one) // columns for one in above)
        height = page.size.height - said - 3
        return leaf.draw(
            width, max(LOWEST_PICTURE, min(HIGHEST_PICTURE, height)), self._glyphs
        )

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Offer pictures and sessions only where there are any."""
        if action in ("turn", "table", "sessions"):
            return bool(self._leaves)
        return super().check_action(action, parameters)

    def action_turn(self, by: int) -> None:
        """Turn to another picture; after the last comes the first."""
        leaf = self.leaf
        if leaf is None:
            return
        place = (self._leaves.index(leaf) + by) % len(self._leaves)
        self._at = self._leaves[place].id
        self._show()
        self.query_one("#page", VerticalScroll).scroll_home(animate=False)

    def action_line(self, by: int) -> None:
        """Move the page by a line."""
        self.query_one("#page", VerticalScroll).scroll_relative(y=by, animate=False)

    def action_table(self) -> None:
        """Turn the picture into a table, or back."""
        self._as_table = not self._as_table
        self._show()

    def action_period(self) -> None:
        """Look back over another period."""
        self._period = (self._period + 1) % len(PERIODS)
        self.look_back()

    def action_sessions(self) -> None:
        """List the period's sessions, to open and correct one."""
        if self._found is not None:
            open_screen(self.app, "sessions", self._found)
