"""The two ways in which the session's words are set.

The *stage* is for the time when nobody stands at the keyboard: the seconds fill it. The
*head* stands over the log: the same words, the seconds beside them.
"""

from __future__ import annotations

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.widgets import Static

from trainer.tui.session.breath import BreathLine
from trainer.tui.session.breath_line import BreathView
from trainer.tui.session.face import Face, left
from trainer.tui.session.figure import BigFigure
from trainer.tui.widgets.sheet import plain

HOW_ROWS = 12
"""Rows of the stage from which there is room for how to do an exercise (our choice)."""


class Words(Static):
    """A line that is only set anew when it says something else."""

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002 - Textual's name
        super().__init__("", id=id)
        self.text = ""

    def put(self, text: str) -> None:
        """Say TEXT, which is never parsed for markup."""
        self.put_lines((text,))

    def put_lines(self, lines: Sequence[str]) -> None:
        """Say LINES, each on a row of its own."""
        text = "\n".join(lines)
        if text != self.text:
            self.text = text
            self.update(Content("\n").join(plain(line) for line in lines))


def breath_words(breath: BreathView) -> str:
    """Say the breath: which half, how much of it is left, which one of how many."""
    # Past the target of a stay there is no last breath to count up to.
    of = f" of {breath.count}" if breath.number <= breath.count else ""
    return f"breathe {breath.word} {left(breath.left_s)}   breath {breath.number}{of}"


class Stage(Vertical):
    """The seconds as large as the window allows."""

    DEFAULT_CSS = """
    Stage { height: 1fr; }
    Stage #state { height: 1; }
    Stage #word { width: auto; text-style: bold; }
    Stage #plain { width: 1fr; text-align: right; color: $text-muted; }
    Stage #line { height: auto; text-align: center; text-style: bold; }
    Stage #cue { height: auto; text-align: center; text-style: bold; }
    Stage #how { height: auto; text-align: center; }
    Stage #quiet { height: auto; text-align: center; color: $text-muted; }
    Stage BreathLine { color: $primary; }
    Stage #breath-words { height: 1; text-align: center; color: $text-muted; }
    """

    def __init__(self, *, reduced_motion: bool) -> None:
        super().__init__(id="stage")
        self._reduced_motion = reduced_motion

    def compose(self) -> ComposeResult:
        with Horizontal(id="state"):
            yield Words(id="word")
            yield Words(id="plain")
        yield BigFigure(id="figure")
        yield Words(id="line")
        yield Words(id="cue")
        yield Words(id="how")
        yield Words(id="quiet")
        yield BreathLine(reduced_motion=self._reduced_motion, id="breath")
        yield Words(id="breath-words")

    def show(self, face: Face) -> None:
        """Show one instant."""
        self.query_one("#word", Words).put(face.word)
        self.query_one("#plain", Words).put(face.plain)
        self.query_one("#line", Words).put(face.line)
        cue = self.query_one("#cue", Words)
        cue.put(face.cue)
        cue.display = bool(face.cue)
        quiet = self.query_one("#quiet", Words)
        quiet.put(face.quiet)
        quiet.display = bool(face.quiet)
        how = self.query_one("#how", Words)
        how.put_lines(face.how)
        how.display = bool(face.how) and self.size.height >= HOW_ROWS
        figure = self.query_one("#figure", BigFigure)
        figure.show(face.figure, turned=face.turned, places=face.places)
        self._breathe(face.breath, turned=face.turned)

    def _breathe(self, breath: BreathView | None, *, turned: bool) -> None:
        line = self.query_one("#breath", BreathLine)
        words = self.query_one("#breath-words", Words)
        line.display = words.display = breath is not None
        if breath is not None:
            line.show(breath.level, turned=turned)
            words.put(breath_words(breath))


class Head(Horizontal):
    """The state in words, the seconds beside it, over the log."""

    DEFAULT_CSS = """
    Head { height: 5; margin-bottom: 1; }
    Head #head-words { width: 1fr; }
    Head #head-word { text-style: bold; height: 1; }
    Head #head-plain { color: $text-muted; height: 1; }
    Head #head-line { height: auto; }
    Head BigFigure { width: 40%; }
    """

    def compose(self) -> ComposeResult:
        with Vertical(id="head-words"):
            yield Words(id="head-word")
            yield Words(id="head-plain")
            yield Words(id="head-line")
        yield BigFigure(to_right=True, id="head-figure")

    def show(self, face: Face) -> None:
        """Show one instant."""
        self.query_one("#head-word", Words).put(face.word)
        plainly = self.query_one("#head-plain", Words)
        plainly.put(face.plain)
        plainly.display = bool(face.plain)
        self.query_one("#head-line", Words).put(face.line)
        self.query_one("#head-figure", BigFigure).show(
            face.figure, turned=False, places=face.places
        )
