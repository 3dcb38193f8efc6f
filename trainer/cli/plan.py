"""``trainer plan``: show it, change it, read it from a file, write it to one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, timezone
from pathlib import Path
from typing import TYPE_CHECKING, Any
from uuid import uuid4

import click

from trainer.cli import diagnostics, options, output
from trainer.cli.context import (
    CliContext,
    confirmed,
    pass_context,
    replace_option,
    stdin_is_terminal,
    usual_options,
    want_subcommand,
    write_file,
)
from trainer.core import words
from trainer.core.answers import (
    ANSWER_WITH,
    CLINICIAN_AGREED,
    NO,
    OPEN,
    QUESTION_OF,
    QUESTIONS,
    WORDS,
    YES,
    agreed_on,
    applies,
    said,
    still_open,
)
from trainer.core.cautions import one_line
from trainer.core.cues.breathing import Pattern
from trainer.core.exercises import BUILT_IN, Family
from trainer.core.model import Author, EndOfHold, History, TargetSet
from trainer.core.next_week.decide import NOT_ALONE
from trainer.core.plan.changes import keeping_own, plan_changes
from trainer.core.plan.plan import (
    LARGEST_STEP_S,
    LONGEST_REST_S,
    MOST_SETS,
    Grip,
    Plan,
    PlanExercise,
    default_entry,
)
from trainer.core.safety import Finding, top
from trainer.core.session.clearance import past_the_gate
from trainer.core.text import clean
from trainer.core.words import short_date
from trainer.errors import ExitCode, UsageError

if TYPE_CHECKING:
    from trainer.store import Store


# One exercise of the plan put in, changed or taken out: for ``trainer plan set``.


def want_planned(plan: Plan, ident: str, *, add: bool) -> None:
    """Refuse an exercise that isn't in the plan, unless it is to be added.

    Raises:
        UsageError: it isn't planned, and nobody said ``--add``.
    """
    if add or plan.entry(ident) is not None:
        return
    planned = words.listed([plan.brief_name(each.exercise) for each in plan.exercises])
    raise UsageError(
        f"{plan.brief_name(ident)} is not in the plan, which has {planned}",
        "To put it in, add --add",
    )


def warning_past_gate(plan: Plan, findings: Sequence[Finding], *, anyway: bool) -> str:
    """Refuse what the gate holds back or asks about; with ANYWAY give its reasons.

    Either way the exercise's own caution goes with it.

    Raises:
        UsageError: something speaks against it, and nobody said ``--anyway``.
    """
    if not findings:
        return ""
    said = [each.says for each in findings]
    for ident in dict.fromkeys(each.exercise for each in findings):
        exercise = plan.exercise(ident)
        said.append(one_line(exercise))
        if exercise.upside_down:
            said.append(NOT_ALONE)
    reasons = " ".join(dict.fromkeys(said))
    if anyway:
        return reasons.rstrip(".")
    asks = any(each.question for each in findings)
    answer = f"Answer the first day's questions: {ANSWER_WITH}. " if asks else ""
    raise UsageError(
        reasons.rstrip("."),
        f"{answer}To go on all the same, at your own risk, add --anyway",
    )


def with_figures(plan: Plan, ident: str, figures: dict[str, Any]) -> Plan:
    """Return the plan with an exercise's figures changed, the exercise added if new.

    Raises:
        UsageError: the figures don't go together.
    """
    entry = plan.entry(ident) or default_entry(ident)
    try:
        if "pattern" in figures:
            figures["pattern"] = Pattern.parse(figures["pattern"])
        changed = replace(entry, **figures)
    except ValueError as error:
        said = clean(str(error)).removesuffix(", please")
        raise UsageError(
            f"{plan.brief_name(ident)}: {said}", "Nothing was changed"
        ) from None
    stays = changed.end_of_hold is EndOfHold.STAY
    if stays and not plan.exercise(ident).may_stay:
        raise UsageError(
            f"{plan.brief_name(ident)} may not go on past its target",
            "Leave it at --end stop",
        )
    return plan.with_entry(changed)


def without(plan: Plan, ident: str) -> Plan:
    """Return the plan without an exercise.

    Raises:
        UsageError: it isn't in the plan, or nothing would be left.
    """
    if plan.entry(ident) is None:
        raise UsageError(
            f"{plan.brief_name(ident)} is not in the plan", "See it: trainer plan show"
        )
    left = tuple(entry for entry in plan.exercises if entry.exercise != ident)
    if not left:
        raise UsageError(
            f"{plan.brief_name(ident)} is the plan's only exercise",
            "Put another one in first",
        )
    return replace(plan, exercises=left)


# The targets in force, and a plan with its targets taken: for ``trainer plan``.

WHO = {"person": Author.PERSON, "coach": Author.COACH}
"""Who ``--by`` may name."""


def targets_in_force(history: History, plan: Plan) -> dict[str, float]:
    """Return the target in force of each exercise of the plan."""
    from trainer.core.next_week.days import target_in_force

    return {
        entry.exercise: target_in_force(history, plan, entry.exercise)
        for entry in plan.exercises
    }


def set_targets(history: History) -> dict[str, float]:
    """Return the latest target that was set or taken, by exercise."""
    return {target.exercise: target.target_s for target in history.targets}


def take(
    store: Store,
    old: Plan,
    new: Plan,
    targets: Mapping[str, float],
    *,
    author: Author,
    now: datetime,
    first_day: date | None = None,
) -> None:
    """Write the plan if it differs, and each target; one undo takes all of it back.

    Args:
        store: the data file.
        old: the plan in force.
        new: the plan that takes its place, today or from FIRST_DAY on.
        targets: those that come with it, in force at once.
        author: who sets them.
        now: the local time.
        first_day: from when the plan counts, where that is still to come.
    """
    made = [
        _target(exercise, target_s, author, now)
        for exercise, target_s in targets.items()
    ]
    if new != old or len(made) > 1:
        valid_from = max(first_day or now.date(), now.date())
        if valid_from > now.date() and not store.has_plan():
            # The first plan that there is counts also before its day.
            store.save_plan(old, valid_from=now.date())
        store.save_plan(new, valid_from=valid_from, targets=made)
        return
    for target in made:
        store.set_target(target)


def _target(exercise: str, target_s: float, author: Author, now: datetime) -> TargetSet:
    return TargetSet(
        uid=str(uuid4()),
        exercise=exercise,
        target_s=target_s,
        author=author,
        set_at=now.astimezone(timezone.utc),
        local_date=now.date(),
    )


@click.group("plan", invoke_without_command=True)
@usual_options
@click.pass_context
def plan_command(ctx: click.Context) -> None:
    """Show the plan, change it, read it from or write it to a file."""
    want_subcommand(ctx)


@plan_command.command("show", epilog=options.epilog("trainer plan show --json"))
@click.option("--json", "as_json", is_flag=True, help="One JSON document.")
@usual_options
@pass_context
def show(context: CliContext, *, as_json: bool) -> int:
    """Show the plan in force, with the targets in force."""
    with context.open_to_read() as store:
        plan = store.plan()
        targets = targets_in_force(store.history(), plan)
        answers = store.answers()
    if as_json:
        from trainer.core.plan.codec import plan_to_dict

        output.document({**plan_to_dict(plan), "targets": targets})
        return ExitCode.DONE
    from trainer.core.words import short_days

    days = short_days(plan.days, " ")
    output.line(f"{days}, {plan.order}, warm-up {plan.warm_up_s:g} s")
    for entry in plan.exercises:
        output.line()
        for text in _entry_lines(plan, entry, targets[entry.exercise]):
            output.line(text)
    output.line()
    if plan.coach:
        output.line(f"Coach: {plan.coach}")
    if plan.note:
        output.paragraph(f"Note: {plan.note}", indent="")
    output.paragraph(
        _hardest(answers, plan.top, on=context.clock.wall().date()), indent=""
    )
    return ExitCode.DONE


def _entry_lines(plan: Plan, entry: PlanExercise, target_s: float) -> tuple[str, ...]:
    name = plan.exercise(entry.exercise).name
    figures = (
        f"  {entry.sets} sets, start {entry.start_s:g} s, rest {entry.rest_s:g} s,"
        f" step {entry.step_s:g} s, cap {entry.cap_s:g} s, floor {entry.floor_s:g} s"
    )
    rest = f"  end of hold {entry.end_of_hold}, breathing {entry.pattern}"
    if entry.grip is not None:
        rest += f", grip {entry.grip}"
    called = f"{name} ({entry.exercise} in commands)"
    lines = [called, f"  target {target_s:g} s", figures, rest]
    if entry.cue:
        lines.append(f"  cue: {entry.cue}")
    return tuple(lines)


@plan_command.command(
    "set",
    epilog=options.epilog(
        "trainer plan set hang --target 35 --cap 60",
        "trainer plan set press-pike --add --sets 2",
        exercises=True,
    ),
)
@click.argument("exercise", shell_complete=options.complete_exercise)
@click.option("--target", "target_s", type=options.TARGET, help="In force from now.")
@click.option(
    "--sets", type=options.whole_between("sets", 1, MOST_SETS), help="A session's sets."
)
@click.option("--start", "start_s", type=options.TARGET, help="The first target.")
@click.option(
    "--rest",
    "rest_s",
    type=options.seconds_between(0, LONGEST_REST_S),
    help="Between its sets; at least twice the target is taken.",
)
@click.option(
    "--step",
    "step_s",
    type=options.seconds_between(0.5, LARGEST_STEP_S),
    help="What a clean week adds.",
)
@click.option("--cap", "cap_s", type=options.TARGET, help="No step goes past it.")
@click.option("--floor", "floor_s", type=options.TARGET, help="Nothing goes under it.")
@click.option(
    "--end",
    "end_of_hold",
    type=options.choice(EndOfHold, "an end of hold"),
    metavar="stop|stay",
    help="At the target: end, or count on.",
)
@click.option("--pattern", metavar="IN:OUT", help="Breathing, such as 4:6.")
@click.option(
    "--grip",
    type=options.choice(Grip, "a grip"),
    metavar="GRIP",
    help=f"{', '.join(Grip)}.",
)
@click.option("--cue", type=options.CUE, help="A coach's cue, shown with the hold.")
@click.option(
    "--by",
    type=click.Choice(tuple(WHO)),
    default="person",
    help="Who sets the target.",
)
@click.option("--add", is_flag=True, help="Put the exercise in if it isn't planned.")
@click.option("--remove", is_flag=True, help="Take the exercise out of the plan.")
@click.option(
    "--anyway",
    is_flag=True,
    help="Also where it is harder than may be offered to you: at your own risk.",
)
@usual_options
@pass_context
def set_(
    context: CliContext,
    *,
    exercise: str,
    by: str,
    add: bool,
    remove: bool,
    anyway: bool,
    **given: Any,
) -> int:
    """Change one exercise of the plan; with --add, put it in.

    A target set here stays in force until you, a coach or a suggestion taken changes
    it. What you leave out stays as it is.
    """
    figures = {name: value for name, value in given.items() if value is not None}
    if not (figures or remove or add):
        raise UsageError("There is nothing to set", "Give a figure, as in --target 30")
    if (figures or add) and remove:
        raise UsageError(
            "--remove takes no figures and no --add", "Leave the other options out"
        )
    target_s = figures.pop("target_s", None)
    with context.open_store() as store:
        old = store.plan()
        ident = options.known_exercise(exercise, old.known_ids())
        if remove:
            new = without(old, ident)
        else:
            want_planned(old, ident, add=add)
            new = with_figures(old, ident, figures)
        new_targets = {} if target_s is None else {ident: target_s}
        warning = warning_past_gate(
            new,
            past_the_gate(
                old, new, store.answers(), new_targets, on=context.clock.wall().date()
            ),
            anyway=anyway,
        )
        lines = plan_changes(
            old,
            new,
            old_targets=targets_in_force(store.history(), new),
            new_targets=new_targets,
        )
        take(store, old, new, new_targets, author=WHO[by], now=context.clock.wall())
    for text in lines or (f"{new.brief_name(ident)}: nothing changed",):
        output.line(text)
    if warning:
        diagnostics.warning(warning)
    return ExitCode.DONE


@plan_command.command(
    "use",
    epilog=options.epilog(
        "trainer plan use coach.toml --dry-run", "trainer plan use - --yes < coach.toml"
    ),
)
@click.argument("file", type=click.Path(path_type=Path), metavar="FILE")
@click.option("--yes", is_flag=True, help="Don't ask.")
@click.option("--dry-run", is_flag=True, help="Only show what it would change.")
@click.option("--json", "as_json", is_flag=True, help="That as one JSON document.")
@click.option(
    "--by",
    type=click.Choice(tuple(WHO)),
    default="coach",
    help="Who sets the targets in it.",
)
@click.option(
    "--anyway",
    is_flag=True,
    help="Also what is held back for you: at your own risk.",
)
@usual_options
@pass_context
def use(
    context: CliContext,
    *,
    file: Path,
    yes: bool,
    dry_run: bool,
    as_json: bool,
    by: str,
    anyway: bool,
) -> int:
    """Take the plan in a TOML file (- for stdin), once you have seen what it changes.

    What the file doesn't name stays as it was. To begin one: trainer plan save
    --template FILE.
    """
    from trainer.plan_file import LARGEST_BYTES, plan_from
    from trainer.settings.toml import read

    if as_json and not dry_run:
        raise UsageError("--json goes with --dry-run", "Add --dry-run")
    # Before the data file is opened: a plan may come slowly, or not at all.
    source = read(file, largest_bytes=LARGEST_BYTES)
    with context.open_store() as store:
        old = store.plan()
        content = plan_from(source, old)
        new = keeping_own(old, content.plan)
        now = context.clock.wall()
        first_day = content.first_week.monday if content.first_week else None
        weeks = sorted(content.rest_weeks - store.history().rest_weeks)
        before = targets_in_force(store.history(), new)
        targets = {
            exercise: target_s
            for exercise, target_s in content.targets.items()
            if before.get(exercise) != target_s
        }
        lines = plan_changes(old, new, old_targets=before, new_targets=targets)
        if lines and first_day is not None and first_day > now.date():
            lines = (*lines, f"in force from {short_date(first_day)} on")
        lines = (*lines, *(f"rest week: {words.week(week)} ({week})" for week in weeks))
        past = past_the_gate(old, new, store.answers(), targets, on=now.date())
        if as_json:
            _show_change(lines, new, targets, past)
            return ExitCode.DONE
        if not lines:
            output.line("This plan changes nothing.")
            return ExitCode.DONE
        for text in lines:
            output.line(text)
        for reason in dict.fromkeys(each.says for each in past):
            output.line(f"Held back: {reason}")
        if dry_run:
            return ExitCode.DONE
        warning_past_gate(new, past, anyway=anyway)
        if not confirmed(
            "Take this plan?", yes=yes, unasked="The plan was shown and not taken"
        ):
            output.line("Left as it is.")
            return ExitCode.DONE
        take(
            store,
            old,
            new,
            targets,
            author=WHO[by],
            now=now,
            first_day=first_day,
        )
        for week in weeks:
            store.set_rest_week(week, on=True)
    output.line("Taken.")
    return ExitCode.DONE


def _show_change(
    lines: Sequence[str],
    new: Plan,
    targets: Mapping[str, float],
    past: Sequence[Finding],
) -> None:
    """Write what would change, and the plan that would come of it."""
    from trainer.core.plan.codec import plan_to_dict

    output.document(
        {
            "changes": list(lines),
            "held_back": [
                {"exercise": each.exercise, "reason": each.reason, "says": each.says}
                for each in past
            ],
            "plan": plan_to_dict(new),
            "targets": dict(targets),
        }
    )


def _answer(text: str) -> tuple[str, str]:
    """Read ``KEY=yes|no|open``."""
    key, _, word = text.partition("=")
    key, word = key.strip().lower(), word.strip().lower()
    if key not in QUESTION_OF:
        raise UsageError(
            f"There is no question {clean(key, limit=40)!r}",
            f"The questions are: {', '.join(QUESTION_OF)}",
        )
    if word not in WORDS:
        raise UsageError(
            f"{clean(word, limit=40)!r} is no answer to {key}",
            f"Say {key}=yes, {key}=no or {key}=open",
        )
    return key, word


def _answer_words(_: click.Context, begun: str) -> list[str]:
    """Complete an answer: the question's key, then yes, no or open."""
    key, has_key, _word_begun = begun.partition("=")
    return [f"{key}={word}" for word in WORDS] if has_key else list(QUESTION_OF)


@plan_command.command(
    "questions",
    epilog=options.epilog(
        "trainer plan questions",
        "trainer plan questions --answer hang-was-easy=yes --answer shoulder=no",
    ),
)
@click.option(
    "--answer",
    "given",
    multiple=True,
    type=options.Parsed("answer", _answer, _answer_words),
    metavar="KEY=yes|no|open",
    help="An answer; may be given again for another question.",
)
@click.option("--json", "as_json", is_flag=True, help="One JSON document.")
@usual_options
@pass_context
def questions(
    context: CliContext, *, given: tuple[tuple[str, str], ...], as_json: bool
) -> int:
    """Answer the first day's questions, which decide what may be offered to you.

    Without --answer they are asked at a terminal, one key each; without a terminal
    they are listed. What stays open counts as the careful answer.
    """
    on = context.clock.wall().date()
    if not given and (as_json or not stdin_is_terminal()):
        with context.open_to_read() as store:
            _show_questions(store.answers(), on=on, as_json=as_json)
        return ExitCode.DONE
    from trainer.cli.plain.questions import ask_first_day
    from trainer.cli.plain.terminal import open_keys
    from trainer.training.answers import keep_answers

    with context.open_store() as store:
        said_now = dict(given)
        if not given:
            with open_keys() as keys:
                said_now = ask_first_day(
                    keys, store.answers(), on=on, planned=store.has_plan()
                )
            output.line()
        changed = keep_answers(store, said_now, on=on)
        _show_questions(store.answers(), on=on, as_json=as_json)
    if not changed and not as_json:
        output.line("Nothing changed.")
    return ExitCode.DONE


def _show_questions(answers: Mapping[str, str], *, on: date, as_json: bool) -> None:
    if as_json:
        agreed = agreed_on(answers)
        output.document(
            {
                "questions": [
                    {
                        "key": each.key,
                        "asks": each.asks,
                        "answer": _word(answers, each.key),
                        "applies": applies(each.key, answers),
                    }
                    for each in QUESTIONS
                ],
                "clinician_agreed_on": None if agreed is None else agreed.isoformat(),
                "top": {family.value: top(family, answers, on=on) for family in Family},
            }
        )
        return
    for each in QUESTIONS:
        if applies(each.key, answers):
            word = _word(answers, each.key)
            since = agreed_on(answers) if each.key == CLINICIAN_AGREED else None
            dated = "" if since is None else f", said on {words.day(since)}"
            output.line(f"{each.key}: {word}{dated}")
            output.line(f"  {each.asks}")
    output.paragraph(_hardest(answers, {}, on=on), indent="")


def _hardest(
    answers: Mapping[str, str], plan: Mapping[Family, str], *, on: date
) -> str:
    """Say what is the hardest that may be offered, and what is still open."""
    rungs = [top(family, answers, on=on, plan=plan) for family in Family]
    names = words.listed([BUILT_IN[rung].name for rung in rungs])
    said_so = f"The hardest that may be offered: {names}."
    if still_open(answers):
        said_so += f" Questions are open: {ANSWER_WITH}."
    return said_so


def _word(answers: Mapping[str, str], key: str) -> str:
    return {True: YES, False: NO, None: OPEN}[said(answers, key)]


@plan_command.command(
    "save",
    epilog=options.epilog(
        "trainer plan save --template plan.toml", "trainer plan save -"
    ),
)
@click.argument("file", type=click.Path(path_type=Path), metavar="FILE")
@replace_option
@click.option(
    "--template", is_flag=True, help="A commented one to begin from, without figures."
)
@usual_options
@pass_context
def save(context: CliContext, *, file: Path, replace: bool, template: bool) -> int:
    """Write the plan to a TOML file that can be edited and sent (- for stdout)."""
    from trainer.plan_file import TEMPLATE, PlanFile, plan_text

    if template:
        return _written(file, TEMPLATE, replace=replace)
    with context.open_to_read() as store:
        plan, targets = store.plan(), set_targets(store.history())
    planned = {entry.exercise for entry in plan.exercises}
    content = PlanFile(
        plan=plan,
        targets={name: value for name, value in targets.items() if name in planned},
    )
    return _written(file, plan_text(content), replace=replace)


def _written(file: Path, text: str, *, replace: bool) -> int:
    if str(file) == "-":
        output.file_text(text)
        return ExitCode.DONE
    write_file(file, text, replace=replace)
    diagnostics.say(f"Written: {file}")
    return ExitCode.DONE


@plan_command.command(
    "calendar", epilog=options.epilog("trainer plan calendar training.ics")
)
@click.argument("file", type=click.Path(path_type=Path), metavar="FILE")
@replace_option
@usual_options
@pass_context
def calendar(context: CliContext, *, file: Path, replace: bool) -> int:
    """Write the training days as a calendar file, iCalendar (- for stdout).

    Whole days that come back each week, but in rest weeks; what reminds you of them is
    the calendar program's. Write it again after a change of the plan: the calendar
    program knows by the id in it that it takes the place of the former days.
    """
    from trainer.core.answers import trainee_name
    from trainer.report.calendar import Days, calendar_text

    with context.open_to_read() as store:
        days = Days(
            plan=store.plan(),
            rest_weeks=store.history().rest_weeks,
            of=store.first_uid(),
            changed_at=store.plan_changed_at(),
            name=trainee_name(store.answers()),
        )
    if not days.plan.days:
        raise UsageError("The plan has no training days", "Set some: trainer plan use")
    text = calendar_text(days, now=context.clock.wall())
    return _written(file, text, replace=replace)
