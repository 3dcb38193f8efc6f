"""What angle checks say, in sentences: the same on screens, command line and page."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from trainer.core import words
from trainer.core.angle.check import AngleCheck, Reach, SeriesKey
from trainer.core.angle.noise import (
    LEAST_DOF,
    PUBLISHED_BY,
    SMALLEST_GAIN_DEG,
    Noise,
    Repeats,
    Source,
)
from trainer.core.angle.series import (
    Borrowed,
    Change,
    Difference,
    Series,
    borrowed,
    by_series,
    differences,
    headline,
    in_order,
    pair_of,
)
from trainer.core.exercises import BUILT_IN

BEFOREHAND = (
    "Four weeks rarely show a change: a check is a look at months, and no verdict on"
    " anybody."
)

MONTHS_BY_NAME = 11
"""A month this long ago is said with its year."""


def degrees(value: float) -> str:
    """Say an angle to the tenth, so that what is said of two of them adds up."""
    return f"{round(value, 1) + 0.0:g}°".replace("-", "−")


def difference(value: float) -> str:
    """Say a difference of angles with its sign, to the tenth."""
    return f"+{degrees(value)}" if round(value, 1) > 0 else degrees(value)


def named(key: SeriesKey) -> str:
    """Return the words that a series is called by: ``reach, guarded, photo``."""
    position = key.position
    exercise = position.exercise
    parts = [
        position.pose if exercise is None else _exercise(exercise),
        position.reach,
        position.blades,
        f"{position.side} arm" if position.side is not None else None,
        f"{position.when} training" if position.when is not None else None,
        position.method,
        f"to the {key.arm_point}" if key.arm_point is not None else None,
    ]
    return ", ".join(part for part in parts if part)


def _exercise(exercise: str) -> str:
    return BUILT_IN[exercise].name if exercise in BUILT_IN else exercise


def change_sentence(series: Series) -> str:
    """Say whether a series changed by more than its noise."""
    change = series.change
    if change is None:
        only = series.readings[0]
        return f"{degrees(only.value)} on {words.day(only.day)}: the first check."
    span = (
        f"{degrees(change.first.value)} on {words.day(change.first.day)},"
        f" {degrees(change.last.value)} on {words.day(change.last.day)}"
    )
    judged = f"{degrees(change.needs)} ({noise_named(series)})"
    if change.real:
        way = "more" if change.by > 0 else "less"
        return f"{span}: {degrees(abs(change.by))} {way}, beyond the noise of {judged}."
    return f"{span}: no change that can be told from noise; it would take {judged}."


def pair_sentence(then: AngleCheck, now: AngleCheck, series: Series) -> str:
    """Say whether two single checks of a series differ by more than its noise."""
    needs = series.noise.between_deg(1, 1)
    by = abs(now.overhead_deg - then.overhead_deg)
    judged = f"{degrees(needs)} ({noise_named(series)})"
    if by > needs:
        return f"More than the noise of {judged}."
    return f"Not to be told from noise, which is {judged} between two single checks."


def noise_named(series: Series) -> str:
    """Name where a series' noise comes from."""
    noise = series.noise
    method = series.key.position.method
    if noise.source is Source.PUBLISHED:
        return f"published for this method: {PUBLISHED_BY[method]}"
    if noise.dof < LEAST_DOF:
        return "own repeats, few yet, and larger than published"
    return f"own repeats, {noise.dof} beyond the first of their day"


def repeats_sentence(noise: Noise, *, gain_deg: float = SMALLEST_GAIN_DEG) -> str:
    """Say how many repeats would make a gain visible."""
    more = LEAST_DOF - noise.dof
    own = ""
    if more > 0:
        own = (
            " Repeats on one day, each set up afresh, show your own noise:"
            f" {more} more, and it is used instead."
        )
    photos = noise.repeats_for(gain_deg)
    if photos == 1:
        return f"One measurement each time shows a change of {gain_deg:g}°.{own}"
    return (
        f"To show a change of {gain_deg:g}° it would take {photos} repeats each"
        f" time.{own}"
    )


def borrowed_sentence(found: Borrowed) -> str:
    """Say that a free gain was lent by the back, and what remains."""
    opened = found.guarded is not None and found.guarded.real and found.guarded.by > 0
    part = "in part borrowed" if opened else "borrowed"
    lent = (
        f"The free angle gained {degrees(found.free.by)}, and the ribs came forward by"
        f" {found.flare.by:.2f} of the trunk's length: {part} from the back."
    )
    if found.guarded is None:
        return f"{lent} Without guarded checks there is no figure for what remains."
    return f"{lent} What remains is the guarded change: {_judged(found.guarded)}."


def _judged(change: Change) -> str:
    if change.real:
        return difference(change.by)
    return f"{difference(change.by)}, not to be told from noise"


def difference_sentence(found: Difference, *, reach: bool) -> str:
    """Say what the back lends to a free reach, or what the press does."""
    if reach:
        both = f"guarded {degrees(found.without)}, free {degrees(found.with_)}"
        what = "the back lends"
    else:
        both = f"sunk {degrees(found.without)}, pressed {degrees(found.with_)}"
        what = "the press does"
    judged = difference(found.by)
    if not found.real:
        judged += ", not to be told from noise"
    said = f"{words.day(found.day)}: {both}; {what} {judged}."
    if found.lift is not None:
        way = "up" if found.lift >= 0 else "down"
        said += f" The shoulder went {way} by {abs(found.lift):.2f} of the upper arm."
    return said


def in_a_line(checks: Iterable[AngleCheck]) -> str:
    """Answer in a line whether the shoulder opens, its series by all its words."""
    found = by_series(checks)
    series = headline(found.values())
    if series is None:
        return "No angle check yet: whether the shoulder itself opens isn't known."
    change = series.change
    name = named(series.key)
    if change is None:
        only = series.readings[0]
        return f"Overhead angle {degrees(only.value)} ({name}): one check, no change."
    if change.real:
        way = "up" if change.by > 0 else "down"
        said = f"Overhead angle {way} {degrees(abs(change.by))} to"
        said += f" {degrees(change.last.value)} since {words.day(change.first.day)}"
        if change.by > 0 and _lent(found, series):
            return f"{said} ({name}), with more rib flare: borrowed from the back."
        return f"{said} ({name})."
    return (
        f"Overhead angle {degrees(change.last.value)} ({name}): can't be told from"
        f" noise, which is {degrees(change.needs)}."
    )


def briefly(checks: Iterable[AngleCheck], *, pose: bool = True) -> str:
    """Answer the same in a few words, for a line that says other things too.

    POSE: name it, too.
    """
    found = by_series(checks)
    series = headline(found.values())
    if series is None:
        return "No angle check yet."
    position = series.key.position
    how = position.reach or position.blades
    named_pose = f"{how} {position.pose}" if how is not None else position.pose.value
    said = f"Overhead angle, {named_pose}:" if pose else "Overhead angle"
    said += f" {degrees(series.readings[-1].value)}"
    change = series.change
    if change is None:
        return f"{said}, one check."
    since = _month(change.first.day, seen_from=change.last.day)
    if not change.real:
        return f"{said}, can't be told from {since} ({degrees(change.first.value)})."
    way = "up" if change.by > 0 else "down"
    lent = ", borrowed" if change.by > 0 and _lent(found, series) else ""
    return f"{said}, {way} {degrees(abs(change.by))} since {since}{lent}."


def _month(day: date, *, seen_from: date) -> str:
    """Name a day's month, and its year where the name alone could be another one's."""
    name = words.month_name(day)
    months = 12 * (seen_from.year - day.year) + seen_from.month - day.month
    return name if months < MONTHS_BY_NAME else f"{name} {day.year}"


def _lent(found: dict[SeriesKey, Series], series: Series) -> bool:
    if series.key.position.reach is not Reach.FREE:
        return False
    return borrowed(series, pair_of(found, series.key)) is not None


def all_sentences(checks: Sequence[AngleCheck]) -> tuple[tuple[str, str], ...]:
    """Return for each series its name and all that can be said of it, in order."""
    found = by_series(checks)
    told = []
    for series in in_order(list(found.values())):
        said = [change_sentence(series)]
        position = series.key.position
        if position.reach is Reach.FREE:
            lent = borrowed(series, pair_of(found, series.key))
            if lent is not None:
                said.append(borrowed_sentence(lent))
        between = differences(found, series.key)
        if between and position.reach is not Reach.FREE and _is_base(series.key):
            said.append(
                difference_sentence(between[-1], reach=position.reach is not None)
            )
        if series.marking.dof:
            said.append(marking_sentence(series.marking))
        if series.change is None or not series.change.real:
            said.append(repeats_sentence(series.noise))
        told.append((named(series.key), " ".join(said)))
    return tuple(told)


def marking_sentence(own: Repeats) -> str:
    """Say what marking a photo again showed, and what it doesn't."""
    return (
        f"Marked again, the angle of one photo differs by {own.sd:.1f}° (one standard"
        " deviation): your marking alone, not how alike two photos are."
    )


def _is_base(key: SeriesKey) -> bool:
    """Tell whether KEY is the one that differences start from: guarded, or sunk."""
    return key.position.blades is None or key.position.blades.value == "sunk"
