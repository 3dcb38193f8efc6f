"""The help: made from the keys that are live where it was asked for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from textual.binding import ActiveBinding, Binding
from textual.widget import Widget

from trainer.core.exercises import BUILT_IN
from trainer.tui.keymap import shown
from trainer.tui.screens.page import Page
from trainer.tui.widgets.sheet import Note, Sheet, columns, note

WORDS = (
    ("target, held, kept", "Seconds planned; really held; held in the right position."),
    ("RPE", "How much longer it could have been kept: 10 not a second, 9 a second or"),
    ("", "two, 8 about one breath, 7 two breaths, 5 about as long again."),
    ("clean", "All sets done and kept, no RPE over 8, no pain."),
    ("set-up", "The seconds to get in place. Any key means: not yet."),
    ("come-down allowance", "Seconds from letting go to the key, taken off held."),
    ("stop, stay", "At the target the hold ends by itself, or counts on."),
    ("rest week", "A week off that was meant; it breaks nothing."),
)


def live_keys(active: Mapping[str, ActiveBinding]) -> list[tuple[str, str]]:
    """Give (keys, what they do) for every live binding, in order, each once."""
    found: dict[tuple[str, str], tuple[Binding, list[str]]] = {}
    for key, (_, binding, _, _) in active.items():
        if not binding.description:
            continue
        slot = found.setdefault((binding.action, binding.description), (binding, []))
        if shown(key) not in slot[1]:
            slot[1].append(shown(key))
    return [
        (" or ".join(keys), binding.tooltip or binding.description)
        for binding, keys in found.values()
    ]


def help_notes(keys: Iterable[tuple[str, str]], heading: str) -> list[Note]:
    """Give the help's entries."""
    ladder = [f"{each.name} ({each.id})" for each in BUILT_IN.values()]
    return [
        note(f"Keys: {heading}" if heading else "Keys", *columns(list(keys))),
        note(
            "In a hold",
            "The hands are taken: everything is led by ear. Any key that isn't bound"
            " ends the hold, so a presenter's remote or a foot pedal will do.",
        ),
        note("Words", *columns([list(row) for row in WORDS])),
        note("Exercises", *ladder),
        note(
            "Breathing",
            "The sound leads, it doesn't command: two short breaths are fine, waiting"
            " on a held breath is not.",
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
