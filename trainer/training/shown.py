"""What was shown as next week's target is kept, so that its chance can be scored.

Apart from ``training``, so that ``trainer next`` loads no more than it needs.
"""

from __future__ import annotations

import uuid
from collections.abc import Collection
from datetime import datetime
from typing import TYPE_CHECKING

from trainer.core.next_week.suggestion import as_shown
from trainer.core.weeks import IsoWeek

if TYPE_CHECKING:
    from trainer.core.next_week.suggestion import Suggestion
    from trainer.store import Store


def remember_shown(
    store: Store, suggestions: Collection[Suggestion], *, now: datetime
) -> None:
    """Keep what was shown, so that its forecast can be scored later.

    Only of the week that runs and the coming one, at the local time NOW: a week that is
    past was trained before anything was shown, and what is said of a later one holds
    only if nothing is trained until then.
    """
    running = IsoWeek.of(now.date())
    shown = [one for one in suggestions if one.week in (running, running.plus(1))]
    if not shown:
        return
    with store.at_once():
        for one in shown:
            store.remember_shown(as_shown(one, uid=str(uuid.uuid4()), shown_at=now))
