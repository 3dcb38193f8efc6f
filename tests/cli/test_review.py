"""``trainer review`` and ``trainer demo`` as they are called."""

from __future__ import annotations

import re
import shutil
import stat
from datetime import datetime, timezone
from pathlib import Path

import pytest

from tests.cli.conftest import Answer, Cli, ReadOnly
from trainer.core.clock import ManualClock
from trainer.demo.trainee import write_demo

NOTE = "trainer: note: Made up: this trainee doesn't exist.\n"


EVENING = datetime(2026, 11, 25, 18, tzinfo=timezone.utc)


@pytest.fixture(scope="module")
def made_up_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Make the made-up trainee's file once."""
    path = tmp_path_factory.mktemp("demo") / "made-up.db"
    write_demo(path, clock=ManualClock(start=EVENING))
    return path


@pytest.fixture
def demo(cli: Cli, made_up_file: Path) -> Cli:
    """Give a command line on a copy of the made-up trainee's file."""
    cli.clock = ManualClock(start=EVENING)
    shutil.copy(made_up_file, cli.db)
    return cli


def shown(demo: Cli, *arguments: str) -> Answer:
    """Run a command on the made-up file: it works, and says once whose file it is."""
    answer = demo(*arguments)
    assert (0, NOTE) == (answer.code, answer.err), arguments
    return answer


@pytest.mark.parametrize(
    "command",
    [
        "next",
        "next --score",
        "plan show",
        "plan set hang --sets 4",
        "add hang --held 30",
        "undo --yes",
        "rest-week 2026-W50",
        "data check",
        "data export",
        "data backup",
        "review",
    ],
)
def test_every_command_says_that_a_file_is_made_up(demo: Cli, command: str) -> None:
    """Once, on stderr, so that no program reads it as data; a person's says nothing."""
    shown(demo, *command.split())


class TestReview:
    def test_says_the_weeks_and_shows_the_pictures(self, demo: Cli) -> None:
        """The answers, then every page by name with a picture; made up is said."""
        out = shown(demo, "review", "--weeks", "20").out

        assert "Made up: this trainee doesn't exist." in out
        for title in ("DAYS AND WEEKS", "HANG: KEPT, AND RPE", "FELT", "PAIN"):
            assert f"\n{title}\n" in out
        assert out.index("Is it being done?") < out.index("DAYS AND WEEKS")
        assert "in a row" in out
        assert "target 45 s" in out
        assert "From the pecs to the ribs since September." in out

    def test_holds_no_escape_sequence(self, demo: Cli) -> None:
        """Piped, or with NO_COLOR, or on any terminal: plain text."""
        assert "\x1b" not in shown(demo, "review").out

    def test_a_file_keeps_its_letters_whatever_the_terminal(self, demo: Cli) -> None:
        """TERM speaks of a terminal; what goes into a file or a pipe is read elsewhere.

        What a terminal without the letters gets: ``test_output.py``.
        """
        answer = demo("review", environ={"TERM": "linux"})

        assert answer.code == 0
        assert "█" in answer.out

    def test_json_is_one_document(self, demo: Cli) -> None:
        """The keys carry their units, the trend its verdict, the file its mark."""
        found = shown(demo, "review", "--json", "--weeks", "20").json

        assert found["made_up"] is True
        assert 20 == len(found["weeks"])
        assert {"current_weeks", "longest_weeks", "sentence"} == set(found["streak"])
        hang = next(one for one in found["exercises"] if one["exercise"] == "hang")
        assert {"kept_s": 45, "date": "2026-11-23"} == hang["best"]
        assert "up" == hang["trend"]["verdict"]
        assert {"hang", "press"} == set(found["overhead_s"])
        assert {"week", "load", "sessions_with_rpe"} == set(found["load"][0])
        assert all("days_due" in week for week in found["weeks"])

    def test_json_begins_with_the_five_answers(self, demo: Cli) -> None:
        """Each with its sentence and figures, under the keys that are a contract."""
        given = shown(demo, "review", "--json").json["answers"]

        assert ["doing", "better", "felt", "hurts", "next"] == list(given)
        assert all(one["says"] for one in given.values())
        assert (28, 34) == (given["doing"]["days_done"], given["doing"]["days_due"])
        assert 1 == given["hurts"]["open"]

    def test_json_lists_every_pain(self, demo: Cli) -> None:
        """Day, exercise, set, site, side, kind, stopped, gone on: newest first."""
        pains = shown(demo, "review", "--json").json["pain"]

        assert ["2026-11-06", "2026-11-04"] == [one["day"] for one in pains]
        assert {
            "day": "2026-11-04",
            "exercise": "press-pike",
            "set": 1,
            "site": "wrist",
            "side": "left",
            "kind": "pain",
            "stopped": True,
            "gone_on": None,
        } == pains[-1]

    def test_json_keeps_what_was_felt_without_a_moment(self, cli: Cli) -> None:
        """A felt place whose moment nobody gave is in the document, with null."""
        cli.ok("add", "hang", "--held", "30", "--felt", "lats:left=6")
        (block,) = cli.ok("review", "--json").json["felt"]["blocks"]

        assert [("lats", None, 1, 0)] == [
            (mark["site"], mark["moment"], mark["left"], mark["right"])
            for mark in block["marks"]
        ]

    def test_short_is_the_five_answers_alone(self, demo: Cli) -> None:
        """Open pain first, then the other four; no picture."""
        out = shown(demo, "review", "--short").out

        assert out.index("! What hurts?") < out.index("Is it being done?")
        assert "What is next?" in out
        assert "DAYS" not in out
        assert len(out.splitlines()) <= 20

    @pytest.mark.parametrize("other", [("--json",), ("--html", "x.html")])
    def test_short_goes_with_no_other_form(
        self, cli: Cli, other: tuple[str, ...]
    ) -> None:
        """Two forms at once are refused, not guessed at."""
        assert cli("review", "--short", *other).code == 2

    def test_the_forecasts_say_when_the_caps_are_reached(self, demo: Cli) -> None:
        """In words and, in JSON, as ISO weeks: the median and the 80 % range."""
        told = shown(demo, "review", "--json").json["forecasts"]["exercises"]

        assert ["hang", "press-pike"] == sorted(one["exercise"] for one in told)
        for one in told:
            weeks = [one[key] for key in ("low_week", "median_week", "high_week")]
            known = [week for week in weeks if week is not None]
            assert known == sorted(known)
            assert all(re.fullmatch(r"\d{4}-W\d\d", week) for week in known)
        assert "80 %" in told[0]["sentence"]

    def test_an_empty_file_is_no_fault(self, cli: Cli) -> None:
        """Before the first hold there is a sentence, and exit code 0."""
        assert "No holds in these weeks." in cli.ok("review").out
        assert [] == cli.ok("review", "--json").json["exercises"]

    def test_html_is_written_for_its_owner_alone(
        self, demo: Cli, tmp_path: Path
    ) -> None:
        """The page lands in the file, readable by nobody else, and is said to be."""
        page = tmp_path / "page.html"
        answer = demo("review", "--html", str(page))

        assert (0, "") == (answer.code, answer.out)
        assert page.name in answer.err
        assert page.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
        assert 0o600 == stat.S_IMODE(page.stat().st_mode)

    def test_a_page_that_can_t_be_written_is_said(
        self, demo: Cli, tmp_path: Path
    ) -> None:
        """A place that is no place: one sentence, exit 2, no traceback."""
        (tmp_path / "file").write_text("")
        for bad in (tmp_path / "file" / "page.html", tmp_path):
            answer = demo("review", "--html", str(bad), "--yes")

            assert (2, "") == (answer.code, answer.out)
            assert str(bad) in answer.err
            assert "Traceback" not in answer.err

    def test_a_page_that_is_there_is_asked_for(self, demo: Cli, tmp_path: Path) -> None:
        """Nothing of the person's is replaced unasked, nor open to others before."""
        page = tmp_path / "page.html"
        page.write_text("mine")
        page.chmod(0o644)
        refused = demo("review", "--html", str(page))
        kept = page.read_text()
        replaced = demo("review", "--html", str(page), "--yes")

        assert (2, "mine") == (refused.code, kept)
        assert "Add --force" in refused.err
        assert 0 == replaced.code
        assert page.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
        assert 0o600 == stat.S_IMODE(page.stat().st_mode)

    def test_a_file_that_can_only_be_read_is_reviewed(
        self, read_only: ReadOnly
    ) -> None:
        """Looking back needs no writing; that it can't be written is said."""
        done = read_only("review")

        assert 0 == done.returncode
        assert "Review of " in done.stdout
        assert "open for reading only" in done.stderr

    @pytest.mark.parametrize("weeks", ["0", "-1", "x"])
    def test_a_senseless_number_of_weeks_is_refused(self, cli: Cli, weeks: str) -> None:
        """Usage: exit code 2."""
        assert cli("review", "--weeks", weeks).code == 2

    def test_json_and_html_don_t_go_together(self, cli: Cli) -> None:
        """Two forms at once are refused, not guessed at."""
        assert cli("review", "--json", "--html", "x.html").code == 2


class TestDemo:
    def test_goes_into_a_file_of_its_own(self, cli: Cli, tmp_path: Path) -> None:
        """Without --db the made-up file lies beside the person's data, not in it."""
        cli.ok("add", "hang", "--held", "30")
        before = cli.db.read_bytes()
        answer = cli("demo", "--no-open", environ={"XDG_DATA_HOME": str(tmp_path)})

        assert answer.code == 0
        assert "Made up" in answer.err
        assert [1] == [len(list(tmp_path.rglob("made-up.db")))]
        assert before == cli.db.read_bytes()

    def test_never_writes_over_a_person_s_file(self, cli: Cli) -> None:
        """A file that isn't made up is refused and left as it was."""
        cli.ok("add", "hang", "--held", "30")
        answer = cli("demo", "--no-open", "--db", str(cli.db))

        assert answer.code == 3
        assert "belongs to a person" in answer.err
        assert 1 == len(cli.ok("review", "--json").json["exercises"])

    def test_is_made_anew_each_time(self, demo: Cli) -> None:
        """A second run starts over, whatever was logged in between."""
        demo("add", "hang", "--held", "99")
        again = demo("demo", "--no-open", "--db", str(demo.db))

        assert again.code == 0
        assert "99 s" not in shown(demo, "review").out

    def test_without_a_terminal_it_says_how_to_look(self, cli: Cli) -> None:
        """No screen to open: the file is made, and the way to read it is said."""
        cli.db.unlink()
        answer = cli("demo", "--db", str(cli.db))

        assert answer.code == 0
        assert "trainer review" in answer.err
        assert cli.db.exists()


def test_the_page_may_go_to_stdout(
    cli: Cli, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """``--html -`` is another program's input, not a file of that name."""
    monkeypatch.chdir(tmp_path)
    cli.ok("add", "hang", "--held", "30")
    page = cli.ok("review", "--html", "-").out

    assert page.startswith("<!DOCTYPE html>")
    assert page.rstrip().endswith("</html>")
    assert not Path("-").exists()


@pytest.fixture
def two(cli: Cli, tmp_path: Path) -> tuple[str, str]:
    """Two made-up trainees: a named one's export, and a data file without a name."""
    assert 0 == cli("add", "hang", "--held", "30", "--pain", "elbow").code
    cli.ok("data", "name", "Mira <b>")
    export, other = tmp_path / "mira.json", tmp_path / "other.db"
    cli.ok("data", "export", str(export))
    cli.ok("add", "hang", "--held", "20", "--db", str(other))
    return str(export), str(other)


def test_several_trainees_stand_one_under_the_other(
    cli: Cli, two: tuple[str, str]
) -> None:
    """The five answers of each, by name or file; nothing is written or merged."""
    before = [Path(file).read_bytes() for file in (*two, str(cli.db))]
    text = cli.ok("review", *two).out
    found = cli.ok("review", *two, "--json").json

    assert text.index("Mira <b>: review of") < text.index(f"{two[1]}\nReview of")
    assert [("Mira <b>", two[0]), (None, two[1])] == [
        (one["name"], one["file"]) for one in found
    ]
    assert all(
        {"doing", "better", "felt", "hurts", "next"} == set(one["answers"])
        for one in found
    )
    assert before == [Path(file).read_bytes() for file in (*two, str(cli.db))]


def test_one_page_has_a_line_for_each_on_top(cli: Cli, two: tuple[str, str]) -> None:
    """Names are data; open pain is the line of whoever has it."""
    page = cli.ok("review", *two, "--html", "-").out
    top = page[page.index("At a glance") : page.index("</section>")]

    assert 2 == top.count("<dt>")
    assert "Mira &lt;b&gt;" in top
    assert "elbow" in top
    assert "Mira <b>" not in page
    assert 2 == page.count("What hurts?")


def test_one_file_is_reviewed_as_ones_own_would_be(
    cli: Cli, two: tuple[str, str]
) -> None:
    """A coach opens an export without taking it in."""
    assert cli.ok("review").out == cli.ok("review", two[0]).out
    assert 2 == cli("review", two[0] + ".none").code
