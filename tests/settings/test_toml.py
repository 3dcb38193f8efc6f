"""TOML by line: where the parser keeps no lines, ours must be right."""

from __future__ import annotations

import string
from pathlib import Path
from typing import Any

import pytest
import tomlkit
from hypothesis import given
from hypothesis import strategies as st

from trainer.errors import ConfigError, ManyConfigError
from trainer.settings.toml import find_lines, parse, read

NESTED = """\
a = 1

[top]
"quoted.key" = 1
x.y = 2

[[exercise]]
id = "one"
[exercise.inner]
deep = true
[[exercise]]
id = "two"
values = [[1, 2], [3,
  4]]
last = 1
"""


def test_lines_of_keys_tables_and_arrays_of_tables() -> None:
    """Each key and table is found on its own line, arrays by their number."""
    lines = find_lines(NESTED)

    assert 1 == lines[("a",)]
    assert 3 == lines[("top",)]
    assert 4 == lines[("top", "quoted.key")]
    assert 5 == lines[("top", "x", "y")]
    assert 7 == lines[("exercise", 0)]
    assert 8 == lines[("exercise", 0, "id")]
    assert 10 == lines[("exercise", 0, "inner", "deep")]
    assert 12 == lines[("exercise", 1, "id")]
    assert 15 == lines[("exercise", 1, "last")]


def test_what_stands_inside_strings_and_comments_is_no_key() -> None:
    """A multi-line string, an array or a comment hides nothing and adds nothing."""
    lines = find_lines('s = """\nkey = 1\n[table]\n"""\nafter = 1 # [x]\n[y]\n')

    assert {("s",): 1, ("after",): 5, ("y",): 6} == lines


KEYS = st.text(string.ascii_lowercase + "-_. é", min_size=1, max_size=6)
VALUES = st.one_of(
    st.integers(-9, 9),
    st.booleans(),
    st.text("ab\"'#[]={}\\\n", max_size=8),
    st.lists(st.text("ab\"'#[]=", max_size=4), max_size=3),
)
DOCUMENTS = st.dictionaries(KEYS, VALUES | st.dictionaries(KEYS, VALUES, max_size=3))


@given(DOCUMENTS, st.data())
def test_a_fault_put_at_any_key_is_found_on_its_line(
    document: dict[str, Any], data: st.DataObject
) -> None:
    """Whatever TOML a writer makes, the line found for a key holds that key."""
    text = tomlkit.dumps(document)
    lines = find_lines(text)
    rows = text.split("\n")

    for name, value in document.items():
        assert name in parse(rows[lines[(name,)] - 1] + "\n", name="x").values or (
            isinstance(value, dict)
        )
        if isinstance(value, dict):
            for inner in value:
                assert (name, inner) in lines


def test_a_syntax_error_names_file_and_line() -> None:
    """What isn't TOML is refused with its line."""
    with pytest.raises(ConfigError, match=r"plan\.toml, line 3, key c: "):
        parse('a = 1\nb = "x"\nc = = 2\n', name="plan.toml").settle()


@pytest.mark.parametrize(
    ("line", "wrong", "right", "value"),
    [
        ("a = \u201cx\u201d", "the quotes are curly", 'Write a = "x"', "x"),
        ("a = 30s", "a number stands without its unit", "Write a = 30", 30),
        ("a = 1.5 min # m", "a number stands without its unit", "Write a = 90", 90),
        ("a = 2,5", "a number has a point", "Write a = 2.5", 2.5),
        ("a = True", "true and false are written small", "Write a = true", True),
        ("a = in-turn", "a text stands in quotes", 'Write a = "in-turn"', "in-turn"),
        (
            "a = [mon, wed]",
            "each text of a list",
            'Write a = ["mon", "wed"]',
            ["mon", "wed"],
        ),
    ],
)
def test_what_people_write_is_said_in_plain_words_and_read_on(
    line: str, wrong: str, right: str, value: object
) -> None:
    """Line, key, what is wrong and what would be right; the rest isn't hidden by it."""
    file = parse(f"z = 0\n{line}\nlast = 1\n", name="plan.toml")

    assert (value, 1) == (file.values["a"], file.values["last"])
    with pytest.raises(ConfigError) as caught:
        file.settle()
    assert str(caught.value).startswith(f"plan.toml, line 2, key a: {wrong}")
    assert right in str(caught.value)


def test_a_key_or_a_table_given_twice_says_where_it_was_first() -> None:
    """Both places are named, and both faults at once."""
    text = "a = 1\nb = 2\na = 3\n[t]\nc = 1\n[t]\n"
    with pytest.raises(ManyConfigError) as caught:
        parse(text, name="x").settle()

    assert (
        "x, line 3, key a: it is given twice, first on line 1. Leave one of them out.",
        "x, line 6, key t: it is given twice, first on line 4. Leave one of them out.",
    ) == tuple(map(str, caught.value.faults))


def test_what_stands_under_a_broken_heading_makes_no_second_fault() -> None:
    """A heading that is closed wrongly is read as meant; another is left out whole."""
    file = parse("[[t]\na = 1\n[no such = heading\na = 2\n[u]\nb = 3\n", name="x")

    assert {"t": [{"a": 1}], "u": {"b": 3}} == file.values
    with pytest.raises(ManyConfigError) as caught:
        file.settle()
    first, second = map(str, caught.value.faults)
    assert "x, line 1: a heading is closed as it is opened. Write [[t]]." == first
    assert second.startswith("x, line 3")


def test_an_unreadable_file_is_one_sentence(tmp_path: Path) -> None:
    """A missing file, a folder, a file too large, one that isn't UTF-8: all refused."""
    with pytest.raises(ConfigError, match="can't be read: no such file"):
        read(tmp_path / "none.toml", largest_bytes=10)
    with pytest.raises(ConfigError, match="can't be read"):
        read(tmp_path, largest_bytes=10)
    large = tmp_path / "large.toml"
    large.write_text("a = 1\n" * 400)
    with pytest.raises(ConfigError, match="larger than 1 kB"):
        read(large, largest_bytes=1000)
    other = tmp_path / "latin.toml"
    other.write_bytes(b'a = 1\nb = "\xe9"\n')
    with pytest.raises(ConfigError, match="line 2: not UTF-8"):
        read(other, largest_bytes=1000)


@given(st.text("[]{}=\"'\\\n#ab.", max_size=60))
def test_no_text_whatever_breaks_the_reader(text: str) -> None:
    """Every text either parses or is refused with a sentence."""
    said = "x"
    try:
        parse(text, name="x").settle()
    except ConfigError as error:
        said = error.message

    assert said.startswith("x")


@pytest.mark.parametrize(
    "text",
    [
        "a = " + "9" * 4300,
        "a = " + "9" * 5000,
        "a = " + "[" * 1000,
        "a = " + "{b = " * 1000,
        "a." * 1000 + "b = 1",
        "[" + "a." * 1000 + "b]",
    ],
    ids=["4300 digits", "5000 digits", "lists", "tables", "dotted", "heading"],
)
def test_what_no_person_writes_is_one_sentence(text: str) -> None:
    """Integers of thousands of digits and a thousand levels are refused in words."""
    with pytest.raises(ConfigError, match=r"plan\.toml") as refused:
        read_all(text)

    assert len(str(refused.value)) < 500


def read_all(text: str) -> None:
    file = parse(text, name="plan.toml")
    file.record().refuse_unknown([])
    file.settle()
