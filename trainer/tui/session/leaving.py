"""The way out of a live session: nothing that was done is left behind unsaid."""

from __future__ import annotations

from collections.abc import Callable

from trainer.core.session.answers import shown_s
from trainer.core.session.state import HoldDraft, SessionState
from trainer.errors import DataError
from trainer.training.runner import SessionRunner
from trainer.tui.screens.page import Page
from trainer.tui.widgets.slip import ChoiceSlip

NAMED = 4
"""How many holds that aren't saved are named; the others are counted (our choice)."""
_STAY, _LEAVE = "stay", "leave"


class Leaving:
    """Closes the session's log; where that can't be, it asks before anybody goes.

    Args:
        page: the session's page, over which the question is put.
        runner: leads the session.
        uncover: takes away whatever lies over the page.
    """

    def __init__(
        self,
        page: Page[SessionState],
        runner: SessionRunner,
        *,
        uncover: Callable[[], None],
    ) -> None:
        self._page = page
        self._runner = runner
        self._uncover = uncover
        self._saved: tuple[HoldDraft, ...] = ()
        self._question: ChoiceSlip | None = None

    def look(self) -> None:
        """Note what is saved by now, and take the question away once all of it is."""
        if self._runner.unsaved:
            return
        self._saved = self._runner.state.holds
        if self._question is not None:
            if self._page.app.screen is self._question:
                self._uncover()
            self._question = None

    def leave(self, go: Callable[[], object]) -> None:
        """Close the log, then GO; where that can't be, ask."""
        try:
            self._runner.close()
        except DataError as error:
            self._ask(error, go)
        else:
            go()

    def leave_at_once(self) -> None:
        """Close the log and ask nothing: the system ends us."""
        try:
            self._runner.close()
        except DataError as error:
            self._page.trainer.left_unsaved = self._runner.left_unsaved(error)

    def _ask(self, error: DataError, go: Callable[[], object]) -> None:
        """Say what isn't saved, and let it be left only knowingly."""
        kept_in = self._runner.kept_in
        if kept_in is None:
            lost = "Who leaves now loses it."
        else:
            lost = f"It is kept in {kept_in} too: trainer data import takes it."
        slip = ChoiceSlip(
            f"{error.message}. Not in the data file yet: {self._not_saved()}."
            f" It is tried again each second. {lost}",
            [(_STAY, "Stay until it is saved"), (_LEAVE, "Leave all the same")],
        )

        def answered(choice: str | None) -> None:
            self._question = None
            if choice == _LEAVE:
                # Answers given since then are kept beside too, if they can't be
                # written.
                self.leave_at_once()
                go()

        self._uncover()
        self._question = slip
        self._page.app.push_screen(slip, answered)

    def _not_saved(self) -> str:
        """Name the holds that are new or were spoken of since the last writing."""
        named = [
            f"{self._runner.state.program.sets[draft.index].exercise.name}, set"
            f" {draft.set_number}, {shown_s(draft.held_s)} s"
            for draft in self._runner.state.holds
            if draft not in self._saved
        ]
        more = len(named) - NAMED
        if more > 0:
            named = [*named[:NAMED], f"and {more} more"]
        return "; ".join(named) or "the session's end"
