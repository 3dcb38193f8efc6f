"""What goes to stdout: whole, readable, and nothing that a terminal obeys."""

from __future__ import annotations

import functools
import io
import json
import os
import re
import shlex
import subprocess
import sys
from datetime import datetime, timezone
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.trainee import trainee
from trainer.cli import output
from trainer.cli.context import CliContext
from trainer.cli.main import main
from trainer.core.clock import ManualClock
from trainer.demo.trainee import fill
from trainer.store import open_store

ANY_TEXT = st.text(st.characters(), max_size=30)
OBEYED = {chr(code) for code in (*range(32), *range(0x7F, 0xA0))} | set(
    "\u061c\u200e\u200f\u2028\u2029\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
)


def written(encoding: str, write: object, monkeypatch: pytest.MonkeyPatch) -> bytes:
    raw = io.BytesIO()
    stream = io.TextIOWrapper(raw, encoding=encoding, newline="\n")
    with monkeypatch.context() as patch:
        patch.setattr(sys, "stdout", stream)
        output.prepare()
        assert callable(write)
        write()
        stream.flush()
    return raw.getvalue()


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    value=st.dictionaries(ANY_TEXT, ANY_TEXT | st.lists(ANY_TEXT)),
    encoding=st.sampled_from(["utf-8", "latin-1", "ascii"]),
)
def test_any_document_arrives_whole_in_any_encoding(
    value: dict[str, object], encoding: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is written can be read back; no character in it steers a terminal."""
    raw = written(encoding, lambda: output.document(value), monkeypatch)
    text = raw.decode(encoding)

    assert value == json.loads(text)
    assert set() == set(text) & (OBEYED - {"\n"})


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(text=ANY_TEXT, encoding=st.sampled_from(["utf-8", "latin-1", "ascii"]))
def test_any_line_is_one_line(
    text: str, encoding: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A line of any text is one line without control characters, and never fails."""
    said = written(encoding, lambda: output.line(text), monkeypatch).decode(encoding)

    assert said.endswith("\n")
    assert set() == set(said[:-1]) & OBEYED


def test_a_long_line_is_not_cut(capsys: pytest.CaptureFixture[str]) -> None:
    """A line is written whole, however long the path in it is."""
    output.line("x" * 9000)

    assert "x" * 9000 + "\n" == capsys.readouterr().out


def test_indents_are_kept(capsys: pytest.CaptureFixture[str]) -> None:
    """Spaces in front are layout and stay."""
    output.line("  indented")

    assert "  indented\n" == capsys.readouterr().out


def run_with(
    tmp_path: Path, *arguments: str, redirected: str
) -> subprocess.CompletedProcess[str]:
    """Run the program in a shell that redirects its streams."""
    program = shlex.join([sys.executable, "-m", "trainer", *arguments])
    home = {"HOME": str(tmp_path), "XDG_STATE_HOME": str(tmp_path / "state")}
    return subprocess.run(
        ["sh", "-c", f"{program} {redirected}"],
        capture_output=True,
        text=True,
        timeout=120,
        env={**os.environ, **home},
        check=False,
    )


@pytest.mark.skipif(
    not Path("/dev/full").exists(), reason="no /dev/full here to be out of space"
)
@pytest.mark.parametrize(
    ("redirected", "said"),
    [(">/dev/full", "No space left"), (">&-", "can't be written"), (">&- 2>&-", "")],
)
def test_an_output_that_takes_nothing_is_a_sentence(
    tmp_path: Path, redirected: str, said: str
) -> None:
    """Full or closed: what was asked for isn't there, and that isn't passed over."""
    db = tmp_path / "log.db"
    open_store(db, clock=ManualClock()).close()
    done = run_with(tmp_path, "--db", str(db), "plan", "show", redirected=redirected)

    assert 1 == done.returncode
    assert said in done.stderr
    assert "our fault" not in done.stderr
    assert done.stderr.count("\n") <= 1


READ_IN_ASCII = (
    *("--help", "review --help", "angle add --help", "review --weeks 20", "next"),
    *("plan show", "plan questions", "log list --weeks 4", "angle list"),
    *("angle how-to", "angle compare", "data check"),
)


def test_every_answer_can_be_read_in_ascii(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Where nothing else can be written, all is spelt: no ``?`` stands for a sign."""
    clock = ManualClock(start=datetime(2026, 11, 25, 12, tzinfo=timezone.utc))
    path = tmp_path / "trainer.db"
    with open_store(path, clock=clock) as store:
        fill(store, trainee())
    context = CliContext(environ={**os.environ, "TRAINER_DB": str(path)}, clock=clock)
    for command in READ_IN_ASCII:
        call = functools.partial(main, shlex.split(command), context=context)
        raw = written("ascii", call, monkeypatch)
        assert raw.isascii(), (command, raw)
        text = raw.decode("ascii")

        assert text.strip(), command
        # A question ends in a word; a week by itself is marked by one.
        assert [] == re.findall(r".*(?<![a-z ])\?.*", text), command
    assert "?" not in capsys.readouterr().err


def test_what_belongs_in_a_file_is_utf_8_to_the_byte(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Through a pipe of another encoding a page, a plan or a calendar stays whole."""
    text = "Zoë × 3\r\n"
    raw = written("cp1252", lambda: output.file_text(text), monkeypatch)

    assert text.encode() == raw
