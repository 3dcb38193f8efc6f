"""The keys of the line-by-line session, one by one."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

import pytest

from tests.core.session.sessions import Led, program, program_set
from trainer.cli.options import parse_felt, parse_pain
from trainer.cli.plain.keys import (
    ASKED_AGAIN,
    CONTROL,
    ENTER,
    ESCAPE,
    ONLY_IN,
    STOPPED_BY,
    Line,
    Parsers,
    Typing,
    finish,
    press,
)
from trainer.cli.plain.terminal import OTHER
from trainer.core.model import Feet, Felt, Moment, Pain, PainKind, Side, Site
from trainer.core.session.events import (
    AnswerFeet,
    AnswerFelt,
    AnswerHeld,
    AnswerKept,
    AnswerNote,
    AnswerPain,
    AnswerRpe,
    AnyKey,
    DidNotHappen,
    EndSession,
    Event,
    FalseStart,
    Gap,
    OverridePain,
    Resolve,
    Resume,
    Skip,
)
from trainer.core.session.state import SessionState
from trainer.errors import UsageError
from trainer.tui.keymap import SESSION_KEYS

_Parsed = TypeVar("_Parsed")


def _plainly(parse: Callable[[str], _Parsed]) -> Callable[[str], _Parsed]:
    def parsed(text: str) -> _Parsed:
        try:
            return parse(text)
        except UsageError as error:
            raise ValueError(str(error)) from None

    return parsed


PARSERS = Parsers(_plainly(parse_felt), _plainly(parse_pain))
MADE = program(program_set(), program_set(set_number=2))


def resting() -> SessionState:
    led = Led(MADE)
    return led.wait(10 + 20 + 4 + 5)


def typed(state: SessionState, keys: list[str]) -> tuple[Line, list[Event]]:
    line = Line()
    events: list[Event] = []
    for key in keys:
        pressed = press(key, state, line, PARSERS)
        line = pressed.line
        events.extend(pressed.events)
    return line, events


@pytest.mark.parametrize(
    ("keys", "event"),
    [
        ("7", AnswerRpe(rpe=7)),
        ("0", AnswerRpe(rpe=10)),
        ("k", AnswerKept(all_kept=True)),
        ("-", AnswerHeld(held_s=19)),
        ("x", DidNotHappen()),
        ("e", AnswerFeet(feet=Feet.HALF)),
        ("l2\n", AnswerKept(1, lost_on_breath=2)),
        ("t17.5\n", AnswerHeld(1, held_s=17.5)),
        ("phand=numb\n", AnswerPain(1, pain=Pain(PainKind.NUMB, Site.HAND))),
        ("phand:left=numb\n", AnswerPain(1, Pain(PainKind.NUMB, Site.HAND, Side.LEFT))),
        ("pdizzy\n", AnswerPain(1, pain=Pain(PainKind.DIZZY))),
        ("p1101", AnswerPain(1, Pain(PainKind.PAIN, Site.WRIST, Side.LEFT))),
        ("p214\n", AnswerPain(1, Pain(PainKind.NUMB, Site.HAND))),
        ("p21\n2", AnswerPain(1, Pain(PainKind.NUMB, Site.PECS, Side.RIGHT))),
        ("p1\n", AnswerPain(1, Pain(PainKind.PAIN))),
        ("p3", AnswerPain(1, Pain(PainKind.DIZZY))),
        ("f3126", AnswerFelt(1, (Felt(Site.LATS, Side.LEFT, Moment.EXHALE, 6),))),
        ("f103110", AnswerFelt(1, (Felt(Site.WRIST, Side.BOTH, Moment.SETTLED, 10),))),
        ("f4\n\n\n", AnswerFelt(1, (Felt(Site.RIBS),))),
        ("nmore to the left [/]\n", AnswerNote(1, note="more to the left [/]")),
        (
            "flats:left@exhale=4,ribs\n",
            AnswerFelt(
                1, felt=(Felt(Site.LATS, Side.LEFT, Moment.EXHALE, 4), Felt(Site.RIBS))
            ),
        ),
        (" ", AnyKey()),
    ],
)
def test_a_key_or_a_line_in_the_rest_is_an_answer(keys: str, event: Event) -> None:
    """One key where one is enough, a short line where it isn't."""
    _, events = typed(resting(), [ENTER if k == "\n" else k for k in keys])

    assert [event] == events


def test_a_point_adds_a_half_and_takes_it_off_again() -> None:
    """RPE 7, then 7.5, then 7."""
    led = Led(MADE)
    led.wait(39)
    for expected in (7, 7.5, 7):
        key = "7" if expected == 7 and led.state.holds[0].rpe is None else "."
        for event in press(key, led.state, Line(), PARSERS).events:
            led.send(event)
        assert expected == led.state.holds[0].rpe


def test_in_a_hold_every_key_but_one_comes_down() -> None:
    """Digits and letters too: a hand that reaches a key has come down."""
    state = Led(MADE).wait(13)

    for key in ("7", "q", ENTER, "other", "p"):
        assert (AnyKey(),) == press(key, state, Line(), PARSERS).events
    assert (FalseStart(),) == press("x", state, Line(), PARSERS).events


def test_the_end_is_asked_once() -> None:
    """A second q ends, anything else goes on."""
    assert [EndSession()] == typed(resting(), ["q", "q"])[1]
    assert [] == typed(resting(), ["q", "k"])[1]


def test_a_set_is_left_out_only_when_asked_twice() -> None:
    """In a set-up a second j skips, anything else goes on; a rest goes at once."""
    setting_up = Led(MADE).state

    assert [Skip()] == typed(setting_up, ["j", "j"])[1]
    assert [] == typed(setting_up, ["j", " "])[1]
    assert [Skip()] == typed(resting(), ["j"])[1]


def test_escape_leaves_a_line_without_an_answer() -> None:
    """What was begun by mistake is nothing."""
    assert [] == typed(resting(), ["n", "a", ESCAPE])[1]


def test_nonsense_gets_a_sentence_and_no_event() -> None:
    """An unknown site, a word for a number."""
    state = resting()
    for keys in ("fknee", "tmany", "linf", "l0", "l1.5", "tnan"):
        line, events = typed(state, list(keys))
        pressed = press(ENTER, state, line, PARSERS)
        assert ([], ()) == (events, pressed.events)
        assert pressed.say


def test_what_is_half_typed_is_kept_when_the_set_up_begins() -> None:
    """A note as it stands; a pain at no one site rather than none; no half figure."""
    line, _ = typed(resting(), list("nlats again"))
    assert (Line(), (AnswerNote(1, note="lats again"),)) == finish(line, PARSERS)

    line, _ = typed(resting(), list("pwri"))
    assert (AnswerPain(1, Pain(PainKind.PAIN)),) == finish(line, PARSERS)[1]
    line, _ = typed(resting(), list("pwrist"))
    assert (AnswerPain(1, Pain(PainKind.PAIN, Site.WRIST)),) == finish(line, PARSERS)[1]

    assert (Line(), ()) == finish(Line(Typing.HELD, "3"), PARSERS)


@pytest.mark.parametrize("site", list(Site))
@pytest.mark.parametrize("side", ["1", "2", "3"])
def test_pain_with_its_side_takes_five_keys_at_most(site: Site, side: str) -> None:
    """Its own key, the kind, the place's number and the side; none needs an Enter
    but the place numbered 1, which others begin like."""
    number = str(list(Site).index(site) + 1)
    keys = ["p", "1", *number, *([ENTER] if number == "1" else []), side]
    line, (event,) = typed(resting(), keys)

    assert len(keys) <= 5
    assert line == Line()
    assert isinstance(event, AnswerPain)
    assert event.pain is not None
    assert site is event.pain.site
    assert event.pain.side is list(Side)[int(side) - 1]


def test_every_key_of_a_list_is_answered() -> None:
    """A wrong number, a letter, and each choice lead to lines; Enter goes on."""
    state, line = resting(), Line()
    for key in ("f", "0", "7", "x", "1", ENTER, "5"):
        pressed = press(key, state, line, PARSERS)
        line = pressed.line
        assert pressed.say or pressed.events, key


def test_a_pain_that_is_half_chosen_is_kept() -> None:
    """The set-up begins in the middle of the lists: what was said of it stays."""
    line, _ = typed(resting(), ["p", "2", "1", "0"])

    _, events = finish(line, PARSERS)

    assert (AnswerPain(1, Pain(PainKind.NUMB, Site.WRIST)),) == events


def test_an_arrow_leaves_what_is_typed() -> None:
    """A key without a character adds none."""
    line, _ = typed(resting(), [*"nleft", OTHER, "s"])

    assert "lefts" == line.text


def test_after_a_hold_was_taken_out_no_key_reaches_the_one_before() -> None:
    """The log is about the set just done, or about nothing."""
    led = Led(program(program_set(), program_set(set_number=2), program_set()))
    led.wait(10 + 20 + 4 + 60 + 10 + 20 + 10)
    led.send(DidNotHappen())

    for key in ("x", "9", "k"):
        assert (AnyKey(),) == press(key, led.state, Line(), PARSERS).events


def test_an_interrupted_hold_is_asked_about() -> None:
    """The seconds noted, others, or none."""
    led = Led(MADE)
    led.wait(17)
    state = led.send(Gap(since_s=led.now_s), after_s=60)

    assert [Resolve(7.0)] == typed(state, [ENTER])[1]
    assert [Resolve(12.0)] == typed(state, ["1", "2", ENTER])[1]
    assert [Resolve(None)] == typed(state, ["x"])[1]


def test_a_pause_ends_with_enter() -> None:
    """The key that the line names."""
    led = Led(MADE)
    state = led.send(Gap(since_s=led.now_s), after_s=60)

    assert (Resume(),) == press(ENTER, state, Line(), PARSERS).events


def test_the_letters_are_those_of_the_full_screen() -> None:
    """What the fingers learn in one they know in the other."""
    keys = {row[0]: row[1] for row in SESSION_KEYS}
    screen = {
        name.removeprefix("session."): key
        for name, key in keys.items()
        if name.startswith("session.")
    }

    stopped = {why.value: key for key, why in STOPPED_BY.items()}
    assert stopped == {name: screen[name] for name in stopped}
    control = {event.__name__: key for key, event in CONTROL.items()}
    assert control == {
        "TakeBack": screen["undo"],
        "Skip": screen["skip"],
        "PauseSession": screen["pause"],
    }
    (anyway,) = [key for key, event in ASKED_AGAIN.values() if event == OverridePain()]
    assert screen["anyway"] == anyway
    only_in = {event.__name__: key for (_, key), event in ONLY_IN.items()}
    assert only_in == {
        "SkipWarmUp": keys["warm-up.skip"],
        "Ready": keys["set-up.ready"],
    }
    others = {
        "out": "x",
        "all-kept": "k",
        "lost": "l",
        "pain": "p",
        "type-held": "t",
        "feet": "e",
        "felt": "f",
        "note": "n",
        "end": "q",
    }
    assert others == {name: screen[name] for name in others}
