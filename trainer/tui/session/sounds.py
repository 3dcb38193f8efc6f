"""The sounds of a hold, once each with its name: half a minute that can be left."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual.binding import BindingType
from textual.widget import Widget
from textual.widgets import Static

from trainer.core.cues.introduction import (
    INTRODUCTION,
    INTRODUCTION_S,
    Introduced,
    introduction_sheet,
    sounding,
)
from trainer.sound.player import Player
from trainer.tui.keymap import bind
from trainer.tui.screens.page import READING, Page
from trainer.tui.widgets.sheet import Note, Sheet, note, plain

LEAD_S = 1.0
"""From the page to the first sound: time to see what it is, and for a device to wake
(our choice)."""
POLL_EVERY_S = 0.1
NOW = "now"
"""Stands beside the sound whose turn it is."""


class SoundsOfAHold(Page[None]):
    """Six sounds with their names; the one that is to be heard is marked.

    Goes by itself once all were heard.
    """

    HEADING = "The sounds of a hold"
    BINDINGS: ClassVar[list[BindingType]] = [
        *READING,
        bind("sounds.go-on", "go_on"),
        bind("sounds.again", "again"),
    ]

    def corner(self) -> str:
        """Say how long it takes."""
        return f"{INTRODUCTION_S:g} s, then on by itself"

    def body(self) -> Iterator[Widget]:
        """Give one entry for each sound."""
        yield Sheet(_notes(None), id="sounds")
        yield Static("", id="notice")

    def on_mount(self) -> None:
        self.player: Player = self.trainer.open_player()
        self._marked: int | None = None
        self.action_again()
        self.set_interval(POLL_EVERY_S, self.poll)

    def on_unmount(self) -> None:
        """Leave no sound behind."""
        self.player.close()

    def action_go_on(self) -> None:
        """Leave the rest of them."""
        self.dismiss()

    def action_again(self) -> None:
        """Begin anew."""
        self.started_s = self.trainer.clock.now_s() + LEAD_S
        self.player.play(introduction_sheet(self.started_s))

    async def poll(self) -> None:
        """Mark the sound whose turn it is; leave when all were heard."""
        for notice in self.player.poll():
            self.query_one("#notice", Static).update(plain(notice))
        elapsed_s = self.trainer.clock.now_s() - self.started_s
        marked = sounding(elapsed_s)
        if elapsed_s >= INTRODUCTION_S:
            self.dismiss()
        elif marked != self._marked:
            self._marked = marked
            await self.query_one("#sounds", Sheet).show(_notes(marked))


def _notes(marked: int | None) -> list[Note]:
    return [_note(each, now=place == marked) for place, each in enumerate(INTRODUCTION)]


def _note(each: Introduced, *, now: bool) -> Note:
    meaning = f"{each.meaning}   ◂ {NOW}" if now else each.meaning
    return note(each.name, meaning)
