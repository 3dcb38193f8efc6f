"""The two pickers on the drawing: where the stretch was felt, and what hurts where."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import ClassVar

from textual import events
from textual.binding import BindingType
from textual.content import Content
from textual.message import Message

from trainer.core.body import Direction
from trainer.core.model import (
    PAIN_SITES,
    Felt,
    Moment,
    Pain,
    PainKind,
    Side,
    Site,
)
from trainer.tui.keymap import bind
from trainer.tui.widgets.session_drawing import CHOSEN, Drawing, felt_words, site_words
from trainer.tui.widgets.sheet import styled

_SIDES = (None, Side.BOTH, Side.LEFT, Side.RIGHT)
_MOMENTS = (None, Moment.SETTLED, Moment.EXHALE)


class FeltDrawing(Drawing):
    """Where the stretch was felt, on which side, when, how strongly."""

    BINDINGS: ClassVar[list[BindingType]] = [
        bind("drawing.mark", "mark"),
        bind("drawing.side", "side"),
        bind("drawing.moment", "moment"),
        bind("drawing.strength", "strength"),
        bind("drawing.again", "again"),
        bind("drawing.close", "close"),
    ]

    @dataclass
    class Changed(Message):
        """Other places are chosen."""

        felt: tuple[Felt, ...]

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002 - Textual's name
        super().__init__(id=id)
        self._felt: dict[Site, Felt] = {}
        self._last_time: tuple[Felt, ...] = ()
        self._digit = ""

    def open(self, felt: Sequence[Felt], last_time: Sequence[Felt]) -> None:
        """Begin with what is chosen; LAST_TIME is shown, not taken."""
        self._felt = {each.site: each for each in felt}
        self._last_time = tuple(last_time)
        self.site = felt[-1].site if felt else None
        self.refresh()

    def chosen(self) -> Mapping[Site, Side]:
        """Give the chosen places."""
        return {site: felt.side or Side.BOTH for site, felt in self._felt.items()}

    def words(self) -> Sequence[Content]:
        """Name the marked place, the chosen ones and last time's."""
        said = [
            styled("Arrows move, enter marks, 1–0 how strong", "$text-muted"),
            Content(""),
        ]
        if self.site is not None:
            said += [styled(site_words(self.site), "reverse bold"), Content("")]
        said += [
            styled(f"{CHOSEN} {felt_words(each)}", "bold")
            for each in self._felt.values()
        ]
        if self._last_time:
            words = "; ".join(felt_words(each) for each in self._last_time)
            said += [Content(""), styled(f"last time: {words}", "$text-muted")]
        return said

    def on_key(self, event: events.Key) -> None:
        """Remember which digit it is; the binding says that it is one."""
        self._digit = event.character or ""

    def action_mark(self) -> None:
        """Choose the marked place, or take it away."""
        site = self.site
        if site is None:
            self.action_move(Direction.DOWN)
        elif site in self._felt:
            del self._felt[site]
            self._tell()
        else:
            self._put(Felt(site))

    def picked(self) -> None:
        """Choose what was clicked, or take it away."""
        self.action_mark()

    def action_side(self) -> None:
        """Give the marked place its next side."""
        felt = self._here()
        if felt is not None:
            at = _SIDES.index(felt.side)
            self._put(replace(felt, side=_SIDES[(at + 1) % len(_SIDES)]))

    def action_moment(self) -> None:
        """Give the marked place its next moment."""
        felt = self._here()
        if felt is not None:
            at = _MOMENTS.index(felt.moment)
            self._put(replace(felt, moment=_MOMENTS[(at + 1) % len(_MOMENTS)]))

    def action_strength(self) -> None:
        """Give the marked place its strength; the same digit again takes it away."""
        felt = self._here()
        if felt is not None and self._digit.isdigit():
            strength = float(self._digit) or 10.0
            same = felt.strength == strength
            self._put(replace(felt, strength=None if same else strength))

    def action_again(self) -> None:
        """Choose last time's places again."""
        if self._last_time:
            self._felt = {each.site: each for each in self._last_time}
            self._tell()

    def _here(self) -> Felt | None:
        if self.site is None:
            return None
        return self._felt.get(self.site, Felt(self.site))

    def _put(self, felt: Felt) -> None:
        self._felt[felt.site] = felt
        self._tell()

    def _tell(self) -> None:
        self.refresh()
        self.post_message(self.Changed(tuple(self._felt.values())))


class HurtDrawing(Drawing):
    """What hurts, and where: noted with one more key, or when the log folds."""

    SITES = PAIN_SITES
    BINDINGS: ClassVar[list[BindingType]] = [
        bind("hurt.note", "note"),
        bind("hurt.pain", "kind('pain')"),
        bind("hurt.numb", "kind('numb')"),
        bind("hurt.dizzy", "dizzy"),
        bind("hurt.close", "close"),
    ]

    @dataclass
    class Noted(Message):
        """A warning sign."""

        pain: Pain

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002 - Textual's name
        super().__init__(id=id)
        self._kind = PainKind.PAIN

    @property
    def pain(self) -> Pain:
        """Give the warning sign as it stands."""
        return Pain(self._kind, self.site)

    def open(self) -> None:
        """Begin with a pain in no one place."""
        self._kind, self.site = PainKind.PAIN, None
        self.refresh()

    def words(self) -> Sequence[Content]:
        """Say what would be noted."""
        place = "in no one place" if self.site is None else site_words(self.site)
        return [
            styled(f"{self._kind}: {place}", "reverse bold"),
            Content(""),
            styled("Arrows move to the place.", "$text-muted"),
            Content(""),
            styled(
                "A stretch is fine; this is not one. Sets that load the place are"
                " left out.",
                "$text-muted",
            ),
        ]

    def action_kind(self, kind: str) -> None:
        """Say what it is."""
        self._kind = PainKind(kind)
        self.refresh()

    def action_dizzy(self) -> None:
        """Dizzy: noted at once, for it ends the session."""
        self.post_message(self.Noted(Pain(PainKind.DIZZY)))

    def action_note(self) -> None:
        """Note it."""
        self.post_message(self.Noted(self.pain))
