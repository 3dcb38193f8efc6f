"""Sound: the voice, how loud, which cues, and a key to hear each of them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import ClassVar

from textual import on
from textual.binding import BindingType
from textual.widget import Widget
from textual.widgets import Static

from trainer.core.cues.breathing import Pattern
from trainer.core.cues.cues import CUES, Cue, TimedCue
from trainer.core.cues.settings import Backend, SoundSettings, Voice
from trainer.core.cues.timeline import come_out_cues, hold_cues
from trainer.core.model import EndOfHold
from trainer.sound.player import Player
from trainer.tui.keymap import bind
from trainer.tui.screens.page import Page
from trainer.tui.widgets.fields import Field, FieldList
from trainer.tui.widgets.keyline import KeyLine
from trainer.tui.widgets.sheet import plain

LEAD_S = 0.4
"""From the key to the sound: room for a device that has to wake (our choice)."""
REHEARSED_HOLD_S = 10.0
POLL_EVERY_S = 0.1
BREATH_SHOWN_S = {Cue.IN: 4.0, Cue.OUT: 6.0, Cue.IN_THEN_DOWN: 3.0}
"""How long a cue that is made to length is heard here."""

_ON_OFF = (("on", "on"), ("off", "off"))


def sound_fields(settings: SoundSettings) -> list[Field]:
    """Give the settings as lines."""
    fields = [
        Field(
            key="voice",
            label="Voice",
            value=settings.voice.value,
            choices=(
                (Voice.TONES.value, "tones"),
                (Voice.WORDS.value, "words"),
                (Voice.BOTH.value, "tones and words"),
            ),
        ),
        Field(
            key="volume",
            label="Volume",
            value=f"{round(settings.volume * 100):g}",
            step=10,
            low=0,
            high=100,
            unit="%",
        ),
        Field(
            key="backend",
            label="Wanted",
            value=settings.backend.value,
            choices=(
                (Backend.AUTO.value, "the first that works"),
                (Backend.SIMPLEAUDIO.value, "simpleaudio"),
                (Backend.MINIAUDIO.value, "miniaudio"),
                (Backend.SYSTEM.value, "the system's player"),
                (Backend.BELL.value, "the terminal bell"),
                (Backend.SILENT.value, "nothing: silent"),
            ),
        ),
    ]
    fields.extend(
        Field(
            key=cue.value,
            label=CUES[cue].label,
            value="on" if settings.audible(cue) else "off",
            choices=_ON_OFF,
            hint=CUES[cue].meaning,
        )
        for cue in Cue
    )
    return fields


def settings_of(values: dict[str, str]) -> SoundSettings:
    """Turn the lines' values back into settings."""
    return SoundSettings(
        voice=Voice(values["voice"]),
        volume=float(values["volume"] or 0) / 100,
        backend=Backend(values["backend"]),
        muted=frozenset(cue for cue in Cue if values[cue.value] == "off"),
    )


def one_cue(cue: Cue, now_s: float) -> tuple[TimedCue, ...]:
    """Give the sheet that lets one cue be heard."""
    length_s = BREATH_SHOWN_S.get(cue, 0.0)
    if cue is Cue.LAST_TICK:
        return tuple(TimedCue(now_s + LEAD_S + n, cue, stride=3 - n) for n in range(3))
    stride = 1 if cue is Cue.TEST else 0
    return (TimedCue(now_s + LEAD_S, cue, length_s, stride),)


def ten_seconds(now_s: float) -> tuple[TimedCue, ...]:
    """Give the sheet of a hold of ten seconds and its come-out."""
    hold = hold_cues(
        target_s=REHEARSED_HOLD_S,
        pattern=Pattern(),
        end_of_hold=EndOfHold.STOP,
        limit_s=None,
        press=False,
    )
    out = [
        cue.moved(REHEARSED_HOLD_S)
        for cue in come_out_cues(come_out_s=4.0, early=False)
    ]
    return tuple(cue.moved(now_s + LEAD_S) for cue in (*hold, *out))


class SoundScreen(Page[None]):
    """The sound settings, kept as they are changed."""

    HEADING = "Sound"
    DEFAULT_CSS = """
    SoundScreen #notice { height: 2; margin: 0 2; padding: 0 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        bind("sound.hear", "hear"),
        bind("sound.hold", "hold"),
    ]

    def body(self) -> Iterator[Widget]:
        """Give the lines."""
        yield FieldList(sound_fields(self.trainer.settings.sound), id="sound")

    def on_mount(self) -> None:
        self.mount(Static("", id="notice"), before=self.query_one(KeyLine))
        self._player: Player = self.trainer.open_player()
        self._say_backend()
        self.set_interval(POLL_EVERY_S, self._poll)
        self.query_one(FieldList).focus(scroll_visible=False)

    def say(self, words: str) -> None:
        """Say it on the page's own line, in place of what was said before."""
        self.query_one("#notice", Static).update(plain(words))

    def on_unmount(self) -> None:
        """Leave no sound behind."""
        self._player.close()

    def _poll(self) -> None:
        for notice in self._player.poll():
            self.say(notice)
            self._say_backend()

    def _say_backend(self) -> None:
        self.query_one("#corner", Static).update(
            plain(f"played by: {self._player.name}")
        )

    @on(FieldList.Changed)
    def _keep(self, event: FieldList.Changed) -> None:
        before = self.trainer.settings
        sound = settings_of(event.fields.values())
        self.trainer.keep_settings(replace(before, sound=sound))
        if sound.backend is not before.sound.backend:
            self._player.close()
            self._player = self.trainer.open_player()
            self._say_backend()
        else:
            self._player.change(sound)

    def action_hear(self) -> None:
        """Let the marked cue be heard; on a setting, the hold's first sound."""
        marked = self.query_one(FieldList).marked
        names = {cue.value: cue for cue in Cue}
        cue = names.get(marked.key if marked else "", Cue.HOLD)
        self.say("")
        if not self.trainer.settings.sound.audible(cue):
            self.say(f"“{CUES[cue].label}” is off.")
        self._player.play(one_cue(cue, self.trainer.clock.now_s()))

    def action_hold(self) -> None:
        """Let a hold of ten seconds be heard."""
        self.say("")
        self._player.play(ten_seconds(self.trainer.clock.now_s()))
