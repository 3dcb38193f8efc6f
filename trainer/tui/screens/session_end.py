"""The way out of a live session: nothing that was done is left behind unsaid."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import replace
from pathlib import Path

from trainer.core.model import Felt
from trainer.core.session_log import shown_s
from trainer.core.session_state import HoldDraft, Phase
from trainer.errors import TrainerError
from trainer.rescue import keep_beside
from trainer.runner import SessionRunner
from trainer.tui.screens.session_page import SessionPage
from trainer.tui.widgets.session_hints import unsaved_words
from trainer.tui.widgets.session_words import Face
from trainer.tui.widgets.slip import ChoiceSlip

NAMED = 4
"""How many holds that aren't saved are named; the others are counted (our choice)."""
_STAY, _LEAVE = "stay", "leave"


class SessionEnding(SessionPage):
    """A session's page with its ways out.

    Args:
        runner: leads the session; started when the screen opens.
        last_felt: by exercise, what was felt last time: shown, never taken.
        upside_down: exercises whose seconds stand upside down from the start.
        reduced_motion: the breathing line steps instead of gliding.
    """

    def __init__(
        self,
        runner: SessionRunner,
        *,
        last_felt: Mapping[str, tuple[Felt, ...]] | None = None,
        upside_down: Collection[str] = (),
        reduced_motion: bool = False,
    ) -> None:
        super().__init__(
            runner,
            last_felt=last_felt,
            upside_down=upside_down,
            reduced_motion=reduced_motion,
        )
        self._saved: tuple[HoldDraft, ...] = ()
        self._kept_in: Path | None = None
        self._question: ChoiceSlip | None = None

    def show(self) -> None:
        """Show the session; what waits to be saved stays in sight until it is."""
        super().show()
        if not self.runner.unsaved:
            self._saved = self.state.holds
            if self._question is not None:
                self._answered()

    def _show_face(self, seen: Face) -> None:
        words = unsaved_words(self.runner.unsaved)
        if words and self.phase is Phase.DONE:
            tried = f"{words}, tried again each second."
            seen = replace(seen, line=f"{seen.line} {tried}")
        super()._show_face(seen)

    def leave(self, go: Callable[[], object]) -> None:
        """Leave the session in good order, then GO; ask where that can't be."""
        self.desk.fold()
        self._keep_turned()
        try:
            self._close()
        except TrainerError as error:
            self._ask(error, go)
        else:
            go()

    def leave_at_once(self) -> None:
        """Keep what is half said and leave, asking nothing: the system ends us."""
        self.desk.fold()
        self._keep_turned()
        try:
            self._close()
        except TrainerError:
            keep_beside(self.runner, self.trainer.paths.state)

    def _close(self) -> None:
        self.runner.close()
        if self._kept_in is not None:
            self._kept_in.unlink(missing_ok=True)
            self._kept_in = None

    def _ask(self, error: TrainerError, go: Callable[[], object]) -> None:
        """Say what isn't saved, and let it be left only knowingly."""
        self._kept_in = keep_beside(self.runner, self.trainer.paths.state)
        if self._kept_in is None:
            lost = "Who leaves now loses it."
        else:
            lost = f"It is kept in {self._kept_in} too: trainer data import takes it."
        slip = ChoiceSlip(
            f"{error.message}. Not in the data file yet: {self._not_saved()}."
            f" It is tried again each second. {lost}",
            [(_STAY, "Stay until it is saved"), (_LEAVE, "Leave all the same")],
        )

        def answered(choice: str | None) -> None:
            self._question = None
            if choice == _LEAVE:
                self._leave_knowingly(go)

        self._uncover()
        self._question = slip
        self.app.push_screen(slip, answered)

    def _leave_knowingly(self, go: Callable[[], object]) -> None:
        try:
            self._close()
        except TrainerError:
            # Answers given since then belong into the file too.
            self._kept_in = keep_beside(self.runner, self.trainer.paths.state)
        go()

    def _answered(self) -> None:
        """Take the question away: all is saved."""
        if self.app.screen is self._question:
            self._uncover()
        self._question = None

    def _not_saved(self) -> str:
        """Name the holds that are new or were spoken of since the last writing."""
        named = [
            f"{self.state.program.sets[draft.index].exercise.name}, set"
            f" {draft.set_number}, {shown_s(draft.held_s)} s"
            for draft in self.state.holds
            if draft not in self._saved
        ]
        more = len(named) - NAMED
        if more > 0:
            named = [*named[:NAMED], f"and {more} more"]
        return "; ".join(named) or "the session's end"

    def _keep_turned(self) -> None:
        """Remember for which exercises the seconds were turned over."""
        settings = self.trainer.settings
        if self.turned != set(settings.upside_down):
            turned = tuple(sorted(self.turned))
            self.trainer.keep_settings(replace(settings, upside_down=turned))
