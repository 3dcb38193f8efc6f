"""The line at the foot of a page: up to six keys, made from the live bindings."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from textual import events
from textual.binding import Binding
from textual.content import Content
from textual.screen import Screen
from textual.widget import Widget

from trainer.tui.keymap import shown

MOST = 6
GAP = 3


def keys_by_id(screen: Screen[Any]) -> dict[str, str]:
    """Give the live key of each thing that a page can do, by its name."""
    found: dict[str, str] = {}
    for key, (_, binding, _, _) in screen.active_bindings.items():
        if binding.id is not None:
            found.setdefault(binding.id, shown(key))
    return found


class KeyLine(Widget):
    """Keys and what they do; the last ones go first when the line is short.

    PAIRS are (key ids, words): keys that belong together and stand before the others,
    such as the arrows that answer a question.
    """

    def __init__(self, pairs: Sequence[tuple[Sequence[str], str]] = ()) -> None:
        super().__init__(id="keys")
        self._pairs = pairs
        self._spans: list[tuple[int, int, Binding]] = []

    def on_mount(self) -> None:
        self.screen.bindings_updated_signal.subscribe(self, lambda _: self.refresh())

    def live(self) -> list[Binding]:
        """Give the bindings to show, each once, help always among them."""
        seen: dict[str, Binding] = {}
        for _, binding, enabled, _ in self.screen.active_bindings.values():
            if binding.show and enabled and binding.description:
                seen.setdefault(binding.action, binding)
        kept = list(seen.values())
        helps = [each for each in kept if each.id == "everywhere.help"]
        others = [each for each in kept if each.id != "everywhere.help"]
        back = [each for each in others if each.id == "everywhere.back"]
        own = [each for each in others if each.id != "everywhere.back"]
        tail = back + helps
        return own[: MOST - len(tail)] + tail

    def render(self) -> Content:
        """Write the line, leaving out what doesn't fit, never the help."""
        bindings = self.live()
        parts = self._paired()
        at = sum(part.cell_length + GAP for part in parts)
        while len(bindings) > 1 and at + self._length(bindings) > self.size.width:
            bindings.pop(-2)
        self._spans = []
        for binding in bindings:
            key = self._key_of(binding)
            label = self._label_of(binding)
            length = len(key) + 1 + len(label)
            self._spans.append((at, at + length, binding))
            at += length + GAP
            parts.append(Content.assemble((key, "bold"), " ", (label, "$text-muted")))
        return Content(" " * GAP).join(parts)

    def _paired(self) -> list[Content]:
        """Write the pairs, with the keys that they have at the moment."""
        keys = keys_by_id(self.screen)
        return [
            Content.assemble(
                (" ".join(keys[id_] for id_ in ids), "bold"), " ", (text, "$text-muted")
            )
            for ids, text in self._pairs
            if all(id_ in keys for id_ in ids)
        ]

    def _key_of(self, binding: Binding) -> str:
        return shown(binding.key)

    def _label_of(self, binding: Binding) -> str:
        """Give what the key does now: a page may know better than the table."""
        known = getattr(self.screen, "key_label", None)
        return str(known(binding)) if known else binding.description

    def _length(self, bindings: list[Binding]) -> int:
        parts = [len(self._key_of(b)) + 1 + len(self._label_of(b)) for b in bindings]
        return sum(parts) + GAP * (len(parts) - 1)

    async def on_click(self, event: events.Click) -> None:
        """Let the mouse do what the key does."""
        x = event.get_content_offset_capture(self).x
        for start, end, binding in self._spans:
            if start <= x < end:
                await self.app.run_action(binding.action, self.screen)
