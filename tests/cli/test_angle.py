"""``trainer angle``: noted, listed, corrected, compared."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import Cli
from tests.photo.stick import saved
from trainer.core.angle.landmarks import Landmarks

POINTS = (
    "--elbow", "812,310", "--shoulder", "760,640", "--hip", "740,1180", "--facing",
    "right",
)  # fmt: skip


def _points(marked: Landmarks) -> list[str]:
    """Return landmarks as options."""
    words = ["--facing", marked.facing.value]
    for name, at in marked.points().items():
        words += [f"--{name}", f"{at.x:.3f},{at.y:.3f}"]
    return words


def _listed(cli: Cli) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = cli.ok("angle", "list", "--json").json
    return found


class TestAdd:
    def test_notes_a_figure_that_was_read_off(self, cli: Cli) -> None:
        """With the words of the contract, and null where nothing was marked."""
        answer = cli.ok(
            "angle", "add", "--degrees", "168", "--method", "goniometer", "--reach",
            "guarded", "--when", "before", "--side", "left", "--note", "[/] first",
        )  # fmt: skip
        (one,) = _listed(cli)

        assert answer.out.startswith("Logged: overhead angle 168.0° (reach, guarded,")
        assert "Note: [/] first" in answer.out
        assert "168° on 2 March 2026: the first check." in answer.out
        assert {
            "number": 1,
            "day": "2026-03-02",
            "pose": "reach",
            "exercise": None,
            "side": "left",
            "reach": "guarded",
            "blades": None,
            "when": "before",
            "method": "goniometer",
            "arm_point": None,
            "overhead_deg": 168.0,
            "lean_deg": None,
            "flare": None,
            "lift": None,
            "ear": None,
            "uncertainty_deg": None,
        } == {key: value for key, value in one.items() if key != "uid"}

    def test_measures_points_that_were_given(self, cli: Cli) -> None:
        """Source: the angle by hand, 180° − atan(52/330) + atan(20/540)."""
        cli.ok("angle", "add", *POINTS, "--rib", "810,930", "--ear", "hidden")
        (one,) = _listed(cli)

        assert pytest.approx(180 - 8.955 + 2.121, abs=0.01) == one["overhead_deg"]
        assert pytest.approx(2.12, abs=0.01) == one["lean_deg"]
        assert ("elbow", "hidden", "photo") == (
            one["arm_point"],
            one["ear"],
            one["method"],
        )
        assert one["flare"] > 0
        assert one["uncertainty_deg"] > 0

    def test_what_can_t_be_kept_is_said_to_be_given_again(self, cli: Cli) -> None:
        """Nobody marks a photo twice because the data file took nothing."""
        with closing(sqlite3.connect(cli.db)) as file, file:
            file.execute(
                "CREATE TRIGGER full BEFORE INSERT ON angle_checks"
                " BEGIN SELECT RAISE(ABORT, 'full'); END"
            )
        answer = cli("angle", "add", *POINTS, "--ear", "hidden")
        with closing(sqlite3.connect(cli.db)) as file, file:
            file.execute("DROP TRIGGER full")
        again = answer.err.partition("trainer angle add ")[2].partition("\n")[0]
        cli.ok("angle", "add", *again.split())
        cli.ok("angle", "add", *POINTS, "--ear", "hidden")
        first, second = _listed(cli)

        assert 3 == answer.code
        assert {**first, "number": 0, "uid": ""} == {**second, "number": 0, "uid": ""}

    def test_knows_the_photo_that_points_are_of(self, cli: Cli, tmp_path: Path) -> None:
        """Its name and hash are kept, and points outside it refused."""
        path, truth = saved(tmp_path, (800, 600), 171.0)
        cli.ok("angle", "add", str(path), *_points(truth))
        (check,) = cli.ok("data", "export").json["angle_checks"]
        outside = cli("angle", "add", str(path), *POINTS)

        assert "reach.png" == check["photo"]["name"]
        assert str(tmp_path) not in cli.ok("data", "export").out
        assert pytest.approx(171, abs=0.01) == _listed(cli)[0]["overhead_deg"]
        assert 2 == outside.code
        assert "lies outside the photo of 800 × 600 pixels" in outside.err

    @pytest.mark.parametrize(
        ("arguments", "sentence"),
        [
            ([], "There is nothing to measure. Give a photo, or its points"),
            (["--degrees", "170"], "--method is missing"),
            (["--degrees", "400", "--method", "eye"], "400° is no overhead angle"),
            (["--degrees", "nan", "--method", "eye"], "--degrees: "),
            (["--degrees", "170", "--method", "eye", "--hip", "1,1"], "stands alone"),
            (["--method", "eye", *POINTS], "--method eye needs --degrees"),
            (["--elbow", "1", *POINTS[2:]], "--elbow: '1' is no point"),
            (["--elbow", "nan,1", *POINTS[2:]], "--elbow: 'nan,1' is no point"),
            (POINTS[:-2], "--facing is missing"),
            (POINTS[:2], "--shoulder is missing"),
            ([*POINTS, "--hip", "760,640"], "Shoulder and hip coincide. Mark them"),
            ([*POINTS, "--elbow", "750,900"], "The arm lies over the trunk. Mark"),
            ([*POINTS, "--elbow", "300,640"], "behind the trunk's line"),
            ([*POINTS, "--exercise", "hagn"], "There is no exercise 'hagn'. Did you"),
            ([*POINTS, "--exercise", "hang", "--reach", "free"], "belongs to a reach"),
            (
                [*POINTS, "--exercise", "press-wall", "--blades", "sunk"],
                "Never sink upside down. Compare sunk and pressed in the push-up",
            ),
            ([*POINTS, "--side", "both"], "A side view shows one arm"),
            ([*POINTS, "--on", "2026-03-03"], "2026-03-03 is in the future"),
        ],
    )
    def test_says_what_is_wrong_in_a_sentence(
        self, cli: Cli, arguments: list[str], sentence: str
    ) -> None:
        """Exit 2, nothing noted."""
        answer = cli("angle", "add", *arguments)

        assert 2 == answer.code
        assert sentence in answer.err
        assert 1 == answer.err.count("\n")
        assert [] == _listed(cli)

    def test_a_photo_needs_a_terminal_to_be_marked_on(
        self, cli: Cli, tmp_path: Path
    ) -> None:
        """What is no photo is said first."""
        path, _ = saved(tmp_path, (800, 600), 171.0)
        (tmp_path / "clip.mov").write_bytes(b"\x00\x00\x00\x18ftypqt  " + bytes(40))

        assert (
            "Give the points as options instead" in cli("angle", "add", str(path)).err
        )
        assert (
            "clip.mov is a video" in cli("angle", "add", str(tmp_path / "clip.mov")).err
        )

    def test_waits_while_a_shoulder_hurts(self, cli: Cli) -> None:
        """Not for a wrist, not for a check of an earlier day, not against a word."""
        by_hand = ("angle", "add", "--degrees", "168", "--method", "eye")
        cli("add", "hang", "--held", "9", "--pain", "wrist")
        cli.ok(*by_hand)
        cli("add", "hang", "--held", "9", "--pain", "front-shoulder")
        refused = cli(*by_hand)

        assert (2, True) == (
            refused.code,
            "check with open pain" in refused.err,
        )
        cli.ok(*by_hand, "--on", "2026-03-01")
        cli.ok(*by_hand, "--anyway")


class TestList:
    def test_an_empty_log_is_an_empty_list(self, cli: Cli) -> None:
        """And for people a way to begin."""
        assert [] == _listed(cli)
        assert "No angle check yet" in cli.ok("angle", "list").out

    def test_is_newest_first_and_says_what_it_shows(self, cli: Cli) -> None:
        """Two series, each told by itself."""
        for degrees in ("150", "158"):
            cli.ok(
                "angle", "add", "--degrees", degrees, "--method", "inclinometer",
                "--reach", "guarded",
            )  # fmt: skip
            cli.day(28)
        cli.ok("angle", "add", "--degrees", "170", "--method", "eye")
        numbers = [one["number"] for one in _listed(cli)]
        out = cli.ok("angle", "list").out

        assert [3, 2, 1] == numbers
        assert (
            "Reach, guarded, inclinometer: 150° on 2 March 2026, 158° on 30 March 2026:"
            " no change that can be told from noise; it would take 9.5° (published for"
            " this method: Kolber 2011)."
        ) in out
        assert "Four weeks rarely show a change" in out


class TestCorrect:
    def test_changes_what_was_given_and_undo_takes_it_back(self, cli: Cli) -> None:
        """One point alone moves; the position and the note may change too."""
        cli.ok("angle", "add", *POINTS, "--reach", "free")
        cli.clock.advance(60)
        before = _listed(cli)
        cli.ok(
            "angle", "correct", "1", "--elbow", "760,310", "--reach", "guarded",
            "--ear", "hidden", "--note", "moved", "--on", "2026-03-01",
        )  # fmt: skip
        (one,) = _listed(cli)

        assert pytest.approx(182.12, abs=0.01) == one["overhead_deg"]
        assert ("guarded", "hidden", "2026-03-01") == (
            one["reach"],
            one["ear"],
            one["day"],
        )
        assert "Nothing to correct" in cli.ok("angle", "correct", "1").out
        cli.clock.advance(60)
        undone = cli("undo", "--yes")
        assert "the correction of the angle check of 1 March 2026" in undone.out
        assert before == _listed(cli)

    @pytest.mark.parametrize(
        ("arguments", "sentence"),
        [
            (["7"], "There is no angle check 7. trainer angle list shows them all"),
            (["1", "--degrees", "150"], "This check has landmarks"),
            (["1", "--hip", "760,640"], "Shoulder and hip coincide"),
            (["1", "--exercise", "hang", "--reach", "free"], "belongs to a reach"),
        ],
    )
    def test_says_what_is_wrong_and_changes_nothing(
        self, cli: Cli, arguments: list[str], sentence: str
    ) -> None:
        """Exit 2."""
        cli.ok("angle", "add", *POINTS)
        before = _listed(cli)
        answer = cli("angle", "correct", *arguments)

        assert 2 == answer.code
        assert sentence in answer.err
        assert before == _listed(cli)

    def test_a_figure_may_be_corrected(self, cli: Cli) -> None:
        """One that was read off has no landmarks to follow from."""
        cli.ok("angle", "add", "--degrees", "150", "--method", "eye")
        cli.ok("angle", "correct", "1", "--degrees", "155", "--exercise", "hang")
        (one,) = _listed(cli)

        assert (155.0, "hang", "hang") == (
            one["overhead_deg"],
            one["pose"],
            one["exercise"],
        )


class TestCompare:
    def test_puts_trunk_on_trunk_and_the_figures_beside(
        self, cli: Cli, tmp_path: Path
    ) -> None:
        """By number, by the photo itself, or first and newest without either."""
        paths = []
        for angle, name in ((152.0, "then.png"), (171.0, "now.png")):
            path, truth = saved(tmp_path, (800, 600), angle, name)
            cli.ok("angle", "add", str(path), *_points(truth), "--reach", "guarded")
            paths.append(str(path))
            cli.day(28)
        by_number = cli.ok("angle", "compare", "1", "2").out

        assert by_number == cli.ok("angle", "compare", *paths).out
        assert by_number == cli.ok("angle", "compare").out
        assert by_number == cli.ok("angle", "compare", "1").out
        assert "Then  2 March 2026: reach, guarded, photo, to the elbow" in by_number
        assert "152°    171°    +19°" in by_number
        assert "Not to be told from noise, which is 30°" in by_number
        assert " then" in by_number
        assert " now" in by_number

    def test_two_series_are_drawn_and_not_judged(self, cli: Cli) -> None:
        """Guarded against free is no change of the shoulder."""
        cli.ok("angle", "add", *POINTS, "--reach", "guarded")
        cli.ok("angle", "add", *POINTS, "--reach", "free")
        answer = cli("angle", "compare", "1", "2")

        assert 0 == answer.code
        assert "different series" in answer.err
        assert "noise" not in answer.out

    @pytest.mark.parametrize(
        ("arguments", "code", "sentence"),
        [
            ([], 2, "no two checks of one series"),
            (["1"], 2, "newest check of its series"),
            (["1", "9"], 2, "There is no angle check 9"),
            (["1", "nowhere.jpg"], 2, "there is no photo nowhere.jpg"),
        ],
    )
    def test_says_what_is_missing(
        self, cli: Cli, arguments: list[str], code: int, sentence: str
    ) -> None:
        """In a sentence."""
        cli.ok("angle", "add", *POINTS)
        answer = cli("angle", "compare", *arguments)

        assert code == answer.code
        assert sentence in answer.err

    def test_a_photo_of_no_check_is_said_to_be_one(
        self, cli: Cli, tmp_path: Path
    ) -> None:
        """It is known by its hash alone."""
        path, _ = saved(tmp_path, (800, 600), 160.0)
        cli.ok("angle", "add", *POINTS)

        assert "reach.png is the photo of no check" in (
            cli("angle", "compare", "1", str(path)).err
        )


def test_the_page_of_how_to_is_one_command_away(cli: Cli) -> None:
    """Distance, height, both reaches, and when to stop."""
    out = cli.ok("angle", "how-to").out

    for said in ("three metres away", "Guarded:", "Free:", "Stop at pain"):
        assert said in out


class TestPhotosOnThePage:
    """``trainer review --html FILE --photos PHOTO``."""

    @pytest.fixture
    def photo(self, cli: Cli, tmp_path: Path) -> Path:
        """Return a photo that was marked."""
        path, truth = saved(tmp_path, (1600, 1200), 165.0)
        cli.ok("angle", "add", str(path), *_points(truth))
        return path

    def test_no_photo_is_there_unasked(self, cli: Cli, photo: Path) -> None:
        """Nor may the page load one."""
        page = cli.ok("review", "--html", "-").out

        assert photo.exists()
        assert "<img" not in page
        assert "img-src" not in page

    def test_one_that_is_asked_for_is_in_the_page_itself(
        self, cli: Cli, photo: Path
    ) -> None:
        """Nothing is fetched; a photo without a mask is said to have none."""
        bare = cli("review", "--html", "-", "--photos", str(photo))
        masked = cli.ok(
            "review", "--html", "-", "--photos", str(photo), "--mask", "700,300,60"
        ).out

        assert 1 == masked.count('<img src="data:image/jpeg;base64,')
        assert "img-src data:" in masked
        assert str(photo.parent) not in masked
        assert "No mask is on reach.png: a face in it can be seen." in bare.err
        assert bare.out != masked

    @pytest.mark.parametrize(
        ("options", "says"),
        [
            (("--photos", "{}"), "--photos goes with --html and one trainee"),
            (("--html", "-", "--photos", "no.jpg"), "there is no photo no.jpg"),
            (("--html", "-", "--mask", "1,2,3"), "There is no photo 1 for the mask"),
            (
                ("--html", "-", "--photos", "{}", "--mask", "2:1,2,3"),
                "There is no photo 2 for the mask",
            ),
            (
                ("--html", "-", "--photos", "{}", "--mask", "1,2"),
                "'1,2' is no mask",
            ),
            (
                ("--html", "-", "--photos", "{}", "--mask", "9000,2,3"),
                "lies outside reach.png",
            ),
        ],
    )
    def test_what_makes_no_sense_is_refused(
        self, cli: Cli, photo: Path, options: tuple[str, ...], says: str
    ) -> None:
        """With what would."""
        answer = cli("review", *(each.format(photo) for each in options))

        assert 2 == answer.code
        assert says in answer.err
        assert "" == answer.out
