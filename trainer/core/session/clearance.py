"""From a program to one that may be led: the only way is through the gate.

A session can only be led from a ``Cleared``, and this module alone makes one. So a new
way to start a hold can't forget to ask: it would have nothing to hand to the runner.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date

from trainer.core.exercises import Exercise
from trainer.core.model import Override
from trainer.core.plan.plan import Plan
from trainer.core.safety import (
    Decision,
    Finding,
    OpenPain,
    Person,
    Reason,
    Verdict,
    gate,
    pain_sentence,
)
from trainer.core.session.program import ProgramSet, SessionProgram
from trainer.core.session.state import HoldDraft


class NotClearedError(ValueError):
    """A program was to be led past the gate, and nobody said to go on anyway."""


@dataclass(frozen=True, slots=True)
class Cleared:
    """A program that may be led; made by ``cleared`` and ``rehearsed`` alone."""

    program: SessionProgram
    overrides: tuple[Override, ...] = ()
    """What the gate said and the person went on with anyway."""
    rehearsal: bool = False
    """Nothing is held: it is only to be seen and heard."""


@dataclass(frozen=True, slots=True)
class Asked:
    """A program with what the gate says of it."""

    program: SessionProgram
    findings: tuple[Finding, ...] = ()

    @property
    def goes(self) -> bool:
        """Whether nothing speaks against it."""
        return not self.findings

    @property
    def held_back(self) -> bool:
        """Whether something that was answered speaks against it."""
        return any(each.verdict is Verdict.HOLD_BACK for each in self.findings)

    @property
    def open_questions(self) -> tuple[str, ...]:
        """The keys of the questions that would settle some of it, each once."""
        keys = (each.question for each in self.findings if each.question)
        return tuple(dict.fromkeys(keys))

    @property
    def pains(self) -> tuple[OpenPain, ...]:
        """The open pain that speaks against it, each once."""
        pains = (each.pain for each in self.findings if each.pain is not None)
        return tuple(dict.fromkeys(pains))

    @property
    def says(self) -> tuple[str, ...]:
        """The reasons, a sentence each; one pain is said once for all that loads it."""
        names = {each.exercise.id: each.exercise.name for each in self.program.sets}
        said: list[str] = []
        for finding in self.findings:
            if finding.pain is None:
                said.append(finding.says)
                continue
            loaded = [e.exercise for e in self.findings if e.pain == finding.pain]
            said.append(pain_sentence(finding.pain, [names[each] for each in loaded]))
        return tuple(dict.fromkeys(said))


def ask_gate(program: SessionProgram, person: Person, *, on: date) -> Asked:
    """Ask the gate about every exercise of a program, at its longest target."""
    longest_s: dict[str, float] = {}
    exercises: dict[str, Exercise] = {}
    for each in program.sets:
        exercises[each.exercise.id] = each.exercise
        known_s = longest_s.get(each.exercise.id, 0.0)
        longest_s[each.exercise.id] = max(known_s, each.longest_s)
    decisions = [
        gate(person, exercise, longest_s[ident], on=on)
        for ident, exercise in exercises.items()
    ]
    return Asked(program, _findings(decisions))


def _findings(decisions: Iterable[Decision]) -> tuple[Finding, ...]:
    return tuple(finding for each in decisions for finding in each.findings)


def cleared(asked: Asked, *, anyway: bool = False) -> Cleared:
    """Give a program that may be led.

    Args:
        asked: the program, with what the gate says of it.
        anyway: the person read that and goes on; it is kept with the session.

    Raises:
        NotClearedError: something speaks against it, and nobody said to go on.
    """
    if asked.findings and not anyway:
        raise NotClearedError(" ".join(asked.says))
    return Cleared(
        asked.program, tuple(finding.as_override for finding in asked.findings)
    )


def rehearsed(program: SessionProgram) -> Cleared:
    """Give a program to be seen and heard; nobody is asked, for nothing is held."""
    return Cleared(program, rehearsal=True)


def without_what_is_asked(asked: Asked) -> SessionProgram | None:
    """Give the program without the exercises that something speaks against.

    The sets that remain keep their order; None: nothing remains. The warm-up stays,
    without the easy try of what is left out.
    """
    out = {finding.exercise for finding in asked.findings}
    names = {s.exercise.name for s in asked.program.sets if s.exercise.id in out}
    sets: tuple[ProgramSet, ...] = tuple(
        each for each in asked.program.sets if each.exercise.id not in out
    )
    if not sets:
        return None
    warm_up = tuple(
        move
        for move in asked.program.warm_up
        if not any(move.name.startswith(f"{name},") for name in names)
    )
    return replace(asked.program, sets=sets, warm_up=warm_up)


def put_back(
    program: SessionProgram, holds: Iterable[HoldDraft], *, on: date
) -> tuple[Override, ...]:
    """Give what a session keeps where sets came back after pain had struck them.

    Args:
        program: the session's.
        holds: its holds; those after whose pain the person went on say so.
        on: the local date.
    """
    found: list[Override] = []
    for draft in holds:
        if not draft.pain_overridden:
            continue
        hurts = tuple(
            OpenPain(sign.kind, sign.site, sign.side, on, draft.exercise)
            for sign in draft.pain
        )
        to_come = {
            each.exercise.id: each.exercise for each in program.sets[draft.index + 1 :]
        }
        for exercise in to_come.values():
            decision = gate(Person(open_pain=hurts), exercise, None, on=on)
            found += [
                finding.as_override
                for finding in decision.findings
                if finding.pain is not None
            ]
    return tuple(dict.fromkeys(found))


# A plan: what comes into it past the gate. Pain doesn't count: a plan loads nothing.


def past_the_gate(
    old: Plan,
    new: Plan,
    answers: Mapping[str, str],
    targets: Mapping[str, float],
    *,
    on: date,
) -> tuple[Finding, ...]:
    """Give what speaks against a change of the plan; what stood there before may stay.

    Args:
        old: the plan in force.
        new: the plan that is to be.
        answers: what the person answered.
        targets: the targets that come with it, in seconds, by exercise.
        on: the local date.
    """
    found = []
    for entry in new.exercises:
        target_s = targets.get(entry.exercise)
        longest_s = max(entry.start_s, target_s or 0.0)
        person = Person(answers, new.top)
        decision = gate(person, new.exercise(entry.exercise), longest_s, on=on)
        before = old.entry(entry.exercise)
        known: set[Reason] = set()
        if before is not None and (target_s is None or target_s <= before.cap_s):
            stood = gate(
                Person(answers, old.top),
                old.exercise(entry.exercise),
                before.start_s,
                on=on,
            )
            known = {finding.reason for finding in stood.findings}
        found += [each for each in decision.findings if each.reason not in known]
    return tuple(found)
