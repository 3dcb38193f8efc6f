"""From Today to the other pages, one key each."""

from __future__ import annotations

from trainer.core.weeks import IsoWeek
from trainer.tui.screens.page import Page


class OtherPages(Page[None]):
    """What opens the other pages; each is imported when it is first asked for."""

    def action_next(self) -> None:
        """Open next week."""
        from trainer.tui.screens.next_week import NextWeekScreen

        week = IsoWeek.of(self.trainer.clock.wall().date()).plus(1)
        self.app.push_screen(NextWeekScreen(week))

    def action_plan(self) -> None:
        """Open the plan."""
        from trainer.tui.screens.plan import PlanScreen

        self.app.push_screen(PlanScreen())

    def action_review(self) -> None:
        """Open the review."""
        from trainer.tui.screens.review import ReviewScreen

        store, today = self.trainer.store, self.trainer.clock.wall().date()
        self.app.push_screen(ReviewScreen(store, store.plan(), today))

    def action_sound(self) -> None:
        """Open the sound settings."""
        from trainer.tui.screens.sound import SoundScreen

        self.app.push_screen(SoundScreen())
