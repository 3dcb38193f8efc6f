"""Photos by the terminal's own graphics: known beforehand, never asked for."""

from __future__ import annotations

import io
import os
import sys
from pathlib import Path

import pytest
from PIL import Image
from textual_image.renderable import tgp

from tests.photo.stick import saved
from trainer.settings.settings import Photos
from trainer.tui.photo.graphics import (
    DIACRITICS,
    Graphics,
    Protocol,
    graphics_of,
    kitty_cells,
)

posix = pytest.mark.skipif(os.name == "nt", reason="pseudo-terminals are POSIX")
CELL_PX = (9, 18)
KITTY = {"TERM": "xterm-kitty", "COLORTERM": "truecolor"}
WEZTERM = {"TERM": "xterm-256color", "TERM_PROGRAM": "WezTerm"}
ITERM = {"TERM": "xterm-256color", "TERM_PROGRAM": "iTerm.app"}


class TestWhichTerminal:
    @pytest.mark.parametrize(
        ("environ", "protocol"),
        [
            (KITTY, Protocol.KITTY),
            ({**KITTY, "TERM": "xterm-ghostty"}, Protocol.KITTY),
            (WEZTERM, Protocol.INLINE),
            (ITERM, Protocol.INLINE),
        ],
    )
    def test_those_that_have_graphics_are_known(
        self, environ: dict[str, str], protocol: Protocol
    ) -> None:
        """By what they set themselves (their documentation)."""
        assert Graphics(protocol, CELL_PX) == graphics_of(environ, Photos.AUTO, CELL_PX)

    @pytest.mark.parametrize(
        "environ",
        [
            {},
            {"TERM": "linux"},
            {"TERM": "xterm-256color", "COLORTERM": "truecolor"},
            {**KITTY, "TERM": "tmux-256color"},
            {**KITTY, "TERM": "screen.xterm-256color"},
            {**KITTY, "TMUX": "/tmp/tmux-1000/default,1,0"},
            {**KITTY, "STY": "1.pts-0"},
            {**KITTY, "ZELLIJ": "0"},
            {**KITTY, "COLORTERM": ""},
            {**KITTY, "NO_COLOR": "1"},
            {**WEZTERM, "NO_COLOR": "1"},
            {**WEZTERM, "VTE_VERSION": "7200"},
            {**ITERM, "XTERM_VERSION": "XTerm(390)"},
            {"TERM": "xterm-256color", "KITTY_WINDOW_ID": "3"},
        ],
    )
    def test_on_any_doubt_there_are_half_blocks(self, environ: dict[str, str]) -> None:
        """A multiplexer, no colour, a terminal that another one was started from."""
        assert None is graphics_of(environ, Photos.AUTO, CELL_PX)

    def test_a_cell_of_unknown_size_is_a_doubt(self) -> None:
        """It isn't asked for either."""
        assert None is graphics_of(KITTY, Photos.AUTO, None)

    def test_a_person_may_say_which(self) -> None:
        """Half blocks anywhere; a protocol anywhere but without colours."""
        plain = {"TERM": "xterm-256color"}
        forced = graphics_of(plain, Photos.KITTY, None)
        assert forced is not None

        assert Protocol.KITTY is forced.protocol
        assert None is graphics_of(KITTY, Photos.BLOCKS, CELL_PX)
        assert None is graphics_of({"NO_COLOR": "1"}, Photos.KITTY, CELL_PX)


def test_the_marks_of_kitty_s_cells_are_those_of_its_table() -> None:
    """Against textual-image's own copy of it."""
    assert [chr(each) for each in tgp._NUMBER_TO_DIACRITIC] == list(DIACRITICS)


def test_a_line_of_cells_is_as_wide_as_it_has_cells() -> None:
    """Rich counts the marks as nothing, so that what is cut off is a whole cell."""
    from rich.cells import cell_len

    assert 54 == cell_len(kitty_cells(20, 54))


@posix
class TestOnATerminalOfItsOwn:
    @pytest.mark.parametrize(
        ("environ", "own", "again"),
        [
            (KITTY, b"\x1b_Ga=T,U=1", "\U0010eeee".encode()),
            (WEZTERM, b"\x1b]1337;File=inline=1", b"\x1b]1337;File=inline=1"),
        ],
        ids=["kitty", "inline"],
    )
    def test_no_key_is_lost_and_the_picture_arrives(
        self, tmp_path: Path, environ: dict[str, str], own: bytes, again: bytes
    ) -> None:
        """The first key is pressed before the program has begun; nothing is asked. What
        a question lay over is drawn again: kitty's cells, or the picture."""
        from tests.tui.photo.fake_terminal import FakeTerminal, environment

        path, _ = saved(tmp_path, (1600, 1200), 165.0)
        command = [sys.executable, "-m", "trainer", "angle", "add", str(path)]
        terminal = FakeTerminal(command, environment(tmp_path, **environ))
        try:
            terminal.type(b"\x1b[C")
            terminal.read_until(lambda: b"Shoulder (2 of 6)" in terminal.written)
            terminal.read_until(lambda: len(terminal.pictures()) >= 2)
            before = len(terminal.pictures())
            terminal.type(b"\r")
            terminal.read_until(lambda: len(terminal.pictures()) > before)
            terminal.type(b"\x1b[A")
            terminal.read_until(lambda: len(terminal.pictures()) > before + 1)
            terminal.type(b"\x1b")
            terminal.read_until(lambda: b"Leave the photo" in terminal.written)
            asked = len(terminal.written)
            terminal.type(b"\r")
            terminal.read_until(lambda: again in terminal.written[asked:])
        finally:
            terminal.close()
        last = Image.open(io.BytesIO(terminal.pictures()[-1]))
        colours = {colour for _, colour in last.convert("RGB").getcolors(1 << 24) or ()}

        assert own in terminal.written
        assert [] == terminal.asked
        # Half a cell is nine pixels: 54 columns beside what is asked.
        assert 0 == last.width % CELL_PX[0]
        assert 300 < last.width
        # The wall of the drawing, and the cross that is drawn into it.
        assert {(206, 199, 186), (230, 159, 0)} <= colours
