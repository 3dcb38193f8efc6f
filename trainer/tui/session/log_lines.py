"""The lines of the ten-second log: what was answered, and which key answers what.

``log_lines`` is pure, a hold and the names of the keys in, lines of words out; the
panel sets them: a label in the margin, the answer, and the keys that give it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from textual import events
from textual.content import Content
from textual.message import Message
from textual.style import Style
from textual.widget import Widget

from trainer.core import words
from trainer.core.exercises import HANG_SUPPORTED, stop_reasons
from trainer.core.model import CLEAN_SLACK_S, EndedBy, Feet, Felt
from trainer.core.safety import pain_words
from trainer.core.session.answers import how_held, shown_s
from trainer.core.session.program import ProgramSet
from trainer.core.session.state import HoldDraft, SessionState
from trainer.tui.session.drawing import felt_words
from trainer.tui.widgets.sheet import styled

CORRECTED_S = 0.05
"""Less than this is rounding."""
TAKES_FEET = HANG_SUPPORTED.id
"""The exercise of which it is asked how much the feet took."""
NOTHING = "–"
"""Stands where nobody said anything."""
ASIDES_ROWS = 24
"""Rows of the window from which the asides are said too (our choice)."""
_MARGIN = 10
_GAP = "   "
KeyOf = Callable[[str], str]
"""Gives the key that a binding's id is on now."""


@dataclass(frozen=True, slots=True)
class Offer:
    """A key and what it would answer."""

    key: str
    word: str
    chosen: bool = False
    action: str = ""
    """What a click on it does."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LogLine:
    """One line of the log."""

    label: str
    answer: str = ""
    """Empty: nobody said."""
    remark: str = ""
    aside: str = ""
    """Left out where the window is low."""
    scale: str = ""
    """What the figures asked for mean, on rows of its own, parted at its dots."""
    offers: tuple[Offer, ...] = ()
    quiet: bool = False
    """Not asked yet, though its keys work."""


def ended_early(draft: HoldDraft) -> bool:
    """Tell whether something stopped the hold before its target."""
    return draft.ended_by in (EndedBy.KEY, EndedBy.INTERRUPTED) or (
        draft.held_s < draft.target_s - CLEAN_SLACK_S
    )


def log_lines(
    state: SessionState,
    draft: HoldDraft,
    *,
    key_of: KeyOf,
    last_felt: Sequence[Felt] = (),
) -> tuple[LogLine, ...]:
    """Give the log of one hold, line by line."""
    planned = state.program.sets[draft.index]
    lines = [_held(draft, key_of), _rpe(draft, key_of), _kept(draft, planned, key_of)]
    if ended_early(draft):
        lines.append(_stopped(draft, planned, key_of))
    if draft.exercise == TAKES_FEET:
        lines.append(_feet(draft, key_of))
    lines.append(_pain(state, draft, key_of))
    closes = state.closes_exercise(draft)
    if closes or draft.felt:
        lines.append(_felt(draft, key_of, last_felt))
    if closes or draft.note:
        lines.append(_note(draft, key_of))
    if not (closes or draft.felt):
        lines.append(replace(_felt(draft, key_of), quiet=True))
    return tuple(lines)


def _held(draft: HoldDraft, key_of: KeyOf) -> LogLine:
    return LogLine(
        label="held",
        answer=f"{shown_s(draft.held_s)} s of {draft.target_s:g}",
        remark=_how_held(draft),
        offers=(
            Offer(key_of("session.less"), "", action="less"),
            Offer(key_of("session.more"), "", action="more"),
            Offer(key_of("session.type-held"), "type", action="type_held"),
        ),
    )


def _how_held(draft: HoldDraft) -> str:
    """Say how the seconds came about, and whether somebody corrected them since."""
    if draft.ended_by is EndedBy.INTERRUPTED and draft.confirmed:
        return "interrupted"
    by_itself_s = draft.target_s if draft.ended_by is EndedBy.TARGET else draft.held_s
    if draft.key_s is not None and draft.allowance_s is not None:
        by_itself_s = max(0.0, draft.key_s - draft.allowance_s)
    corrected = abs(draft.held_s - by_itself_s) > CORRECTED_S
    return f"{how_held(draft)}, corrected" if corrected else how_held(draft)


def _rpe(draft: HoldDraft, key_of: KeyOf) -> LogLine:
    if draft.rpe is None:
        half = key_of("session.half")
        return LogLine(
            label="RPE",
            remark=f"how much longer? 1–9, 0 = 10, {half} = half",
            scale=words.RPE_SCALE,
        )
    return LogLine(
        label="RPE", answer=f"{draft.rpe:g}", remark=words.rpe_meaning(draft.rpe)
    )


def _kept(draft: HoldDraft, planned: ProgramSet, key_of: KeyOf) -> LogLine:
    answer = ""
    all_kept = draft.kept_s is not None and draft.kept_s == draft.held_s
    if draft.lost_on_breath is not None:
        answer = (
            f"lost on breath {draft.lost_on_breath}, {shown_s(draft.kept_s or 0)} s"
        )
    elif all_kept:
        answer = "all"
    elif draft.kept_s is not None:
        answer = f"{shown_s(draft.kept_s)} s"
    return LogLine(
        label="kept",
        answer=answer,
        aside="" if answer else f"lost: {planned.exercise.position_lost}",
        offers=(
            Offer(
                key_of("session.all-kept"),
                "all",
                all_kept and draft.lost_on_breath is None,
                "all_kept",
            ),
            Offer(
                key_of("session.lost"),
                "lost on a breath",
                draft.lost_on_breath is not None,
                "lost",
            ),
        ),
    )


def _stopped(draft: HoldDraft, planned: ProgramSet, key_of: KeyOf) -> LogLine:
    return LogLine(
        label="stopped by",
        answer=draft.stopped_by or "",
        offers=tuple(
            Offer(
                key_of(f"session.{why}"),
                why,
                draft.stopped_by is why,
                f"stopped_by('{why}')",
            )
            for why in stop_reasons(planned.exercise.family)
        ),
    )


def _feet(draft: HoldDraft, key_of: KeyOf) -> LogLine:
    return LogLine(
        label="feet took",
        answer=draft.feet or "",
        offers=(Offer(key_of("session.feet"), ", ".join(Feet), action="feet"),),
    )


def _pain(state: SessionState, draft: HoldDraft, key_of: KeyOf) -> LogLine:
    answer = "; ".join(pain_words(each) for each in draft.pain)
    offers = [Offer(key_of("session.pain"), "pain, numb, dizzy", action="pain")]
    remark = ""
    if answer and draft.pain_overridden:
        remark = "gone on in spite of it"
    elif state.struck:
        count = len(state.struck)
        remark = f"{count} set{'s' if count > 1 else ''} left out"
        offers.append(Offer(key_of("session.anyway"), "go on anyway", action="anyway"))
    return LogLine(label="pain", answer=answer, remark=remark, offers=tuple(offers))


def _felt(draft: HoldDraft, key_of: KeyOf, last_felt: Sequence[Felt] = ()) -> LogLine:
    last = "; ".join(felt_words(each) for each in last_felt)
    return LogLine(
        label="felt",
        answer="; ".join(felt_words(each) for each in draft.felt),
        aside=f"last time: {last}" if last else "",
        offers=(Offer(key_of("session.felt"), "on the drawing", action="felt"),),
    )


def _note(draft: HoldDraft, key_of: KeyOf) -> LogLine:
    return LogLine(
        label="note",
        answer=draft.note,
        offers=(Offer(key_of("session.note"), "write", action="note"),),
    )


class LogPanel(Widget):
    """The lines of one hold's log; what isn't answered stays a dash."""

    DEFAULT_CSS = """
    LogPanel { width: 1fr; height: 1fr; max-width: 110; }
    """

    class Clicked(Message):
        """A key's word was clicked."""

        def __init__(self, action: str) -> None:
            super().__init__()
            self.action = action

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002 - Textual's name
        super().__init__(id=id)
        self._lines: tuple[LogLine, ...] = ()
        self._spans: list[tuple[int, int, int, str]] = []

    def show(self, lines: Sequence[LogLine]) -> None:
        """Put other lines there."""
        if tuple(lines) != self._lines:
            self._lines = tuple(lines)
            self.refresh()

    def render(self) -> Content:
        return Content("\n").join(self._set(self.size.width))

    def _set(self, width: int) -> list[Content]:
        """Set all lines in rows, with air between them where there is room for it."""
        entries = [self._rows(line, width) for line in self._lines]
        needed = sum(len(rows) for rows in entries) + len(entries) - 1
        airy = needed <= self.size.height
        rows: list[Content] = []
        for entry in entries:
            if airy and rows:
                rows.append(Content(""))
            rows.extend(entry)
        return rows

    def _rows(self, line: LogLine, width: int) -> list[Content]:
        """Set one line in rows: the label in the margin, nothing torn from its key."""
        room = max(10, width - _MARGIN - len(_GAP))
        dash = styled(NOTHING, "$text-muted") if line.quiet else Content(NOTHING)
        answer = styled(line.answer, "bold") if line.answer else dash
        pieces = [(_GAP, part) for part in answer.wrap(room)]
        for number, offer in enumerate(line.offers):
            said = _offer(offer, quiet=line.quiet)
            pieces.append((_GAP if number == 0 else "  ", said))
        low = self.screen.size.height < ASIDES_ROWS
        remark = line.remark if low else f"{line.remark} {line.aside}"
        for number, word in enumerate(remark.split()):
            pieces.append((_GAP if number == 0 else " ", styled(word, "$text-muted")))
        rows = _packed(pieces, room)
        if line.scale:
            rows += _scale(line.scale, room)
        # Blank cells carry no ink, so that no terminal joins them to the label.
        margin = Content.assemble(
            " " * (_MARGIN - len(line.label)),
            (f"{line.label}{_GAP}", "$text-muted"),
        )
        blank = Content(" " * (_MARGIN + len(_GAP)))
        return [
            Content.assemble(blank if number else margin, row)
            for number, row in enumerate(rows)
        ]

    def on_resize(self) -> None:
        """Set the lines closer or wider for the room that there is."""
        self.refresh()

    def on_click(self, event: events.Click) -> None:
        """Let the mouse do what the key does."""
        action = event.style.meta.get("answer")
        if isinstance(action, str) and action:
            event.stop()
            self.post_message(self.Clicked(action))


def _packed(pieces: Sequence[tuple[str, Content]], room: int) -> list[Content]:
    """Put pieces one after the other, beginning a new row where one doesn't fit."""
    rows: list[Content] = []
    row = Content("")
    for gap, piece in pieces:
        if row.cell_length and row.cell_length + len(gap) + piece.cell_length > room:
            rows.append(row)
            row = piece
        else:
            row = Content.assemble(row, gap, piece) if row.cell_length else piece
    return [*rows, row]


def _scale(scale: str, room: int) -> list[Content]:
    """Set a scale in rows: whole steps, or broken between words where that is less."""

    def packed(gap: str) -> list[Content]:
        return _packed(
            [(gap, styled(part, "$text-muted")) for part in scale.split(gap)], room
        )

    steps, broken = packed(" · "), packed(" ")
    return steps if len(steps) <= len(broken) else broken


def _offer(offer: Offer, *, quiet: bool) -> Content:
    """Write a key and its word; a chosen one is underlined. A click does the same."""
    word = styled(offer.word, "bold underline" if offer.chosen else "$text-muted")
    key = styled(offer.key, "$text-muted" if quiet else "bold")
    parts = [key, word]
    both = Content(" ").join(part for part in parts if part.cell_length)
    return both.stylize(Style.from_meta({"answer": offer.action}))
