"""The help: made from the keys that are live where it was asked for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import ClassVar

from textual.binding import ActiveBinding, Binding, BindingType
from textual.widget import Widget

from trainer.core import words
from trainer.core.exercises import BUILT_IN
from trainer.tui.keymap import shown
from trainer.tui.screens.page import READING, Page
from trainer.tui.widgets.sheet import Note, Sheet, note

WORDS = (
    ("target", "The seconds planned."),
    ("held", "The seconds really held, the come-down allowance taken off."),
    ("kept", "The seconds for which the position was kept; empty counts as held."),
    ("allowance", "Come-down allowance: seconds from letting go to reaching a key."),
    (
        "RPE",
        "How much longer the position could have been kept, in breaths of about ten"
        f" seconds: {words.RPE_SCALE}.",
    ),
    ("clean", "All planned sets done and kept, no RPE over 8, no pain, confirmed."),
    ("confirmed", "You answered at least one question about it."),
    ("set-up", "The seconds to get in place. Any key in it means: not yet."),
    ("stop, stay", "At the target the hold ends by itself, or counts on."),
    ("pain", "Never a stretch: pain, numb or dizzy. Sets that load it are left out."),
    ("rest week", "A planned week off; it isn't counted as missed."),
)


def live_keys(active: Mapping[str, ActiveBinding]) -> list[tuple[str, str]]:
    """Give (keys, what they do) for every live binding of ours, each once.

    What the framework binds for itself has no id, and no place in the help.
    """
    found: dict[str, tuple[Binding, list[str]]] = {}
    for key, (_, binding, _, _) in active.items():
        if binding.id is None:
            continue
        slot = found.setdefault(binding.id, (binding, []))
        if shown(key) not in slot[1]:
            slot[1].append(shown(key))
    in_order = sorted(found.values(), key=lambda each: _rank(each[0]))
    return [(" ".join(keys), binding.tooltip) for binding, keys in in_order]


def _rank(binding: Binding) -> int:
    """Put the page's own keys first, what works everywhere after them."""
    where = (binding.id or "").partition(".")[0]
    return {"fields": 1, "sheet": 1, "page": 2, "everywhere": 3}.get(where, 0)


def help_notes(keys: Iterable[tuple[str, str]], heading: str) -> list[Note]:
    """Give the help's entries."""
    about = f"The keys that work on the page “{heading}”." if heading else "The keys."
    return [
        note("", about),
        *(note(key, what, tight=True) for key, what in keys),
        note("", ""),
        note("", "The words, as they are meant here."),
        *(note(word, meaning, tight=True) for word, meaning in WORDS),
        note("", ""),
        note(
            "In a hold",
            "The hands are taken: everything is led by ear. Any key that isn't bound"
            " ends the hold, so a presenter's remote or a foot pedal will do.",
        ),
        note(
            "Breathing",
            "The sound leads, it doesn't command: two short breaths are fine, waiting"
            " on a held breath is not.",
        ),
        *(
            note(each.brief_name, f"{each.name}.", *each.how)
            for each in BUILT_IN.values()
        ),
        note(
            "Other keys",
            "The settings file's [keys] table moves any key except help, back and the"
            ' way out, for example: "today.next" = "w".',
        ),
    ]


class HelpScreen(Page[None]):
    """What works on the page below, and what the words mean."""

    HEADING = "Help"
    BINDINGS: ClassVar[list[BindingType]] = [*READING]

    def __init__(self, keys: list[tuple[str, str]], heading: str) -> None:
        super().__init__()
        self._keys = keys
        self._heading = heading

    def body(self) -> Iterator[Widget]:
        """Give the live keys and the words."""
        yield Sheet(help_notes(self._keys, self._heading))

    def action_help(self) -> None:
        """Asked for again: go back."""
        self.dismiss()
