"""A review as one JSON document: snake_case keys, units in the names."""

from __future__ import annotations

from typing import Any

from trainer.core.capacity.forecast import Forecast
from trainer.core.model import Moment
from trainer.core.next_week.suggestion import suggestion_as_dict
from trainer.core.review import sentences as say
from trainer.core.review.answers import Question, answers
from trainer.core.review.felt import Block, keeps_turning_up, marks_of_moment, moved
from trainer.core.review.kept import Best
from trainer.core.review.load import WeekLoad
from trainer.core.review.pain import PainNoted
from trainer.core.review.review import ExerciseReview, Review
from trainer.core.review.sides import OneSided
from trainer.core.weeks import IsoWeek


def review_as_dict(found: Review) -> dict[str, Any]:
    """Return the whole review as plain values."""
    given = answers(found)
    return {
        "today": found.today.isoformat(),
        "first_week": str(found.first),
        "last_week": str(found.last),
        "made_up": found.made_up,
        "name": found.name,
        "answers": {
            one.question.value: one.as_dict()
            for question in Question
            for one in given
            if one.question is question
        },
        "pain": [_pain(one) for one in reversed(found.pain)],
        "streak": {
            "current_weeks": found.streaks.current,
            "longest_weeks": found.streaks.longest,
            "sentence": say.streak_sentence(found.streaks),
        },
        "weeks": [
            {
                "week": str(week.week),
                "planned_days": week.planned_days,
                "days_done": week.days_done,
                "days_due": week.due_days,
                "state": week.state.value,
            }
            for week in found.streaks.weeks
            if week.week >= found.first
        ],
        "exercises": [_exercise(one, found.last) for one in found.exercises],
        "overhead_s": {
            family.value: {str(week): _figure(value) for week, value in by.items()}
            for family, by in found.overhead.items()
        },
        "load": [_load(week, load) for week, load in found.loads.items()],
        "felt": {
            "sentence": moved(found.felt),
            "cautions": list(keeps_turning_up(found.felt)),
            "one_sided": [_one_sided(one) for one in found.one_sided],
            "blocks": [_block(block) for block in found.felt],
        },
        "forecasts": {
            "scored": found.score.count,
            "brier": _figure(found.score.brier),
            "made_share": _figure(found.score.share_made),
            "sentence": say.score_sentence(found.score),
            "exercises": [_forecast(one) for one in found.forecasts],
        },
        "next": [suggestion_as_dict(one) for one in found.suggestions],
        "notes": [{"date": day.isoformat(), "note": note} for day, note in found.notes],
    }


def _figure(value: float | None) -> float | None:
    return None if value is None else round(value, 2)


def _exercise(one: ExerciseReview, last: IsoWeek) -> dict[str, Any]:
    return {
        "exercise": one.exercise,
        "sentence": say.kept_sentence(one, last),
        "best": _best(one.best),
        "best_of_whole_log": _best(one.best_ever),
        "trend": _trend(one),
        "sessions": [
            {
                "date": point.day.isoformat(),
                "sets": point.sets,
                "target_s": point.target_s,
                "kept_mean_s": _figure(point.kept_s),
                "best_s": point.best_s,
                "ended_early": point.early,
                "top_rpe": point.rpe,
            }
            for point in one.points
        ],
    }


def _pain(one: PainNoted) -> dict[str, Any]:
    """Return a pain; ``stopped`` is null where it was logged by hand."""
    return {
        "day": one.day.isoformat(),
        "exercise": one.exercise,
        "set": one.set_number,
        "site": None if one.site is None else one.site.value,
        "side": None if one.side is None else one.side.value,
        "kind": one.kind.value,
        "stopped": one.stopped,
        "gone_on": None if one.gone_on is None else one.gone_on.isoformat(),
    }


def _one_sided(one: OneSided) -> dict[str, Any]:
    return {
        "site": one.site.value,
        "hurts": one.hurt,
        "left": one.left,
        "right": one.right,
        "p": round(one.p, 4),
        "first_week": str(one.first),
        "last_week": str(one.last),
        "sentence": say.one_sided_sentence(one),
    }


def _best(best: Best) -> dict[str, Any]:
    return {"kept_s": best.kept_s, "date": best.day.isoformat()}


def _trend(one: ExerciseReview) -> dict[str, Any]:
    trend = one.trend
    slope, test = trend.slope, trend.test
    return {
        "verdict": trend.direction.value,
        "weekly_values": trend.points,
        "slope_s_per_week": None if slope is None else _figure(slope.slope),
        "low_s_per_week": None if slope is None else _figure(slope.low),
        "high_s_per_week": None if slope is None else _figure(slope.high),
        "p": None if test is None else round(test.p, 4),
        "sentence": say.trend_sentence(one),
    }


def _forecast(one: Forecast) -> dict[str, Any]:
    """Return when the cap is reached; a week past its horizon is null."""
    return {
        "exercise": one.exercise,
        "cap_s": one.cap_s,
        "reached": one.reached,
        "median_week": _week(one.median),
        "low_week": _week(one.low),
        "high_week": _week(one.high),
        "sentence": one.sentence(),
    }


def _week(week: IsoWeek | None) -> str | None:
    return None if week is None else str(week)


def _load(week: IsoWeek, load: WeekLoad) -> dict[str, Any]:
    return {
        "week": str(week),
        "load": _figure(load.load),
        "sessions_with_rpe": load.sessions,
    }


def _block(block: Block) -> dict[str, Any]:
    return {
        "first_week": str(block.first),
        "last_week": str(block.last),
        "sessions": block.sessions,
        "marks": [
            {
                "site": mark.site.value,
                "moment": None if moment is None else moment.value,
                "sessions": mark.sessions,
                "strength": _figure(mark.strength),
                "left": mark.left,
                "right": mark.right,
            }
            for moment in (*Moment, None)
            for mark in marks_of_moment(block, moment)
        ],
    }
