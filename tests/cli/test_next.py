"""``trainer next``: the contract of its JSON, and what a person reads."""

from __future__ import annotations

import re
from typing import Any

from tests.cli.conftest import Cli

KEYS = [
    "exercise",
    "week",
    "change",
    "rule",
    "target_s",
    "current_s",
    "sets",
    "rest_s",
    "reasons",
    "would_change",
    "chance",
    "cautions",
]
"""The keys that other programs rely on, in order."""
CHANGES = {"start", "up", "same", "down", "move-on", "rest"}
RULES = {
    "rest-week",
    "head-up",
    "start",
    "pain",
    "away",
    "too-much",
    "hard",
    "move-on",
    "at-cap",
    "step",
    "plateau",
    "repeat",
}


def train(cli: Cli, exercise: str, held: float, *, rpe: float, sets: int = 3) -> None:
    for _ in range(sets):
        cli.ok(
            "add", exercise, "--held", str(held), "--target", str(held), "--rpe",
            str(rpe), "--felt", "lats=4",
        )  # fmt: skip
        cli.clock.advance(120)


def of(cli: Cli, exercise: str, *options: str) -> dict[str, Any]:
    found = cli.ok("next", "--json", *options).json
    return next(one for one in found if one["exercise"] == exercise)


def test_the_document_has_the_agreed_keys(cli: Cli) -> None:
    """One suggestion per exercise of the plan; keys, words and types as agreed."""
    train(cli, "hang-supported", 20, rpe=6)
    found = cli.ok("next", "--json").json

    assert ["hang-supported", "press-pushup"] == [one["exercise"] for one in found]
    for one in found:
        assert KEYS == list(one)[: len(KEYS)]
        assert one["change"] in CHANGES
        assert one["rule"] in RULES
        assert "2026-W11" == one["week"]
        assert one["reasons"]
        assert all(isinstance(text, str) for text in one["reasons"])
        assert one["chance"] is None or 0 <= one["chance"] <= 1


def test_two_clean_weeks_step_up_and_the_step_is_said_in_per_cent(cli: Cli) -> None:
    """Two running clean sessions with an easy RPE: 5 s more, which is 25 % on 20 s."""
    train(cli, "hang-supported", 20, rpe=5)
    cli.day(2)
    train(cli, "hang-supported", 20, rpe=5)
    one = of(cli, "hang-supported")

    assert ("up", "step", 25, 20) == (
        one["change"],
        one["rule"],
        one["target_s"],
        one["current_s"],
    )
    assert (
        "Supported hang, the week of 9 March: 3 × 25 s, rest 60 s (up 5 s, +25%)"
        == cli.ok("next").out.split("\n")[0]
    )


def test_a_rest_week_has_no_target_and_no_sets(cli: Cli) -> None:
    """On rest the target is null and the sets are 0; the target in force is kept."""
    train(cli, "hang-supported", 20, rpe=5)
    cli.ok("rest-week", "2026-W11")
    one = of(cli, "hang-supported")

    assert ("rest", "rest-week", None, 0) == (
        one["change"],
        one["rule"],
        one["target_s"],
        one["sets"],
    )
    assert "rest, 20 s is kept" in cli.ok("next").out


def test_another_week_can_be_asked_for(cli: Cli) -> None:
    """``--week`` names the week; one that doesn't exist is a usage fault."""
    assert "2026-W53" == of(cli, "press-pushup", "--week", "2026-W53")["week"]
    assert 2 == cli("next", "--week", "2025-W53").code


def test_asking_twice_gives_the_same(cli: Cli) -> None:
    """Asking changes nothing: neither the answer nor the targets."""
    train(cli, "hang-supported", 20, rpe=5)
    first = cli.ok("next", "--json").out

    assert first == cli.ok("next", "--json").out
    assert [] == cli.ok("data", "export").json["targets"]


def test_what_was_shown_is_kept_so_that_it_can_be_scored(cli: Cli) -> None:
    """Each suggestion shown is stored once, with its week and chance."""
    cli.ok("next")
    cli.ok("next")
    shown = cli.ok("data", "export").json["shown_suggestions"]

    assert ["hang-supported", "press-pushup"] == sorted(
        one["exercise"] for one in shown
    )


def test_people_read_the_reasons_the_otherwise_and_the_caution(cli: Cli) -> None:
    """Each part of a suggestion is a plain line, without markup or escapes."""
    train(cli, "hang-supported", 20, rpe=5)
    document = of(cli, "hang-supported")
    out = cli.ok("next").out

    for text in (*document["reasons"], *document["would_change"]):
        assert text in out
    assert "Caution: " in out
    assert f"Rule: {document['rule']}" in out
    assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f]", out)


def test_the_score_of_one_week_is_that_weeks_alone(cli: Cli) -> None:
    """Shown and trained this week: in this week's score, and not in the next one's."""
    made = ("add", "hang-supported", "--held", "20", "--target", "20")
    cli.ok(*made, "--on", "2026-03-01")
    cli.ok("plan", "set", "hang-supported", "--target", "20", "--sets", "1")
    cli.ok("next", "--week", "2026-W10")
    cli.day(1)
    cli.ok(*made)

    def count(*week: str) -> int:
        found: int = cli.ok("next", "--score", *week, "--json").json["count"]
        return found

    assert (1, 1, 0) == (
        count(),
        count("--week", "2026-W10"),
        count("--week", "2026-W11"),
    )
    assert (
        "for the week of 9 March" in cli.ok("next", "--score", "--week", "2026-W11").out
    )
