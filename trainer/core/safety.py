"""The gate: what this person may be led into on a day, and why not.

Every way into a hold asks here, so that no door is more careless than another. What it
knows is what the person answered, what a plan allows, and which pain is open; what
isn't answered counts as the careful answer. It decides, it doesn't forbid: a grown-up
may go on anyway, which is kept with the session and told to the coach.

The rules are common practice, without a published source, where none is named.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from enum import StrEnum

from trainer.core import words
from trainer.core.answers import (
    CLINICIAN_AGREED,
    HEAD_UP,
    SHOULDER,
    WALL_UNHURRIED,
    agreed_on,
    said,
)
from trainer.core.exercises import (
    BUILT_IN,
    HANG_LOADS,
    HANG_SUPPORTED,
    LADDERS,
    PRESS_LOADS,
    PRESS_PIKE,
    PRESS_PUSHUP,
    PRESS_WALL,
    Exercise,
    Family,
)
from trainer.core.model import History, Hold, Override, Pain, PainKind, Side, Site

LONGEST_HEAD_DOWN_S = 60.0
"""A target upside down over this is asked about: the cap that practice builds up to."""


class Verdict(StrEnum):
    """What the gate says, from the easiest to the hardest."""

    GO = "go"
    ASK = "ask"
    """Something has to be said first: a question is open, or pain may be gone."""
    HOLD_BACK = "hold-back"
    """What was answered speaks against it."""


class Reason(StrEnum):
    """Why the gate asks or holds back."""

    HEAD_UP = "head-up"
    WALL = "wall"
    SHOULDER = "shoulder"
    TOP = "top"
    LONG = "long"
    PAIN = "pain"
    DIZZY = "dizzy"


@dataclass(frozen=True, slots=True)
class OpenPain:
    """A warning sign that nobody has said to be gone."""

    kind: PainKind
    site: Site | None
    side: Side | None
    since: date
    """The local date on which it was first noted, since it was last gone."""
    exercise: str
    """The exercise in which it was noted last."""

    def is_of(self, sign: Pain) -> bool:
        """Tell whether a sign in the log is this one."""
        return (sign.kind, sign.site, sign.side) == (self.kind, self.site, self.side)


@dataclass(frozen=True, slots=True)
class Person:
    """All that the gate knows of somebody."""

    answers: Mapping[str, str] = field(default_factory=dict)
    """What was answered once, by key; see ``core.answers``."""
    top: Mapping[Family, str] = field(default_factory=dict)
    """The hardest rung that the plan allows, per family."""
    open_pain: tuple[OpenPain, ...] = ()


def person_of(
    answers: Mapping[str, str],
    top: Mapping[Family, str],
    history: History,
    *,
    on: date,
) -> Person:
    """Give what the gate knows of somebody on a day.

    Args:
        answers: what was answered once, by key.
        top: the hardest rung that the plan in force allows, per family.
        history: all that was logged.
        on: the local date.
    """
    return Person(answers, top, open_pain(history, on=on))


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that speaks against an exercise."""

    verdict: Verdict
    reason: Reason
    exercise: str
    says: str
    """The reason in a sentence."""
    question: str = ""
    """The key of the open question that would settle it; empty: none would."""
    pain: OpenPain | None = None

    @property
    def as_override(self) -> Override:
        """Give what a session keeps of it where the person goes on anyway."""
        return Override(self.exercise, self.reason.value, self.says)


@dataclass(frozen=True, slots=True)
class Decision:
    """What the gate says of one exercise, with all that speaks against it."""

    exercise: str
    findings: tuple[Finding, ...] = ()

    @property
    def verdict(self) -> Verdict:
        """The hardest of the findings; none: go."""
        if any(each.verdict is Verdict.HOLD_BACK for each in self.findings):
            return Verdict.HOLD_BACK
        return Verdict.ASK if self.findings else Verdict.GO

    @property
    def says(self) -> str:
        """All the reasons, a sentence each; empty: go."""
        return " ".join(each.says for each in self.findings)


def gate(
    person: Person, exercise: Exercise, target_s: float | None, *, on: date
) -> Decision:
    """Decide whether PERSON may be led into EXERCISE on a day.

    Args:
        person: what is known of somebody.
        exercise: a built-in one, or one of the person's own.
        target_s: the hold's target; None where it isn't known yet.
        on: the local date.
    """
    found = (
        *_past_the_answers(person, exercise, on),
        *_past_the_plan(person, exercise, on),
        *_long_head_down(exercise, target_s),
        *_open_pain(person, exercise),
    )
    return Decision(exercise.id, found)


# The hardest rung.


def top(
    family: Family,
    answers: Mapping[str, str],
    *,
    on: date,
    plan: Mapping[Family, str] | None = None,
) -> str:
    """Give the hardest rung of a family that may be offered to somebody.

    Args:
        family: the ladder.
        answers: what was answered once.
        on: the local date: a clinician's word counts from its own day.
        plan: the hardest rung that the plan allows, which can only lower it. The pike
            is every plan's own top and doesn't bar the wall to who may walk up it.
    """
    ladder = LADDERS[family]
    hardest = _top_by_answers(family, answers, on)
    limit = (plan or {}).get(family, ladder[-1])
    if limit == PRESS_PIKE.id:
        limit = PRESS_WALL.id
    return min(hardest, limit, key=ladder.index)


def _top_by_answers(family: Family, answers: Mapping[str, str], on: date) -> str:
    if not _shoulder_is_clear(answers, on):
        return LADDERS[family][0]
    if family is Family.HANG:
        return LADDERS[family][-1]
    if said(answers, HEAD_UP) is not False:
        return PRESS_PUSHUP.id
    return PRESS_WALL.id if said(answers, WALL_UNHURRIED) else PRESS_PIKE.id


def _shoulder_is_clear(answers: Mapping[str, str], on: date) -> bool:
    if said(answers, SHOULDER) is True:
        agreed = agreed_on(answers)
        return agreed is not None and agreed <= on
    return said(answers, SHOULDER) is False


# What speaks against an exercise.


def _past_the_answers(
    person: Person, exercise: Exercise, on: date
) -> Iterator[Finding]:
    answers = person.answers
    if not _eases_in(exercise) and not _shoulder_is_clear(answers, on):
        yield _shoulder(answers, exercise)
    if not exercise.upside_down:
        return
    head_up = said(answers, HEAD_UP)
    if head_up is not False:
        yield _head_up(exercise, answered=head_up is True)
    if _is_on_hands(exercise) and head_up is not True:
        unhurried = said(answers, WALL_UNHURRIED)
        if unhurried is not True:
            yield _wall(exercise, answered=unhurried is False)


def _eases_in(exercise: Exercise) -> bool:
    """Tell whether an exercise is as easy on a shoulder as the ladders' first rungs.

    One of the person's own is where it neither hangs nor goes overhead nor turns over.
    """
    if exercise.id in BUILT_IN:
        return exercise.id in (HANG_SUPPORTED.id, PRESS_PUSHUP.id)
    hangs = exercise.family is Family.HANG
    return not (hangs or exercise.overhead or exercise.upside_down)


def _is_on_hands(exercise: Exercise) -> bool:
    """Tell whether all the weight stands on the hands; of an own one nobody knows."""
    return exercise.id == PRESS_WALL.id or exercise.id not in BUILT_IN


def _shoulder(answers: Mapping[str, str], exercise: Exercise) -> Finding:
    hardest = f"{HANG_SUPPORTED.name} and {PRESS_PUSHUP.name}"
    if said(answers, SHOULDER) is None:
        return Finding(
            Verdict.ASK,
            Reason.SHOULDER,
            exercise.id,
            f"{exercise.name} puts weight on the shoulder overhead, and nobody has"
            " answered whether there was surgery or a dislocation, or there is"
            " instability, very loose joints or numb arms.",
            SHOULDER,
        )
    return Finding(
        Verdict.HOLD_BACK,
        Reason.SHOULDER,
        exercise.id,
        "After shoulder surgery or a dislocation, with instability, very loose joints"
        f" or numb arms, {hardest} are the hardest until a clinician has agreed;"
        f" {exercise.name} is more.",
        CLINICIAN_AGREED,
    )


def _head_up(exercise: Exercise, *, answered: bool) -> Finding:
    if answered:
        return Finding(
            Verdict.HOLD_BACK,
            Reason.HEAD_UP,
            exercise.id,
            f"{exercise.name} is head-down, and the first-day answers say that an eye"
            " or blood-pressure caution keeps the head up.",
        )
    return Finding(
        Verdict.ASK,
        Reason.HEAD_UP,
        exercise.id,
        f"{exercise.name} is head-down, and nobody has answered whether there is an eye"
        " or blood-pressure caution.",
        HEAD_UP,
    )


def _wall(exercise: Exercise, *, answered: bool) -> Finding:
    if answered and exercise.id == PRESS_WALL.id:
        return Finding(
            Verdict.HOLD_BACK,
            Reason.WALL,
            exercise.id,
            f"{exercise.name} is for those who walk up and down the wall unhurried and"
            " have done so with somebody by; the first-day answers say no.",
        )
    return Finding(
        Verdict.ASK,
        Reason.WALL,
        exercise.id,
        f"{exercise.name} turns you upside down, and the first-day answers don't say"
        " that you walk up and down the wall unhurried, and have done so with somebody"
        " by.",
        "" if answered else WALL_UNHURRIED,
    )


def _past_the_plan(person: Person, exercise: Exercise, on: date) -> Iterator[Finding]:
    """Say where a plan's own top is lower than the answers, and this is past it."""
    family = exercise.family
    if family is None or exercise.id not in LADDERS[family]:
        return
    ladder = LADDERS[family]
    if ladder.index(exercise.id) > ladder.index(
        _top_by_answers(family, person.answers, on)
    ):
        return  # said already, with the better reason
    hardest = top(family, person.answers, on=on, plan=person.top)
    if ladder.index(exercise.id) > ladder.index(hardest):
        yield Finding(
            Verdict.HOLD_BACK,
            Reason.TOP,
            exercise.id,
            f"The hardest {family} that your plan allows is {BUILT_IN[hardest].name};"
            f" {exercise.name} is harder.",
        )


def _long_head_down(exercise: Exercise, target_s: float | None) -> Iterator[Finding]:
    if exercise.upside_down and (target_s or 0.0) > LONGEST_HEAD_DOWN_S:
        yield Finding(
            Verdict.ASK,
            Reason.LONG,
            exercise.id,
            f"{words.seconds(target_s or 0.0)} upside down is long: over"
            f" {words.seconds(LONGEST_HEAD_DOWN_S)} nobody should be alone.",
        )


# Open pain.


def _open_pain(person: Person, exercise: Exercise) -> Iterator[Finding]:
    for pain in person.open_pain:
        if not loads(exercise, pain):
            continue
        dizzy = pain.kind is PainKind.DIZZY
        held_back = dizzy and exercise.upside_down
        yield Finding(
            Verdict.HOLD_BACK if held_back else Verdict.ASK,
            Reason.DIZZY if dizzy else Reason.PAIN,
            exercise.id,
            pain_sentence(pain, [exercise.name]),
            pain=pain,
        )


def pain_sentence(pain: OpenPain, names: Sequence[str]) -> str:
    """Say that a warning sign is open, and which exercises that speaks against."""
    said = pain_words(pain)
    verb = "load" if len(names) > 1 else "loads"
    why = f" {words.listed(names)} {verb} that."
    if pain.kind is PainKind.DIZZY:
        why = f" That speaks against {words.listed(names)}."
    return (
        f"{said[:1].upper()}{said[1:]} since {words.day(pain.since)}: nobody has said"
        f" that it is gone.{why}"
    )


def loads(exercise: Exercise, pain: OpenPain | Pain) -> bool:
    """Tell whether an exercise loads the place of a warning sign.

    Without a place it may; and so may somebody's own exercise that names no places.
    """
    if pain.site is None:
        return True
    return not loaded_sites(exercise) or pain.site in loaded_sites(exercise)


def loaded_sites(exercise: Exercise) -> frozenset[Site]:
    """Give the sites that an exercise loads; an own one silent on it: its family's."""
    by_family = {Family.HANG: HANG_LOADS, Family.PRESS: PRESS_LOADS}
    if exercise.loads or exercise.family is None:
        return exercise.loads
    return by_family[exercise.family]


_NOUNS = {
    PainKind.PAIN: "pain",
    PainKind.NUMB: "numbness",
    PainKind.DIZZY: "dizziness",
}
_WHERE = {
    Site.FRONT_SHOULDER: "at the front of the {side}shoulder",
    Site.TOP_SHOULDER: "at the top of the {side}shoulder",
    Site.BETWEEN_BLADES: "between the blades",
    Site.LOW_BACK: "in the {side}low back",
}


def pain_words(pain: OpenPain | Pain) -> str:
    """Say a warning sign: ``pain in the left wrist``, ``dizziness``."""
    noun, site, side = _NOUNS[pain.kind], pain.site, pain.side
    if site is None:
        return noun
    where = _WHERE.get(site, f"in the {{side}}{site}")
    if side in (Side.LEFT, Side.RIGHT) and "{side}" in where:
        return f"{noun} {where.format(side=f'{side} ')}"
    behind = {None: "", Side.BOTH: ", both sides"}.get(side, f", {side}")
    return f"{noun} {where.format(side='')}{behind}"


def open_pain(history: History, *, on: date) -> tuple[OpenPain, ...]:
    """Give every warning sign that is open on a day, the one noted first in front."""
    found: dict[tuple[PainKind, Site | None, Side | None], OpenPain] = {}
    for session in history.sessions:
        if session.local_date > on:
            continue
        for hold in session.holds:
            for sign in hold.pain:
                if sign.gone_on is not None and sign.gone_on <= on:
                    continue
                key = sign.kind, sign.site, sign.side
                known = found.get(key)
                since = session.local_date if known is None else known.since
                found[key] = OpenPain(
                    *key, min(since, session.local_date), hold.exercise
                )
    return tuple(sorted(found.values(), key=lambda pain: pain.since))


def said_gone(
    history: History, pains: Iterable[OpenPain], *, on: date
) -> tuple[Hold, ...]:
    """Give the holds as they are once these pains are gone: each open sign is dated."""
    gone = tuple(pains)

    def dated(sign: Pain) -> Pain:
        if sign.gone_on is None and any(each.is_of(sign) for each in gone):
            return replace(sign, gone_on=on)
        return sign

    found = []
    for session in history.sessions:
        for hold in session.holds:
            changed = tuple(dated(sign) for sign in hold.pain)
            if changed != hold.pain:
                found.append(replace(hold, pain=changed))
    return tuple(found)
