"""``trainer data``: where it is, whether it is well, out and in again."""

from __future__ import annotations

import json
import os
import sqlite3
import stat
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.conftest import Cli
from tests.references import in_one_worker, pandas

SESSION_KEYS = {"uid", "started_at", "zone", "holds"}
HOLD_KEYS = {
    "uid",
    "exercise",
    "set",
    "target_s",
    "held_s",
    "kept_s",
    "ended_by",
    "stopped_by",
    "confirmed",
    "rpe",
    "pain",
    "felt",
    "note",
}


def other(cli: Cli, name: str) -> Cli:
    return Cli(cli.db.with_name(name), cli.capsys, cli.clock)


def test_the_path_is_said_without_touching_the_file(cli: Cli) -> None:
    """``data path`` makes nothing, and needs no readable file."""
    cli.db.unlink()

    assert f"{cli.db}\n" == cli.ok("data", "path").out
    assert not cli.db.exists()


def test_option_before_and_after_wins_over_the_environment(
    cli: Cli, tmp_path: Path
) -> None:
    """``--db`` may stand before or after the command; TRAINER_DB comes next."""
    one, two = str(tmp_path / "one.db"), str(tmp_path / "two.db")

    assert f"{one}\n" == cli.ok("--db", one, "data", "path").out
    assert f"{one}\n" == cli.ok("data", "path", "--db", one).out
    assert f"{two}\n" == cli.ok("--db", one, "data", "path", "--db", two).out
    cli.ok("add", "hang", "--held", "3", "--db", one)
    cli.ok("rest-week", "2026-W14", "--db", two)
    assert [1, 0] == [
        len(cli.ok("data", "export", "--db", path).json["sessions"])
        for path in (one, two)
    ]


@pytest.mark.parametrize("empty", ["", " "])
def test_an_empty_name_is_refused(cli: Cli, empty: str) -> None:
    """A variable of a script that is unset must not lead to the person's own file."""
    for arguments in (("--db", empty, "data", "path"), ("undo", "--db", empty)):
        answer = cli(*arguments)

        assert (2, "", 1) == (answer.code, answer.out, answer.err.count("\n"))
        assert "--db names no file" in answer.err


def test_without_either_the_platforms_folder_is_used(cli: Cli, tmp_path: Path) -> None:
    """The XDG folder, where one is named; an empty TRAINER_DB counts as unset."""
    answer = cli(
        "data", "path", environ={"TRAINER_DB": "", "XDG_DATA_HOME": str(tmp_path)}
    )

    assert f"{tmp_path / 'overhead-hold-trainer' / 'trainer.db'}\n" == answer.out


def test_the_export_has_the_agreed_keys(cli: Cli) -> None:
    """Format, version, sessions with their holds, checks, rest weeks and the plan."""
    cli.ok("add", "hang", "--held", "30", "--felt", "lats", "--target", "30")
    document = cli.ok("data", "export", "--json").json

    assert {"format", "version", "sessions", "angle_checks", "rest_weeks", "plan"} <= (
        set(document)
    )
    (session,) = document["sessions"]
    assert set(session) >= SESSION_KEYS
    assert set(session["holds"][0]) >= HOLD_KEYS
    assert {"site", "side", "moment", "strength"} <= set(session["holds"][0]["felt"][0])


def test_two_machines_become_one_and_twice_is_once(cli: Cli, tmp_path: Path) -> None:
    """An import adds what isn't there, and a second one changes nothing."""
    second = other(cli, "second.db")
    cli.ok("add", "hang", "--held", "30")
    second.ok("add", "press-pike", "--held", "20")
    file = tmp_path / "export.json"
    second.ok("data", "export", str(file))
    dry = cli("data", "import", str(file), "--dry-run")

    assert dry.out.startswith("Would be imported: ")
    assert "nothing in common with this file" in dry.err
    assert 1 == len(cli.ok("data", "export").json["sessions"])
    assert 2 == cli("data", "import", str(file)).code
    assert 1 == len(cli.ok("data", "export").json["sessions"])
    cli.ok("data", "import", str(file), "--yes")
    once = cli.ok("data", "export").json
    again = cli.ok("data", "import", str(file))
    assert ["hang", "press-pike"] == sorted(
        hold["exercise"] for session in once["sessions"] for hold in session["holds"]
    )
    assert again.out.startswith("Imported: 0 added, 0 updated, ")
    assert once == cli.ok("data", "export").json


def exported(cli: Cli, file: Path) -> str:
    cli.ok("data", "export", str(file), "--yes")
    return str(file)


def test_a_name_is_set_said_and_cleared(cli: Cli) -> None:
    """The file keeps whose it is; no file needs a name, and an empty one is refused."""
    cli.ok("add", "hang", "--held", "30")

    assert "No name is set. Set one: trainer data name NAME\n" == (
        cli.ok("data", "name").out
    )
    assert {"name": None} == cli.ok("data", "name", "--json").json
    assert 2 == cli("data", "name", " ").code
    assert 2 == cli("data", "name", "x" * 61).code
    cli.ok("data", "name", "Mira [b]\x1b[31m (made up)")
    assert "Mira [b][31m (made up)\n" == cli.ok("data", "name").out
    assert "Mira [b][31m (made up)" == cli.ok("data", "export").json["name"]
    cli.ok("data", "name", "--clear")
    assert {"name": None} == cli.ok("data", "name", "--json").json
    assert "name" not in cli.ok("data", "export").json


def test_a_name_travels_with_the_export_and_so_does_its_clearing(
    cli: Cli, tmp_path: Path
) -> None:
    """A second machine of the same person learns the name, and that it was cleared."""
    second = other(cli, "second.db")
    cli.ok("add", "hang", "--held", "30")
    cli.ok("data", "name", "Mira")
    second.ok("data", "import", exported(cli, tmp_path / "a.json"))
    assert "Mira\n" == second.ok("data", "name").out

    cli.clock.advance(60)
    second.ok("data", "name", "--clear")
    cli.ok("data", "import", exported(second, tmp_path / "b.json"))
    assert {"name": None} == cli.ok("data", "name", "--json").json


def test_another_persons_document_is_asked_about(
    cli: Cli, tmp_path: Path, answers: Callable[[str], None]
) -> None:
    """By another name, whatever the ids; no takes nothing, and leaves the target."""
    second = other(cli, "second.db")
    cli.ok("add", "hang", "--held", "30")
    cli.ok("data", "name", "Mira")
    second.ok("data", "import", exported(cli, tmp_path / "a.json"))
    cli.clock.advance(60)
    second.ok("data", "name", "Jon")
    second.ok("plan", "set", "hang-supported", "--target", "55")
    file = exported(second, tmp_path / "b.json")
    before = cli.ok("data", "export").json

    refused = cli("data", "import", file)
    assert (2, "") == (refused.code, refused.out)
    assert "Jon's, this file is Mira's; nothing was imported" in refused.err
    answers("n\n")
    assert "Left as it is.\n" == cli("data", "import", file).out
    assert before == cli.ok("data", "export").json
    answers("y\n")
    assert "Imported: " in cli("data", "import", file).out


def test_a_new_file_takes_any_document_unasked(cli: Cli, tmp_path: Path) -> None:
    """Moving to another machine isn't slowed by a question: nothing is there yet."""
    second = other(cli, "second.db")
    cli.ok("add", "hang", "--held", "30")

    second.ok("data", "import", exported(cli, tmp_path / "a.json"))
    assert 1 == len(second.ok("data", "export").json["sessions"])


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("{", "line 1: no JSON"),
        ("[]", "can't be imported"),
        ('{"format": "other"}', "can't be imported"),
        ("[" * 100_000, "nests more than 32 deep"),
        ('{"a": NaN}', "no JSON that we read"),
        (b"\xff\xfe", "is no UTF-8 text"),
        (None, "can't be read: no such file"),
    ],
)
def test_a_bad_document_is_one_sentence_and_changes_nothing(
    cli: Cli, tmp_path: Path, text: str | bytes | None, sentence: str
) -> None:
    """What can't be believed is refused whole."""
    file = tmp_path / "import.json"
    if text is not None:
        file.write_bytes(text if isinstance(text, bytes) else text.encode())
    answer = cli("data", "import", str(file))

    assert (2, "", 1) == (answer.code, answer.out, answer.err.count("\n"))
    assert sentence in answer.err
    assert [] == cli.ok("data", "export").json["sessions"]


def test_a_copy_brings_back_what_was_there(cli: Cli, tmp_path: Path) -> None:
    """Backup, another hold, restore: the hold is gone, and can be had back again."""
    cli.ok("add", "hang", "--held", "30")
    copy = tmp_path / "copy.db"
    cli.ok("data", "backup", str(copy))
    cli.ok("add", "hang", "--held", "31")
    unasked = cli("data", "restore", str(copy))
    restored = cli.ok("data", "restore", str(copy), "--yes")

    assert 2 == unasked.code
    assert "Nothing was restored" in unasked.err
    assert "What was there is kept: " in restored.out
    held = [h["held_s"] for h in cli.ok("data", "export").json["sessions"][0]["holds"]]
    assert [30.0] == held
    assert 2 == cli("data", "backup", str(copy)).code


def test_copies_are_listed_and_found_by_name(cli: Cli) -> None:
    """Without a file the copies are listed; one of their names is enough to restore."""
    cli.ok("add", "hang", "--held", "30")
    cli.ok("data", "backup")
    listed = cli.ok("data", "restore", "--json").json
    asked = next(copy for copy in listed if copy["kind"] == "asked")

    assert asked["name"] in cli.ok("data", "restore").out
    assert 0 == cli("data", "restore", asked["name"], "--yes").code


@pytest.mark.parametrize("more", [[], ["--yes"]])
def test_a_copy_that_isnt_there_is_said_to_be_missing(
    cli: Cli, more: list[str]
) -> None:
    """Before anybody is asked anything: no such file, and how to list the copies."""
    cli.ok("add", "hang", "--held", "30")
    missing = cli("data", "restore", "nosuch", *more)

    assert (2, "") == (missing.code, missing.out)
    assert "There is no such file and no copy of that name: nosuch." in missing.err
    assert "trainer data restore" in missing.err


def test_a_well_file_is_said_to_be_well(cli: Cli) -> None:
    """``data check`` says so, exit 0."""
    cli.ok("add", "hang", "--held", "30")

    assert f"{cli.db} is well.\n" == cli.ok("data", "check").out


def test_what_is_wrong_with_a_file_comes_as_json(cli: Cli) -> None:
    """One document, well or not; the exit code says which."""
    cli.ok("add", "hang", "--held", "30")
    well = cli.ok("data", "check", "--json").json
    with sqlite3.connect(cli.db) as db:
        db.execute("UPDATE sessions SET ended_at = '2026-03-01T17:00:00.000000Z'")
    db.close()
    ill = cli("data", "check", "--json")

    assert {"path": str(cli.db), "faults": []} == well
    assert 3 == ill.code
    assert ["ends before it starts" in fault for fault in ill.json["faults"]] == [True]


def damaged_in(path: Path, text: bytes, offset: int) -> bytes:
    """Set the high bit of a byte of the schema, which no text of ours has."""
    content = bytearray(path.read_bytes())
    content[content.find(text) + offset] |= 0x80
    path.write_bytes(content)
    return bytes(content)


@pytest.mark.parametrize(
    "command",
    ["next", "plan show", "add hang --held 3", "undo", "data check", "data backup"],
)
def test_damage_that_sqlite_quotes_is_said_as_any_other(cli: Cli, command: str) -> None:
    """What is quoted is no text, and the sentence is one: damaged, left as it is, and
    the copy to go back to."""
    cli.ok("add", "hang", "--held", "30")
    cli.ok("data", "backup")
    content = damaged_in(cli.db, b"CREATE VIEW", 1)
    answer = cli(*command.split())

    assert 3 == answer.code
    assert "is damaged" in answer.err
    assert "The last good copy has 1 hold" in answer.err
    assert content == cli.db.read_bytes()


def test_from_damage_that_sqlite_quotes_one_goes_back_to_a_copy(cli: Cli) -> None:
    """The damaged file is kept beside it."""
    cli.ok("add", "hang", "--held", "30")
    cli.ok("data", "backup")
    content = damaged_in(cli.db, b"CREATE VIEW", 1)
    (copy,) = cli.db.with_name(f"{cli.db.name}-backups").glob("asked*")
    cli.ok("data", "restore", str(copy), "--yes")

    (kept,) = copy.parent.glob("damaged-*.db")
    assert content == kept.read_bytes()
    assert 1 == len(cli.ok("log", "list", "--json").json)


def test_a_file_that_was_said_to_be_damaged_is_not_called_well(cli: Cli) -> None:
    """A column's name that is damaged shows on opening to write, and on no other."""
    cli.ok("add", "hang", "--held", "30")
    damaged_in(cli.db, b"CREATE TABLE angle_corrections (\n    uid", 38)
    said = cli("data", "check")
    answer = cli("data", "check", "--json")

    assert (3, "") == (said.code, said.out)
    assert "is damaged" in said.err
    assert 3 == answer.code
    assert ["is damaged" in fault for fault in answer.json["faults"]] == [True]


COMMANDS = (["next"], ["plan", "show"], ["add", "hang", "--held", "3"], ["undo"])


@pytest.mark.parametrize("arguments", COMMANDS)
def test_what_is_no_data_file_is_refused_and_left_as_it_is(
    cli: Cli, arguments: list[str]
) -> None:
    """Another file in its place: one sentence, exit 3, not a byte changed."""
    before = b"this is no database\n" * 300
    cli.db.write_bytes(before)
    answer = cli(*arguments)

    assert (3, "", 1) == (answer.code, answer.out, answer.err.count("\n"))
    assert str(cli.db) in answer.err
    assert before == cli.db.read_bytes()


def test_a_newer_file_is_refused_and_left_as_it_is(cli: Cli) -> None:
    """A file made by a later version is never written to."""
    cli.ok("add", "hang", "--held", "30")
    with sqlite3.connect(cli.db) as db:
        db.execute(
            "INSERT INTO _sqlite_migrations (migration_set, name, applied_at)"
            " SELECT migration_set, 'm999_from_the_future', applied_at"
            " FROM _sqlite_migrations LIMIT 1"
        )
    db.close()
    answer = cli("add", "hang", "--held", "31")

    assert (3, "", 1) == (answer.code, answer.out, answer.err.count("\n"))
    assert "newer" in answer.err


def test_a_folder_in_the_files_place_is_one_sentence(cli: Cli) -> None:
    """A folder where the file should be: exit 3."""
    cli.db.unlink()
    cli.db.mkdir()
    answer = cli("next")

    assert (3, "", 1) == (answer.code, answer.out, answer.err.count("\n"))


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="there are no pipes with names")
def test_a_pipe_in_the_files_place_is_refused_and_not_waited_for(cli: Cli) -> None:
    """What is no file is neither read, nor written, nor given another mode."""
    cli.db.unlink()
    os.mkfifo(cli.db, 0o644)
    os.chmod(cli.db, 0o644)
    answer = cli("next")

    assert (3, "", 1) == (answer.code, answer.out, answer.err.count("\n"))
    assert 0o644 == stat.S_IMODE(cli.db.stat().st_mode)


def test_what_is_no_file_is_never_written_over(cli: Cli, tmp_path: Path) -> None:
    """A folder or a device in the place of an export or a copy: exit 2."""
    for arguments in (("data", "export"), ("data", "backup")):
        for place in (str(tmp_path), os.devnull):
            answer = cli(*arguments, place, "--yes")

            assert (2, "", 1) == (answer.code, answer.out, answer.err.count("\n"))
            assert "is no file" in answer.err


def test_a_place_that_cannot_hold_a_folder_is_one_sentence(cli: Cli) -> None:
    """A file where a folder should be made: exit 3, also for root."""
    cli.db.write_text("")
    inside = str(cli.db / "deeper" / "trainer.db")
    answer = cli("add", "hang", "--held", "30", "--db", inside)

    assert (3, "", 1) == (answer.code, answer.out, answer.err.count("\n"))


@pytest.mark.skipif(sys.platform == "win32", reason="modes are POSIX's")
def test_the_file_and_the_export_are_their_owners_alone(
    cli: Cli, tmp_path: Path
) -> None:
    """A body's log is nobody else's: 0600."""
    cli.ok("add", "hang", "--held", "30")
    file = tmp_path / "export.json"
    cli.ok("data", "export", str(file))

    assert [0o600, 0o600] == [
        stat.S_IMODE(path.stat().st_mode) for path in (cli.db, file)
    ]
    assert json.loads(file.read_text("utf-8"))["sessions"]


def test_tables_go_into_a_folder(cli: Cli, tmp_path: Path) -> None:
    """``--csv`` writes one file per table and names each."""
    cli.ok("add", "hang", "--held", "30", "--note", "=1+1")
    written = cli.ok("data", "export", "--csv", str(tmp_path / "tables")).err

    files = [Path(line.removeprefix("Written: ")) for line in written.splitlines()]
    assert "holds.csv" in {file.name for file in files}
    holds = (tmp_path / "tables" / "holds.csv").read_text("utf-8")
    assert ",'=1+1" in holds.replace('"', "")


def test_tables_that_are_there_are_not_replaced_unasked(
    cli: Cli, tmp_path: Path
) -> None:
    """Somebody's own tables in the folder stay; ``--yes`` writes over ours."""
    cli.ok("add", "hang", "--held", "30")
    folder = tmp_path / "tables"
    folder.mkdir()
    (folder / "holds.csv").write_text("mine")

    answer = cli("data", "export", "--csv", str(folder))
    assert (2, "mine") == (answer.code, (folder / "holds.csv").read_text())
    assert "has holds.csv in it already" in answer.err
    cli.ok("data", "export", "--csv", str(folder), "--yes")
    assert "mine" != (folder / "holds.csv").read_text()


@in_one_worker
def test_another_library_reads_the_tables_as_they_were_meant(
    cli: Cli, tmp_path: Path
) -> None:
    """pandas finds the columns, figures and texts, and no column that isn't ours."""
    cli.ok("add", "hang", "--held", "30.5", "--rpe", "7.5", "--note", 'ribs, "down"')
    cli.ok("add", "press-pike", "--held", "20", "--felt", "lats:left@exhale=6")
    cli.ok("data", "export", "--csv", str(tmp_path))
    holds = pandas.read_csv(tmp_path / "holds.csv").set_index("exercise")
    felt = pandas.read_csv(tmp_path / "hold_felt.csv")

    assert (30.5, 7.5, 'ribs, "down"') == tuple(
        holds.loc["hang", ["held_s", "rpe", "note"]]
    )
    assert holds.loc["press-pike", ["rpe", "note"]].isna().all()
    assert [("lats", "left", "exhale", 6.0)] == list(
        felt[["site", "side", "moment", "strength"]].itertuples(index=False, name=None)
    )
    assert [holds.loc["press-pike", "uid"]] == list(felt["hold_uid"])


def test_an_output_is_not_written_through_a_link(cli: Cli, tmp_path: Path) -> None:
    """A link that leads nowhere would make a file where nobody named one; replaced
    when asked to, it is the link that goes, not what it leads to."""
    cli.ok("add", "hang", "--held", "3")
    elsewhere, link = tmp_path / "elsewhere.json", tmp_path / "out.json"
    link.symlink_to(elsewhere)

    answer = cli("data", "export", str(link))
    assert (2, True) == (answer.code, "a link" in answer.err)
    cli.ok("data", "export", str(link), "--yes")

    assert not elsewhere.exists()
    assert not link.is_symlink()


@pytest.mark.parametrize(
    "arguments",
    [
        ("next",),
        ("add", "hang", "--held", "3"),
        ("data", "backup"),
        ("data", "export"),
        ("data", "check"),
        ("data", "restore"),
        ("review", "--json"),
    ],
)
def test_a_name_that_no_file_can_have_is_a_sentence(
    cli: Cli, tmp_path: Path, arguments: tuple[str, ...]
) -> None:
    """Longer than the file system takes: said in a line, with no fault of ours."""
    answer = cli("--db", str(tmp_path / ("n" * 256)), *arguments)

    assert "our fault" not in answer.err
    if arguments != ("data", "restore"):  # a list of none
        assert answer.code in (2, 3)
        assert 1 == answer.err.count("\n")


@pytest.mark.parametrize("left", [1, 99, 100, 4096, 8192, -1])
def test_a_file_that_was_cut_off_is_a_sentence_for_every_command(
    cli: Cli, left: int
) -> None:
    """Whatever is left of it: exit 3, no fault of ours, and not written to."""
    cli.ok("add", "hang", "--held", "30")
    cut = cli.db.read_bytes()[:left]
    for line in (
        ("next",),
        ("review",),
        ("log", "list"),
        ("plan", "show"),
        ("data", "export"),
        ("data", "check"),
        ("add", "hang", "--held", "20"),
    ):
        cli.db.write_bytes(cut)
        answer = cli(*line)

        assert (3, line) == (answer.code, line), answer.err
        assert answer.err.startswith("trainer: ")
        assert "our fault" not in answer.err
        assert cut == cli.db.read_bytes()
