"""A body with the arms overhead, on which places are picked during the rest.

Two pickers share the drawing: where the stretch was felt, and where it hurts. The
place under the mark is shown reversed, chosen places are filled with a sign, and both
are named beside the drawing, so that no colour is needed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import ClassVar

from textual import events
from textual.binding import BindingType
from textual.content import Content
from textual.message import Message
from textual.widget import Widget

from trainer.core.charts.body import LARGE, SMALL, Body, Direction, neighbour
from trainer.core.model import (
    FELT_SITES,
    PAIN_SITES,
    Felt,
    Moment,
    Pain,
    PainKind,
    Side,
    Site,
)
from trainer.core.safety import pain_words
from trainer.tui.keymap import bind
from trainer.tui.widgets.sheet import styled

CHOSEN = "#"
"""Fills the places that were chosen."""
_BESIDE = 3
LEAST_WORDS = 30
"""Columns that the words beside the drawing need."""


MOMENT_WORDS: Mapping[Moment, str] = {
    Moment.SETTLED: "all the time",
    Moment.EXHALE: "only with the exhale",
}
"""What the moments are called where somebody chooses one."""


def felt_words(felt: Felt) -> str:
    """Say one place in words: ``armpit, both, all the time, 6``."""
    parts = [felt.site.words]
    if felt.side is not None:
        parts.append(felt.side)
    if felt.moment is not None:
        parts.append(MOMENT_WORDS[felt.moment])
    if felt.strength is not None:
        parts.append(f"{felt.strength:g}")
    return ", ".join(parts)


class Drawing(Widget, can_focus=True):
    """The drawing with a mark on it, and words beside it."""

    SITES: ClassVar[tuple[Site, ...]] = FELT_SITES
    BINDINGS: ClassVar[list[BindingType]] = [
        bind("drawing.up", "move('up')"),
        bind("drawing.down", "move('down')"),
        bind("drawing.left", "move('left')"),
        bind("drawing.right", "move('right')"),
    ]
    DEFAULT_CSS = """
    Drawing { width: 1fr; height: 1fr; max-width: 104; }
    """

    class Closed(Message):
        """The person is done with it."""

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002 - Textual's name
        super().__init__(id=id)
        self.site: Site | None = None

    def chosen(self) -> Mapping[Site, Side]:
        """Give the places to fill, with their sides."""
        return {}

    def words(self) -> Sequence[Content]:
        """Give what stands beside the drawing."""
        return ()

    @property
    def body(self) -> Body:
        """The drawing, as large as there is room for it and the words beside it."""
        tall = self.size.height > len(LARGE.rows)
        broad = self.size.width >= LARGE.columns + _BESIDE + LEAST_WORDS
        return LARGE if tall and broad else SMALL

    def render(self) -> Content:
        body = self.body
        beside = self._beside(max(1, self.size.width - body.columns - _BESIDE))
        drawn = [*self._drawn(body), styled(body.caption, "$text-muted")]
        blank = Content(" " * body.columns)
        lines = []
        for row in range(max(len(drawn), len(beside))):
            left = drawn[row] if row < len(drawn) else blank
            right = beside[row] if row < len(beside) else Content("")
            lines.append(Content.assemble(left, " " * _BESIDE, right))
        return Content("\n").join(lines)

    def _drawn(self, body: Body) -> Iterator[Content]:
        """Draw the body row by row: each place as its letter, what is chosen filled."""
        marked = () if self.site is None else body.cells(self.site)
        filled = {
            cell
            for site, side in self.chosen().items()
            for cell in body.cells(site, side)
        }
        for row, line in enumerate(body.rows):
            cells = []
            for col, char in enumerate(line):
                site = body.site_at(row, col)
                if (row, col) in filled:
                    char, style = CHOSEN, "bold"
                elif site in self.SITES:
                    char, style = site.letter, "$text-muted"
                else:
                    style = ""
                cells.append((char, "reverse bold" if (row, col) in marked else style))
            yield Content.assemble(*cells)

    def _beside(self, width: int) -> list[Content]:
        return [part for each in self.words() for part in each.wrap(width) or [each]]

    def action_move(self, direction: str) -> None:
        """Move the mark; the first arrow puts it on the drawing."""
        if self.site is None:
            self.site = Site.ARMPIT
        else:
            self.site = neighbour(self.site, Direction(direction), self.SITES)
        self.refresh()

    def action_close(self) -> None:
        """Go back to the log."""
        self.post_message(self.Closed())

    def on_click(self, event: events.Click) -> None:
        """Mark the place that was clicked."""
        offset = event.get_content_offset_capture(self)
        site = self.body.site_at(offset.y, offset.x)
        if site is not None and site in self.SITES:
            event.stop()
            self.site = site
            self.refresh()
            self.picked()

    def picked(self) -> None:
        """A place was clicked."""


_MOMENTS = (None, Moment.SETTLED, Moment.EXHALE)


class FeltDrawing(Drawing):
    """Where the stretch was felt, on which side, when, how strongly."""

    BINDINGS: ClassVar[list[BindingType]] = [
        bind("drawing.close", "close"),
        bind("drawing.place", "place"),
        bind("drawing.mark", "mark"),
        bind("drawing.left-side", "side('left')"),
        bind("drawing.right-side", "side('right')"),
        bind("drawing.both", "side('both')"),
        bind("drawing.moment", "moment"),
        bind("drawing.strength", "strength"),
        bind("drawing.again", "again"),
    ]

    @dataclass
    class Changed(Message):
        """Other places are chosen."""

        felt: tuple[Felt, ...]

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002 - Textual's name
        super().__init__(id=id)
        self._felt: dict[Site, Felt] = {}
        self._last_time: tuple[Felt, ...] = ()
        self._character = ""

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
        """Name every place with its letter; say what is chosen, and last time's."""
        said = [self._here_in_words(), *(self._place(site) for site in self.SITES)]
        if self._last_time:
            words = "; ".join(felt_words(each) for each in self._last_time)
            said.append(styled(f"last time: {words}", "$text-muted"))
        return said

    def _here_in_words(self) -> Content:
        """Say the place under the mark in full, or how to choose one."""
        felt = None if self.site is None else self._felt.get(self.site)
        if felt is None:
            return styled("A letter marks, 1–0 how strong", "$text-muted")
        return styled(felt_words(felt), "bold")

    def _place(self, site: Site) -> Content:
        felt, sign, strength = self._felt.get(site), " ", ""
        if felt is not None:
            sign = CHOSEN
            strength = "" if felt.strength is None else f" {felt.strength:g}"
        style = "bold" if felt is not None else ""
        return styled(
            f"{sign} {site.letter} {site.words}{strength}",
            "reverse bold" if site is self.site else style,
        )

    def on_key(self, event: events.Key) -> None:
        """Remember which key it is; the binding says what kind it is of."""
        self._character = event.character or ""

    def action_place(self) -> None:
        """Choose the place with that letter; again takes it away."""
        places = {site.letter: site for site in self.SITES}
        site = places.get(self._character)
        if site is not None:
            self.site = site
            self.action_mark()

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

    def action_side(self, side: str) -> None:
        """Say on which side it was; the same key again takes it back."""
        felt = self._here()
        if felt is not None:
            said = None if felt.side == side else Side(side)
            self._put(replace(felt, side=said))

    def action_moment(self) -> None:
        """Give the marked place its next moment."""
        felt = self._here()
        if felt is not None:
            at = _MOMENTS.index(felt.moment)
            self._put(replace(felt, moment=_MOMENTS[(at + 1) % len(_MOMENTS)]))

    def action_strength(self) -> None:
        """Give the marked place its strength; the same digit again takes it away."""
        felt = self._here()
        if felt is not None and self._character.isdigit():
            strength = float(self._character) or 10.0
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


_COLUMN = 15
"""Columns of a short name with its letter: two of them stand on one row."""


def _in_rows(sites: Sequence[Site]) -> list[str]:
    """Name the places with their letters, two short names on a row."""
    named = [f"{site.letter} {site.words}" for site in sites]
    short = [each for each in named if len(each) < _COLUMN]
    long = [each for each in named if len(each) >= _COLUMN]
    pairs = zip(short[::2], [*short[1::2], ""], strict=False)
    return [*(f"{left:<{_COLUMN}}{right}".rstrip() for left, right in pairs), *long]


class HurtDrawing(Drawing):
    """What hurts, and where: noted with one more key, or when the log folds."""

    SITES = PAIN_SITES
    BINDINGS: ClassVar[list[BindingType]] = [
        bind("hurt.note", "note"),
        bind("hurt.place", "place"),
        bind("hurt.left-side", "side('left')"),
        bind("hurt.right-side", "side('right')"),
        bind("hurt.both", "side('both')"),
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
        self._side: Side | None = None
        self._letter = ""

    @property
    def pain(self) -> Pain:
        """Give the warning sign as it stands; a side goes with a place alone."""
        side = None if self.site is None else self._side
        return Pain(self._kind, self.site, side)

    def open(self) -> None:
        """Begin with a pain in no one place."""
        self._kind, self.site, self._side = PainKind.PAIN, None, None
        self.refresh()

    def chosen(self) -> Mapping[Site, Side]:
        """Give the place, on its side."""
        return {} if self.site is None else {self.site: self._side or Side.BOTH}

    def words(self) -> Sequence[Content]:
        """Say what would be noted, and the letter of each place."""
        nowhere = ", in no one place" if self.site is None else ""
        said = pain_words(self.pain)
        return [
            styled(f"{said[:1].upper()}{said[1:]}{nowhere}", "reverse bold"),
            *(Content(line) for line in _in_rows(self.SITES)),
            styled("A letter or the arrows: where. l left, r right.", "$text-muted"),
            styled("What loads the place is left out.", "$text-muted"),
        ]

    def on_key(self, event: events.Key) -> None:
        """Remember which key it is; the binding says what kind it is of."""
        self._letter = event.character or ""

    def action_place(self) -> None:
        """Go to the place with that letter."""
        places = {site.letter: site for site in self.SITES}
        self.site = places.get(self._letter, self.site)
        self.refresh()

    def action_side(self, side: str) -> None:
        """Say on which side it is; the same key again takes it back."""
        self._side = None if self._side == side else Side(side)
        self.refresh()

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
