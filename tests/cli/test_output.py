"""What goes to stdout: whole, readable, and nothing that a terminal obeys."""

from __future__ import annotations

import io
import json
import sys

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from trainer.cli import output

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
