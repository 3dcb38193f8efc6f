"""What the options' texts mean: parsers that are pure, and click's types over them.

Each parser raises ``UsageError`` with the option's own words and the nearest valid one.
"""

from __future__ import annotations

import contextlib
import math
from collections.abc import Callable, Iterable, Mapping
from datetime import date, datetime, time
from enum import StrEnum
from typing import TYPE_CHECKING, Any, TypeVar

import click

from trainer.cli import diagnostics
from trainer.cli.context import CliContext
from trainer.core.clock import is_date
from trainer.core.model import (
    FELT_SITES,
    LONGEST_HOLD_S,
    PAIN_SITES,
    Feet,
    Felt,
    Moment,
    Pain,
    PainKind,
    Side,
    Site,
    StoppedBy,
    valid_rpe,
)
from trainer.core.plan.plan import SHORTEST_TARGET_S
from trainer.core.record import FIRST_YEAR, LAST_YEAR
from trainer.core.text import NOTE_LIMIT, clean, did_you_mean
from trainer.core.weeks import IsoWeek
from trainer.core.words import RPE_SCALE
from trainer.core.words import rpe as rpe_words
from trainer.errors import UsageError

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem

    from trainer.core.model import Hold

Word = TypeVar("Word", bound=StrEnum)
Command = TypeVar("Command", bound=Callable[..., Any])

LONGEST_CUE = 200
"""Characters of a coach's cue, as in a plan file (our choice)."""
EARLIEST = date(FIRST_YEAR, 1, 1)
"""No hold was done before this: the first day that every system's time can name."""


def parse_seconds(
    text: str, *, low: float = 0.0, high: float = LONGEST_HOLD_S
) -> float:
    """Read seconds: a plain number, to the tenth, within bounds."""
    return round(parse_number(text, "seconds", low, high), 1)


def parse_rpe(text: str) -> float:
    """Read an RPE: 0 to 10, halves allowed."""
    rpe = parse_number(text, "an RPE", 0, 10)
    if not valid_rpe(rpe):
        raise UsageError(f"RPE {_short(text)} is not a half", "0 to 10, halves allowed")
    return rpe


def parse_number(text: str, what: str, low: float, high: float) -> float:
    """Read a number within bounds; WHAT is what an error calls it."""
    try:
        value = float(text.strip().removesuffix("s") if what == "seconds" else text)
    except ValueError:
        raise UsageError(
            f"{_short(text)!r} is not {what}", f"A number from {low:g} to {high:g}"
        ) from None
    if math.isnan(value) or not low <= value <= high:
        raise UsageError(
            f"{_short(text)} is out of bounds for {what}",
            f"It goes from {low:g} to {high:g}",
        )
    return value


def parse_felt(text: str) -> Felt:
    """Read ``SITE[:SIDE][@MOMENT][=STRENGTH]``."""
    rest, has_strength, strength_text = text.partition("=")
    rest, has_moment, moment_text = rest.partition("@")
    site_text, has_side, side_text = rest.partition(":")
    site = _word(site_text, Site, PAIN_SITES, "a site")
    if site not in FELT_SITES:
        raise UsageError(
            f"{site} is a site for pain, not for a stretch", f"Use --pain {site}"
        )
    strength = None
    if has_strength:
        strength = parse_number(strength_text, "a strength", 0, 10)
    return Felt(
        site=site,
        side=_word(side_text, Side, tuple(Side), "a side") if has_side else None,
        moment=_word(moment_text, Moment, tuple(Moment), "a moment")
        if has_moment
        else None,
        strength=strength,
    )


def parse_pain(text: str) -> Pain:
    """Read ``SITE[:SIDE][=KIND]``, or a bare kind such as ``dizzy``."""
    place, has_kind, kind_text = text.partition("=")
    site_text, has_side, side_text = place.partition(":")
    side = _word(side_text, Side, tuple(Side), "a side") if has_side else None
    kinds = tuple(PainKind)
    if not has_kind:
        word = site_text.strip().lower()
        if word in kinds and not has_side:
            return Pain(PainKind(word))
        valid = (*PAIN_SITES, *kinds)
        if word not in PAIN_SITES:
            raise _unknown(site_text, "a site or kind of pain", valid)
        return Pain(PainKind.PAIN, Site(word), side)
    kind = _word(kind_text, PainKind, kinds, "a kind of pain")
    return Pain(kind, _word(site_text, Site, PAIN_SITES, "a site"), side)


def _word(text: str, kind: type[Word], valid: Iterable[Word], what: str) -> Word:
    word = text.strip().lower()
    choices = tuple(valid)
    if word not in choices:
        raise _unknown(text, what, choices)
    return kind(word)


def _unknown(text: str, what: str, valid: Iterable[str]) -> UsageError:
    return UsageError(f"{_short(text)!r} is not {what}", did_you_mean(text, valid))


def parse_week(text: str) -> IsoWeek:
    """Read ``YYYY-Www``, within the years that the data file believes."""
    try:
        week = IsoWeek.parse(text)
    except ValueError:
        raise UsageError(
            f"{_short(text)!r} is not a week", "Write it as in 2026-W09"
        ) from None
    if not FIRST_YEAR <= week.year <= LAST_YEAR:
        raise UsageError(
            f"{week} is out of bounds", f"From {FIRST_YEAR} to {LAST_YEAR}, please"
        )
    return week


def parse_day(text: str) -> tuple[date, time | None]:
    """Read ``DATE[THH:MM]``: a day, and a time of day if one was given."""
    day_text, has_time, time_text = text.strip().replace(" ", "T").partition("T")
    try:
        day = date.fromisoformat(day_text)
        at = time.fromisoformat(time_text) if has_time else None
    except ValueError:
        raise UsageError(
            f"{_short(text)!r} is not a date",
            "Write it as in 2026-03-02 or 2026-03-02T18:30",
        ) from None
    if at is not None and at.tzinfo is not None:
        raise UsageError(
            f"{_short(text)!r} has an offset", "Give the local time, without one"
        )
    if day < EARLIEST:
        raise UsageError(f"{day} is too long ago", f"From {EARLIEST} on, please")
    return day, at


def not_in_the_future(day: date, at: time | None, *, now: datetime) -> None:
    """Refuse a date or time that hasn't come yet.

    Raises:
        UsageError: it is in the future by the wall clock here.
    """
    local = now.replace(tzinfo=None)
    if day > local.date() or (at is not None and datetime.combine(day, at) > local):
        when = f"{day}" if at is None else f"{day} {at:%H:%M}"
        raise UsageError(
            f"{when} is in the future", f"Here it is {local:%Y-%m-%d %H:%M} now"
        )


def say_if_left_out(day: date) -> None:
    """Say so where the clocks here skipped a whole date; it is kept all the same."""
    if not is_date(day):
        diagnostics.warning(
            f"the clocks here left out {day}; it is kept as the date that you gave."
        )


def parse_note(text: str, *, limit: int = NOTE_LIMIT) -> str:
    """Clean a note; one that is too long is refused rather than cut."""
    if len(text) > limit:
        raise UsageError(f"It has {len(text)} characters", f"{limit} at most")
    return clean(text)


def _short(text: str) -> str:
    """Return the person's own words back, tamed and not too long."""
    return clean(text, limit=60)


class Parsed(click.ParamType):  # type: ignore[type-arg]  # no generic in click 8.2
    """Click's wrapper around one parser."""

    def __init__(
        self,
        name: str,
        parser: Callable[[str], Any],
        words: Iterable[str] | Callable[[click.Context, str], Iterable[str]] = (),
    ) -> None:
        self.name = name
        self.parser = parser
        self.words = words if callable(words) else tuple(words)
        """What a shell completes to: words, or what gives those for what is begun."""

    def shell_complete(
        self, ctx: click.Context, param: click.Parameter, incomplete: str
    ) -> list[CompletionItem]:
        """Return the words that a shell may complete INCOMPLETE to."""
        from click.shell_completion import CompletionItem

        begun = incomplete.lower()
        words = self.words(ctx, begun) if callable(self.words) else self.words
        return [
            CompletionItem(word) for word in words if word.lower().startswith(begun)
        ]

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> Any:
        """Parse text; put the option's name in front of what is wrong with it."""
        if not isinstance(value, str):
            return value
        try:
            return self.parser(value)
        except UsageError as error:
            if param is None or not param.opts:
                raise
            name = max(param.opts, key=len)
            raise UsageError(f"{name}: {error.message}", error.hint) from None


WEEKS_OFFERED = 12
"""Weeks that a shell completes to, the running one the first."""
PERIODS_OFFERED = ("4", "12", "26", "52")
"""Numbers of weeks that a shell completes to."""


def _felt_words(_: click.Context, begun: str) -> list[str]:
    """Complete a felt part by part: the site, then its side or its moment."""
    return _parts(begun, FELT_SITES, {":": tuple(Side), "@": tuple(Moment)})


def _pain_words(_: click.Context, begun: str) -> list[str]:
    """Complete a pain part by part: the site or a bare kind, then side or kind."""
    parts = {":": tuple(Side), "=": tuple(PainKind)}
    return _parts(begun, (*PAIN_SITES, *PainKind), parts)


def _parts(
    begun: str, first: Iterable[str], later: Mapping[str, Iterable[str]]
) -> list[str]:
    """Return the words of the part that is being typed, after what stands before it."""
    at = max(begun.rfind(mark) for mark in later)
    if at < 0:
        return list(first)
    return [begun[: at + 1] + word for word in later[begun[at]]]


def _coming_weeks(context: click.Context, _: str) -> list[str]:
    now = context.ensure_object(CliContext).clock.wall()
    running = IsoWeek.of(now.date())
    return [str(running.plus(number)) for number in range(WEEKS_OFFERED)]


SECONDS = Parsed("seconds", parse_seconds)
TARGET = Parsed("seconds", lambda text: parse_seconds(text, low=SHORTEST_TARGET_S))
RPE = Parsed("rpe", parse_rpe)
FELT = Parsed("felt", parse_felt, _felt_words)
PAIN = Parsed("pain", parse_pain, _pain_words)
WEEK = Parsed("week", parse_week, _coming_weeks)
DAY = Parsed("day", parse_day)
NOTE = Parsed("note", parse_note)
CUE = Parsed("cue", lambda text: parse_note(text, limit=LONGEST_CUE))


def seconds_between(low: float, high: float) -> Parsed:
    """Return a type for seconds within other bounds."""
    return Parsed("seconds", lambda text: parse_seconds(text, low=low, high=high))


def whole_between(what: str, low: int, high: int, words: Iterable[str] = ()) -> Parsed:
    """Return a type for a whole number within bounds; WORDS: what a shell offers."""

    def parse(text: str) -> int:
        value = parse_number(text, what, low, high)
        if not value.is_integer():
            raise UsageError(f"{_short(text)} is not whole", "A whole number, please")
        return int(value)

    return Parsed(what, parse, words)


def choice(kind: type[Word], what: str) -> Parsed:
    """Return a type for one word of an enumeration."""
    return Parsed(what, lambda text: _word(text, kind, tuple(kind), what), tuple(kind))


def known_exercise(exercise: str, known: Iterable[str]) -> str:
    """Return the exercise's id if there is such an exercise.

    Raises:
        UsageError: there is none; names the nearest.
    """
    word = exercise.strip().lower()
    for candidate in known:
        if candidate.lower() == word:
            return candidate
    raise UsageError(
        f"There is no exercise {_short(exercise)!r}", did_you_mean(exercise, known)
    )


def complete_exercise(
    context: click.Context, parameter: click.Parameter, begun: str
) -> list[str]:
    """Return the exercises that a shell may complete BEGUN to, own ones included.

    The data file is only read; where there is none, or it can't be read, the built-in
    ones are offered: nobody is told of a fault in the middle of a line.
    """
    from trainer.core.exercises import BUILT_IN
    from trainer.errors import TrainerError

    known: Iterable[str] = BUILT_IN
    state = context.ensure_object(CliContext)
    with contextlib.suppress(TrainerError, OSError):
        if state.db_path.is_file():
            # Only now: a shell that completes shouldn't wait for it in vain.
            from trainer.store import open_store

            with open_store(state.db_path, clock=state.clock, read_only=True) as store:
                known = store.plan().known_ids()
    return [name for name in known if name.lower().startswith(begun.lower())]


def epilog(*examples: str, exercises: bool = False, answers: bool = False) -> str:
    """Return what stands below a command's options: words to use, and examples.

    Args:
        examples: whole command lines.
        exercises: the command takes one.
        answers: it takes what is said of a hold.
    """
    from trainer.core.exercises import BUILT_IN

    parts = []
    if exercises:
        named = ", ".join(f"{each.id} ({each.name})" for each in BUILT_IN.values())
        parts.append(f"Exercises: {named}; and your own, by their ids.")
    if answers:
        others = [site for site in PAIN_SITES if site not in FELT_SITES]
        parts += [
            f"Felt: {', '.join(FELT_SITES)}. Sides: {', '.join(Side)}. Moments:"
            f" {', '.join(Moment)} (came with the long exhale). Strength: 0 to 10.",
            f"Pain: the same sites, {' and '.join(others)}. Kinds:"
            f" {', '.join(PainKind)} (headache and changed sight too).",
        ]
    shown = "\n".join(f"  {line}" for line in examples)
    head = "Example" if len(examples) == 1 else "Examples"
    parts.append(f"\b\n{head}:\n{shown}")
    return "\n\n".join(parts)


def answers_text(hold: Hold, *, seconds: Callable[[float], str]) -> list[str]:
    """Say what was answered of a hold: kept, RPE, what stopped it, the feet's share.

    Args:
        hold: as it was logged.
        seconds: says seconds, to the tenth or rounded down.
    """
    said = []
    if hold.kept_s is not None:
        said.append(f"{seconds(hold.kept_s)} kept")
    if hold.rpe is not None:
        said.append(f"RPE {rpe_words(hold.rpe)}")
    if hold.stopped_by is not None:
        said.append(f"stopped by {hold.stopped_by}")
    if hold.feet is not None:
        said.append(f"feet {hold.feet}")
    return said


def felt_text(felt: Felt) -> str:
    """Say where the stretch was felt, such as lats (left, exhale)."""
    strength = None if felt.strength is None else f"{felt.strength:g}"
    about = [str(part) for part in (felt.side, felt.moment, strength) if part]
    return f"{felt.site} ({', '.join(about)})" if about else str(felt.site)


_ANSWERS = (
    click.option(
        "--kept", "kept_s", type=SECONDS, help="Seconds the position was kept."
    ),
    click.option("--rpe", type=RPE, help=f"0 to 10, halves allowed: {RPE_SCALE}."),
    click.option(
        "--stopped-by",
        type=choice(StoppedBy, "a reason"),
        metavar="WHY",
        help=f"What ended it early: {', '.join(StoppedBy)}.",
    ),
    click.option(
        "--felt",
        type=FELT,
        multiple=True,
        metavar="SITE[:SIDE][@MOMENT][=STRENGTH]",
        help="Where the stretch was felt, such as lats:left@exhale=6. May be repeated.",
    ),
    click.option(
        "--pain",
        type=PAIN,
        multiple=True,
        metavar="SITE[:SIDE][=KIND]",
        help="What is never a stretch, such as wrist:left, hand=numb or dizzy."
        " May be repeated.",
    ),
    click.option(
        "--feet",
        type=choice(Feet, "a share"),
        metavar="SHARE",
        help=f"What the feet took in a supported hang: {', '.join(Feet)}.",
    ),
    click.option("--note", type=NOTE, help="In your own words."),
)


def answers_of_a_hold(command: Command) -> Command:
    """Give a command the options of what is said of a hold, the same wherever asked."""
    for option in reversed(_ANSWERS):
        command = option(command)
    return command
