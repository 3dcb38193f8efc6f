"""The settings file: read strictly, written at one stroke, comments kept."""

from __future__ import annotations

import stat
import sys
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from trainer.core.cues.cues import Cue
from trainer.core.cues.settings import Backend, SoundSettings, Voice
from trainer.errors import ConfigError
from trainer.settings.settings import (
    THEMES,
    Photos,
    Settings,
    read_settings,
    write_atomically,
    write_settings,
)


def written(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "settings.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_no_file_means_the_defaults(tmp_path: Path) -> None:
    """Nothing has to be set, and reading makes no file."""
    assert Settings() == read_settings(tmp_path / "none" / "settings.toml")
    assert not (tmp_path / "none").exists()


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("\ntheem = 1\n", r"settings\.toml, line 2, key theem: .*Did you mean theme"),
        ("theme = 'lmap'", r"line 1, key theme: 'lmap' .*Did you mean lamp"),
        ("reduced_motion = 'yes'", "key reduced_motion: it is true or false"),
        ("photos = 'sixels'", "key photos: 'sixels' is not one of them"),
        ("[sound]\nvolume = 3", r"line 2, key sound\.volume: 3 is out of bounds"),
        ("[sound]\nvoice = 'wrods'", "key sound.voice: .*Did you mean words"),
        ("[sound]\nmuted = ['tick']", "key sound.muted: 'tick' is not one of them"),
        ("[sound]\nvolum = 1", "key sound.volum: .*Did you mean volume"),
        ("sound = 3", "key sound: it is a table"),
        ("[keys]\n'today.start' = 3", r"line 2, key keys\.today\.start: "),
        ("theme = ", "line 1, key theme: invalid value"),
    ],
)
def test_a_bad_setting_names_file_line_key_and_the_nearest(
    tmp_path: Path, text: str, sentence: str
) -> None:
    """Each fault is one sentence that says where it is and what would be valid."""
    path = written(tmp_path, text)

    with pytest.raises(ConfigError) as caught:
        read_settings(path)

    assert caught.match("(?s)" + sentence)
    assert str(path) in str(caught.value)
    assert 2 == caught.value.exit_code


def test_keys_may_be_written_quoted_dotted_or_as_tables(tmp_path: Path) -> None:
    """An id with a dot in it reads the same in each of TOML's spellings."""
    path = written(
        tmp_path,
        "[keys]\n'a.one' = 'x'\nb.two = ['y', 'z']\n[keys.c]\nthree = 'f5'\n",
    )

    expected = {"a.one": "x", "b.two": "y,z", "c.three": "f5"}
    assert expected == dict(read_settings(path).keys)


SETTINGS = st.builds(
    Settings,
    theme=st.sampled_from(THEMES),
    reduced_motion=st.booleans(),
    photos=st.sampled_from(Photos),
    upside_down=st.lists(st.sampled_from(["press-wall", "press-pike"])).map(tuple),
    keys=st.dictionaries(
        st.sampled_from(["today.start", "plan.take", "x"]),
        st.sampled_from(["x", "f5", "space,enter"]),
    ),
    sound=st.builds(
        SoundSettings,
        voice=st.sampled_from(Voice),
        volume=st.floats(0, 1),
        muted=st.frozensets(st.sampled_from(Cue)),
        backend=st.sampled_from(Backend),
    ),
)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(SETTINGS, SETTINGS)
def test_what_is_written_is_read_back(
    tmp_path: Path, first: Settings, second: Settings
) -> None:
    """Any settings survive the file, also written over others."""
    path = tmp_path / "folder" / "settings.toml"
    write_settings(path, first)
    write_settings(path, second)

    assert second == read_settings(path)


def test_writing_keeps_comments_and_order(tmp_path: Path) -> None:
    """A person's own words in the file stay where they are."""
    path = written(
        tmp_path, "# mine\nreduced_motion = true # slow eyes\n\n[sound]\nvolume = 0.5\n"
    )
    write_settings(path, Settings(reduced_motion=True, theme="day"))

    text = path.read_text(encoding="utf-8")
    assert text.startswith("# mine\nreduced_motion = true # slow eyes\n")
    assert "day" == read_settings(path).theme


@pytest.mark.skipif(sys.platform == "win32", reason="modes are POSIX's")
def test_a_settings_file_is_its_owners_alone(tmp_path: Path) -> None:
    """The file is 0600, its folder 0700, and nothing else is left beside it."""
    path = tmp_path / "new" / "settings.toml"
    write_settings(path, Settings())

    assert 0o600 == stat.S_IMODE(path.stat().st_mode)
    assert 0o700 == stat.S_IMODE(path.parent.stat().st_mode)
    assert [path] == list(path.parent.iterdir())


def test_a_broken_file_is_not_written_over(tmp_path: Path) -> None:
    """A file that can't be read is left for its owner to mend."""
    path = written(tmp_path, "theme = \n")
    with pytest.raises(ConfigError, match="is no TOML"):
        write_settings(path, Settings())

    assert "theme = \n" == path.read_text(encoding="utf-8")


def test_a_folder_that_cannot_be_made_is_one_sentence(tmp_path: Path) -> None:
    """A file where the folder should be: refused, and nothing is left behind."""
    (tmp_path / "file").write_text("")
    with pytest.raises(ConfigError, match="can't be read: not a directory"):
        write_settings(tmp_path / "file" / "settings.toml", Settings())
    with pytest.raises(ConfigError, match="can't be written"):
        write_atomically(tmp_path / "file" / "deeper" / "plan.toml", "x")
