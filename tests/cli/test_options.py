"""What the options' texts mean, and that no text whatever gets past them."""

from __future__ import annotations

import re
import time as system_time
from datetime import date, datetime, time, timezone
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.cli.conftest import Cli
from tests.texts import any_text
from trainer.cli import options
from trainer.core.clock import ManualClock
from trainer.core.model import FELT_SITES, Felt, Moment, Pain, PainKind, Side, Site
from trainer.core.text import did_you_mean, nearest
from trainer.errors import UsageError


def felt_text(felt: Felt) -> str:
    side = f":{felt.side}" if felt.side else ""
    moment = f"@{felt.moment}" if felt.moment else ""
    strength = "" if felt.strength is None else f"={felt.strength:g}"
    return f"{felt.site}{side}{moment}{strength}"


FELT = st.builds(
    Felt,
    site=st.sampled_from(FELT_SITES),
    side=st.none() | st.sampled_from(Side),
    moment=st.none() | st.sampled_from(Moment),
    strength=st.none() | st.integers(0, 10).map(float),
)
PAIN = st.builds(Pain, kind=st.sampled_from(PainKind), site=st.sampled_from(Site))


@given(FELT)
def test_every_felt_can_be_written_as_an_option(felt: Felt) -> None:
    """``SITE[:SIDE][@MOMENT][=STRENGTH]`` says all that a felt can be."""
    assert felt == options.parse_felt(felt_text(felt))
    assert felt == options.parse_felt(felt_text(felt).upper())


@given(PAIN)
def test_every_pain_can_be_written_as_an_option(pain: Pain) -> None:
    """``SITE=KIND`` says all that a pain at a site can be."""
    assert pain == options.parse_pain(f"{pain.site}={pain.kind}")


def test_a_bare_site_is_pain_and_a_bare_kind_has_no_site() -> None:
    """``--pain wrist`` is pain in the wrist; ``--pain dizzy`` is nowhere."""
    assert Pain(PainKind.PAIN, Site.WRIST) == options.parse_pain("wrist")
    assert Pain(PainKind.DIZZY) == options.parse_pain("dizzy")
    assert Pain(PainKind.NUMB, Site.HAND, Side.LEFT) == (
        options.parse_pain("hand:left=numb")
    )
    assert Pain(PainKind.PAIN, Site.WRIST, Side.BOTH) == (
        options.parse_pain("wrist:both")
    )


@pytest.mark.parametrize(
    ("parser", "text", "sentence"),
    [
        (options.parse_felt, "lat", "'lat' is not a site. Did you mean lats?"),
        (options.parse_felt, "lats:lift", "'lift' is not a side. Did you mean left?"),
        (options.parse_felt, "lats@exhal", "not a moment. Did you mean exhale?"),
        (options.parse_felt, "lats=11", "11 is out of bounds for a strength"),
        (options.parse_felt, "lats=", "'' is not a strength"),
        (options.parse_felt, "lats:", "'' is not a side"),
        (options.parse_felt, "elbow", "elbow is a site for pain"),
        (options.parse_felt, "", "'' is not a site. It is one of: pecs"),
        (options.parse_pain, "wrsit", "'wrsit' is not a site or kind of pain. Did"),
        (options.parse_pain, "wrist=num", "is not a kind of pain. Did you mean numb?"),
        (options.parse_pain, "dizy", "Did you mean dizzy?"),
        (options.parse_rpe, "11", "11 is out of bounds for an RPE. It goes from 0 to"),
        (options.parse_rpe, "7.3", "RPE 7.3 is not a half"),
        (options.parse_rpe, "hard", "'hard' is not an RPE"),
        (options.parse_seconds, "-3", "-3 is out of bounds"),
        (options.parse_seconds, "301", "It goes from 0 to 300"),
        (options.parse_seconds, "nan", "nan is out of bounds"),
        (options.parse_seconds, "1e999", "1e999 is out of bounds"),
        (options.parse_week, "2026-W54", "Write it as in 2026-W09"),
        (options.parse_week, "9", "'9' is not a week"),
        (options.parse_week, "9999-W52", "9999-W52 is out of bounds. From 1970 to"),
        (options.parse_week, "2200-W01", "2200-W01 is out of bounds"),
        (options.parse_week, "0001-W01", "0001-W01 is out of bounds"),
        (options.parse_day, "2026-02-30", "is not a date"),
        (options.parse_day, "2026-03-02T25:00", "is not a date"),
        (options.parse_day, "2026-03-02T18:30+01:00", "has an offset"),
        (options.parse_day, "1850-01-01", "too long ago"),
    ],
)
def test_what_is_wrong_is_said_with_what_would_be_right(
    parser: Any, text: str, sentence: str
) -> None:
    """Every fault of an option is one sentence with the nearest valid word."""
    with pytest.raises(UsageError) as caught:
        parser(text)

    assert sentence in str(caught.value)


@pytest.mark.parametrize(
    "parser",
    [
        options.parse_felt,
        options.parse_pain,
        options.parse_rpe,
        options.parse_seconds,
        options.parse_week,
        options.parse_day,
    ],
)
@given(text=any_text(max_size=30))
def test_no_text_whatever_gets_past_a_parser(parser: Any, text: str) -> None:
    """A parser gives a value or a UsageError that shows no control character."""
    said = ""
    try:
        parser(text)
    except UsageError as error:
        said = str(error)

    assert said.replace("\n", "") == said
    assert "\x1b" not in said


@given(st.integers(0, 3000).map(lambda tenths: tenths / 10))
def test_seconds_keep_their_tenths(value: float) -> None:
    """Seconds are read as they were written, to the tenth."""
    assert value == options.parse_seconds(f"{value}")
    assert value == options.parse_seconds(f" {value}s ")


def test_a_day_may_carry_a_time() -> None:
    """A date alone has no time; with T or a space it has one."""
    assert (date(2026, 3, 2), None) == options.parse_day("2026-03-02")
    assert (date(2026, 3, 2), time(18, 30)) == options.parse_day("2026-03-02T18:30")
    assert (date(2026, 3, 2), time(18, 30)) == options.parse_day("2026-03-02 18:30")


def test_tomorrow_and_the_next_minute_are_in_the_future() -> None:
    """Today is fine, also without a time; a minute from now is refused."""
    now = datetime(2026, 3, 2, 18, 0, tzinfo=timezone.utc)
    options.not_in_the_future(date(2026, 3, 2), None, now=now)
    options.not_in_the_future(date(2026, 3, 2), time(18, 0), now=now)
    for day, at in [(date(2026, 3, 3), None), (date(2026, 3, 2), time(18, 1))]:
        with pytest.raises(UsageError, match="is in the future"):
            options.not_in_the_future(day, at, now=now)


@given(any_text(max_size=12), st.lists(any_text(max_size=12), min_size=1))
def test_the_nearest_word_is_a_valid_one(word: str, valid: list[str]) -> None:
    """What is offered can be used, and a valid word is nearest to itself."""
    found = nearest(word, valid)
    assert found is None or found in valid
    assert did_you_mean(word, valid)


def test_the_nearest_word_ignores_case() -> None:
    """HNAG is near hang all the same."""
    assert "hang" == nearest("HNAG", ["hang", "press-wall"])
    assert nearest("zzz", ["hang", "press-wall"]) is None


@pytest.mark.parametrize(
    ("zone", "said", "warned"),
    [
        ("America/Asuncion", "2024-10-06T00:00", False),
        ("Pacific/Apia", "2011-12-30", True),
    ],
)
def test_a_date_is_kept_as_it_was_given_whatever_the_clocks_did(
    cli: Cli, monkeypatch: pytest.MonkeyPatch, zone: str, said: str, warned: bool
) -> None:
    """A midnight that was left out stays on its date; a date that was is said to be."""
    monkeypatch.setenv("TZ", zone)
    system_time.tzset()
    try:
        answer = cli("add", "hang", "--held", "20", "--on", said)
        (session,) = cli.ok("data", "export").json["sessions"]
    finally:
        monkeypatch.undo()
        system_time.tzset()

    assert 0 == answer.code
    assert said[:10] == session["local_date"]
    assert warned == ("left out 2011-12-30" in answer.err)


EVERY_DAY = '["mon", "tue", "wed", "thu", "fri", "sat", "sun"]'


def test_a_date_that_was_left_out_is_no_missed_day(
    cli: Cli, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Seven days a week, and Apia's week without 30 December 2011: six of six."""
    monkeypatch.setenv("TZ", "Pacific/Apia")
    system_time.tzset()
    plan = tmp_path / "plan.toml"
    zone = ZoneInfo("Pacific/Apia")
    cli.clock = ManualClock(start=datetime(2012, 1, 4, 18, tzinfo=zone))
    try:
        cli("plan", "set", "hang", "--add")
        cli.ok("plan", "save", str(plan))
        plan.write_text(
            re.sub("(?m)^days = .*", f"days = {EVERY_DAY}", plan.read_text())
        )
        cli("plan", "use", str(plan), "--yes")
        for day in ("26", "27", "28", "29", "31"):
            cli.ok("add", "hang", "--held", "20", "--on", f"2011-12-{day}")
        cli.ok("add", "hang", "--held", "20", "--on", "2012-01-01")
        first, *_ = cli.ok("review", "--json").json["weeks"]
    finally:
        monkeypatch.undo()
        system_time.tzset()

    assert {
        "week": "2011-W52",
        "planned_days": 6,
        "days_done": 6,
        "days_due": 6,
        "state": "done",
    } == first
