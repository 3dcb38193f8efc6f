"""The five answers: a line each, with its figures, or that it can't be told yet."""

from __future__ import annotations

import json
import random
from dataclasses import replace
from datetime import date, datetime, timedelta, timezone
from typing import Any

import pytest

from tests.core.histories import hold, session
from tests.trainee import trainee
from trainer.core.angle.check import AngleCheck, Method, Pose, Position
from trainer.core.angle.figures import Figures
from trainer.core.model import (
    EndedBy,
    Felt,
    History,
    Hold,
    Pain,
    PainKind,
    Session,
    Side,
    Site,
)
from trainer.core.next_week.decide import next_week
from trainer.core.next_week.suggestion import Change, Rule, Suggestion
from trainer.core.plan.plan import Plan, default_entry
from trainer.core.review.answers import (
    ASKED,
    RULE_WORDS,
    Answer,
    Question,
    answers,
    change_in_short,
    change_said,
    lines,
)
from trainer.core.review.pain import by_place, pain_noted
from trainer.core.review.progress import CouldHold, Progress, progress_of
from trainer.core.review.review import Review, review
from trainer.core.review.streaks import PlannedDays
from trainer.core.review.trends import Direction
from trainer.core.weeks import IsoWeek

MONDAY = date(2026, 3, 2)
PLAN = Plan(
    exercises=(default_entry("hang"), default_entry("press-pike")), days=(1, 3, 5)
)
SORE = Pain(PainKind.PAIN, Site.WRIST, Side.LEFT)
SUGGESTED = Suggestion(
    exercise="hang",
    week=IsoWeek.of(MONDAY).plus(1),
    change=Change.SAME,
    rule=Rule.REPEAT,
    target_s=20.0,
    current_s=20.0,
    sets=3,
    rest_s=60.0,
    reasons=(),
    would_change=(),
    chance=0.6,
    cautions=(),
)


def look(*sessions: Session, today: date | None = None, plan: Plan = PLAN) -> Review:
    newest = max((one.local_date for one in sessions), default=MONDAY)
    now = today or newest
    history = History(sessions=sessions)
    return review(
        history,
        plan=plan,
        planned=[PlannedDays(date.min, len(plan.days), plan.days)],
        today=now,
        suggestions=next_week(history, plan, today=now),
    )


def visit(day: date, *holds: Hold) -> Session:
    return session(day, *(replace(one, uid=f"{day}{n}") for n, one in enumerate(holds)))


def answer(found: Review, question: Question) -> Answer:
    return next(one for one in answers(found) if one.question is question)


def weeks_of(count: int, *holds: Hold) -> list[Session]:
    """Return three sessions a week with these holds."""
    return [
        visit(MONDAY + timedelta(weeks=week, days=day), *holds)
        for week in range(count)
        for day in (0, 2, 4)
    ]


class TestAll:
    def test_five_in_the_order_of_the_questions(self) -> None:
        """Without open pain: doing, better, felt, hurts, next; each says something."""
        given = answers(look(*weeks_of(3, hold())))

        assert list(Question) == [one.question for one in given]
        assert all(one.says for one in given)
        assert set(Question) == set(ASKED)

    def test_open_pain_comes_first(self) -> None:
        """What hurts stands before all others while it is open, and is marked."""
        sore = visit(MONDAY, hold("press-pike", pain=(SORE,)))
        gone = visit(MONDAY, hold("press-pike", pain=(replace(SORE, gone_on=MONDAY),)))

        assert Question.HURTS is answers(look(sore))[0].question
        assert answers(look(sore))[0].urgent
        assert Question.DOING is answers(look(gone))[0].question

    def test_nothing_logged_is_said(self) -> None:
        """An empty log has five answers too: none of them a figure made up."""
        given = {one.question: one.says for one in answers(look())}

        assert "Nothing logged yet." == given[Question.DOING]
        assert "can't be told yet" in given[Question.BETTER]
        assert given[Question.FELT].startswith("Can't be told yet")

    @pytest.mark.parametrize("seed", range(8))
    def test_each_takes_two_lines_of_a_small_terminal(self, seed: int) -> None:
        """Whatever was logged of two exercises: no answer is longer than that."""
        found = look(*anything(seed), today=MONDAY + timedelta(weeks=12))
        checks = [angle(150.0, MONDAY), angle(153.0 + 3 * seed, found.today)]

        for one in answers(replace(found, angle_checks=tuple(checks))):
            assert lines(one.says) <= 2, one.says
            assert "and 1 more" not in one.says or one.question is Question.HURTS

    def test_a_line_is_the_small_terminals_less_one_column_either_way(self) -> None:
        """Of 80 columns an answer has 78."""
        assert [1, 2] == [lines(f"{'five ' * 15}{end}") for end in ("end", "long")]

    def test_figures_are_plain_values(self) -> None:
        """The JSON form is what ``json`` can write, with the sentence in it."""
        made = trainee()
        found = review(
            made.history,
            plan=made.plan,
            planned=[PlannedDays(since, len(p.days)) for since, p in made.plans],
            today=date(2026, 11, 25),
            suggestions=next_week(made.history, made.plan, today=date(2026, 11, 25)),
        )
        for one in answers(found):
            read = json.loads(json.dumps(one.as_dict()))

            assert read["says"] == one.says
            assert read == one.as_dict()


def anything(seed: int) -> list[Session]:
    """Return twelve weeks of two exercises, with whatever may be said of them."""
    draw = random.Random(seed)
    sites = draw.sample((*Site,), 4)
    found = []
    for week in range(12):
        for day in draw.sample(range(7), draw.randint(1, 3)):
            holds = []
            for exercise in draw.sample(("hang", "press-pike"), draw.randint(1, 2)):
                pain = Pain(
                    PainKind.PAIN,
                    draw.choice(sites),
                    draw.choice((None, Side.LEFT, Side.LEFT, Side.BOTH)),
                    gone_on=draw.choice((None, MONDAY + timedelta(weeks=week, days=7))),
                )
                felt = Felt(draw.choice((Site.LATS, Site.LOW_BACK)), Side.LEFT)
                holds.append(
                    hold(
                        exercise,
                        held_s=20.0 + 4 * week,
                        rpe=draw.choice((6.0, 8.0, 9.5)),
                        felt=(felt,),
                        pain=(pain,) if draw.random() < 0.1 * (seed % 4) else (),
                    )
                )
            found.append(visit(MONDAY + timedelta(weeks=week, days=day), *holds))
    return found


class TestDoing:
    def test_counts_days_that_were_due_so_far(self) -> None:
        """On the Wednesday of the fourth week, Monday missed: nine of ten."""
        found = look(*weeks_of(3, hold()), today=MONDAY + timedelta(weeks=3, days=2))
        one = answer(found, Question.DOING)

        assert (9, 10) == (one.figures["days_done"], one.figures["days_due"])
        assert "3 weeks in a row" in one.says
        assert "9 of 10 days done that were due in these 4 weeks (90 %)" in one.says
        assert "this week 0 of 3" in one.says

    def test_a_week_off_is_said_to_be_one(self) -> None:
        """With what was due before it; it asks for no days."""
        sessions = weeks_of(1, hold())
        off = IsoWeek.of(MONDAY).plus(1)
        history = History(sessions=tuple(sessions), rest_weeks=frozenset({off}))
        resting = review(
            history,
            plan=PLAN,
            planned=[PlannedDays(date.min, 3, (1, 3, 5))],
            today=off.monday,
        )

        assert (
            "1 week done, the longest 1. 3 of 3 days done that were due in these 2"
            " weeks (100 %); this week is a week off."
        ) == answer(resting, Question.DOING).says


class TestBetter:
    def test_up_where_the_ranges_don_t_meet(self) -> None:
        """From 20 s at RPE 9 to 60 s at RPE 7: the range then lies under that now."""
        found = look(
            *weeks_of(1, hold(held_s=20, rpe=9.0)),
            *(
                visit(
                    MONDAY + timedelta(weeks=week), hold(held_s=20 + 5 * week, rpe=7.0)
                )
                for week in range(1, 9)
            ),
        )
        one = answer(found, Question.BETTER)
        (hang,) = one.figures["exercises"]

        assert "up" == hang["direction"]
        assert hang["then"]["high_s"] < hang["now"]["low_s"]
        assert f"Passive hang {hang['now']['median_s']} s (" in one.says
        assert "up since March" in one.says
        assert f"{hang['then']['median_s']} s (" in one.says

    @pytest.mark.parametrize(
        ("thens", "says"),
        [
            (
                [(15, 20, 25)],
                "Could be held, with an 80 % range: Passive hang 40 s (30–50), up since"
                " March's 20 s (15–25).",
            ),
            (
                [(60, 70, 80)],
                "Could be held, with an 80 % range: Passive hang 40 s (30–50), down"
                " since March's 70 s (60–80).",
            ),
            (
                [(25, 35, 45)],
                "Could be held, with an 80 % range: Passive hang 40 s (30–50), can't be"
                " told from March's 35 s (25–45).",
            ),
            (
                [None],
                "Could be held, with an 80 % range: Passive hang 40 s (30–50), up or"
                " down can't be told yet.",
            ),
            (
                [(15, 20, 25), (60, 70, 80), (25, 35, 45)],
                "Could be held: Passive hang 40 s (30–50): up since March; Pike"
                " press-away 40 s (30–50): down since March; and 1 more.",
            ),
            (
                [(15, 20, 25), (60, 70, 80), (25, 35, 45), None],
                "Could be held: Passive hang 40 s (30–50): up since March; Pike"
                " press-away 40 s (30–50): down since March; and 2 more.",
            ),
        ],
    )
    def test_says_what_could_be_held_now_and_then_as_far_as_two_lines_go(
        self, thens: list[tuple[int, int, int] | None], says: str
    ) -> None:
        """With what it was before; of more exercises with the verdict, then fewer."""
        trained = ("hang", "press-pike", "hang-supported", "press-pushup")
        base = look(*(visit(MONDAY, hold(one)) for one in trained))
        exercises = tuple(
            replace(
                one,
                progress=Progress(
                    exercise=one.exercise,
                    then=None if then is None else could(*then),
                    now=could(30, 40, 50),
                ),
            )
            for one, then in zip(base.exercises, thens, strict=False)
        )
        found = answer(replace(base, exercises=exercises), Question.BETTER)

        assert f"{says} No angle check yet." == found.says

    def test_early_on_it_can_t_be_told(self) -> None:
        """In the third week there is a range and no verdict."""
        one = answer(look(*weeks_of(3, hold(rpe=7.0))), Question.BETTER)

        assert one.figures["exercises"][0]["then"] is None
        assert "up or down can't be told yet" in one.says

    @pytest.mark.parametrize(("days", "compared"), [(27, False), (28, True)])
    def test_the_first_week_is_compared_from_four_weeks_on(
        self, days: int, compared: bool
    ) -> None:
        """On the Sunday of the fourth week not yet, on the Monday after it."""
        history = History(sessions=tuple(weeks_of(1, hold(rpe=7.0))))
        today = MONDAY + timedelta(days=days)
        found = progress_of(history, "hang", [MONDAY], today=today)

        assert found is not None
        assert compared == (found.then is not None)

    def test_a_target_that_rises_is_no_gain(self) -> None:
        """Constant ability under a rising target: seldom up, and seldom down.

        Sixteen made-up trainees who can hold 60 s with 10 % of noise a day, targets
        from 20 to 48 s in twelve weeks. If a verdict had a chance of 5 % each, more
        than 3 would come once in 140 times.
        """
        verdicts = [constant(seed) for seed in range(16)]

        assert verdicts.count(Direction.UP) + verdicts.count(Direction.DOWN) <= 3

    def test_the_overhead_angle_is_answered_beside(self) -> None:
        """No check is said; two that differ by less than the noise can't be told."""
        found = look(*weeks_of(3, hold()))
        checks = [angle(150.0, MONDAY), angle(155.0, MONDAY + timedelta(weeks=8))]
        looked = replace(found, angle_checks=tuple(checks))

        assert "No angle check yet." in answer(found, Question.BETTER).says
        assert (
            "Overhead angle, reach: 155°, can't be told from March (150°)."
            in answer(looked, Question.BETTER).says
        )


def could(low: int, middle: int, high: int) -> CouldHold:
    """Return what could be held, just under a second over what is shown."""
    return CouldHold(
        on=MONDAY, median_s=middle + 0.9, low_s=low + 0.9, high_s=high + 0.9
    )


def constant(seed: int) -> Direction:
    """Return the verdict on somebody whose ability stays the same for twelve weeks."""
    draw = random.Random(seed)
    sessions = []
    for week in range(12):
        for day in (0, 2, 4):
            on = MONDAY + timedelta(weeks=week, days=day)
            target_s = 20.0 + 2.5 * week
            able_s = 60 * draw.lognormvariate(0, 0.1)
            holds = [
                attempt(target_s, able_s * (1 - 0.04 * nth), nth) for nth in range(3)
            ]
            sessions.append(visit(on, *holds))
    history = History(sessions=tuple(sessions))
    days = [one.local_date for one in sessions]
    found = progress_of(history, "hang", days, today=days[-1])
    assert found is not None
    return found.direction


def attempt(target_s: float, able_s: float, nth: int) -> Hold:
    """Return a hold of somebody who rates by the wording: breaths of 10 s left."""
    held_s = min(target_s, able_s)
    left = max(0.0, able_s - held_s) / 10
    rpe = 10.0 if left == 0 else max(4.0, 9 - round(2 * left) / 2)
    return hold(
        held_s=round(held_s, 1),
        target_s=target_s,
        rpe=rpe,
        set_number=nth + 1,
        ended_by=EndedBy.TARGET if held_s == target_s else EndedBy.KEY,
    )


def angle(degrees: float, day: date) -> AngleCheck:
    return AngleCheck(
        uid=str(day),
        measured_at=datetime.combine(day, datetime.min.time(), timezone.utc),
        utc_offset_min=0,
        local_date=day,
        position=Position(method=Method.INCLINOMETER, pose=Pose.REACH),
        figures=Figures(overhead_deg=degrees),
    )


class TestFelt:
    def test_names_the_sites_the_most_often_felt_first(self) -> None:
        """Lats in six of nine sessions, ribs in three, the side left open."""
        found = look(
            *weeks_of(2, hold(felt=(Felt(Site.LATS),))),
            *(
                visit(
                    MONDAY + timedelta(weeks=2, days=n), hold(felt=(Felt(Site.RIBS),))
                )
                for n in (0, 2, 4)
            ),
        )
        says = answer(found, Question.FELT).says

        assert "Of 9 sessions in four weeks: lats 6, ribs 3." in says
        assert "Sides weren't noted." in says

    @pytest.mark.parametrize(
        "sides", [(Side.LEFT, Side.RIGHT, None), (Side.RIGHT, Side.RIGHT, None)]
    )
    def test_one_place_with_its_side_is_enough_to_compare(
        self, sides: tuple[Side | None, ...]
    ) -> None:
        """Lats once each, or twice right, ribs without a side: nothing to be told."""
        found = look(
            *(
                visit(
                    MONDAY + timedelta(days=n),
                    hold(felt=(Felt(Site.LATS, side), Felt(Site.RIBS))),
                )
                for n, side in enumerate(sides)
            )
        )

        assert (
            "Left and right alike, as far as can be told."
            in answer(found, Question.FELT).says
        )

    def test_its_figures_have_the_strength_to_the_tenth_where_one_was_noted(
        self,
    ) -> None:
        """Lats at 4, 5 and 5 are 4.7 on average; of the ribs nobody said how strong."""
        found = look(
            *(
                visit(
                    MONDAY + timedelta(days=n),
                    hold(felt=(Felt(Site.LATS, strength=said), Felt(Site.RIBS))),
                )
                for n, said in enumerate((4, 5, 5))
            )
        )
        ribs, lats = answer(found, Question.FELT).figures["sites"]

        assert ("ribs", 3, None) == (ribs["site"], ribs["sessions"], ribs["strength"])
        assert ("lats", 3, 4.7) == (lats["site"], lats["sessions"], lats["strength"])

    def test_where_a_hold_should_not_load_goes_before_how_it_moved(self) -> None:
        """The neck is felt ever more: the caution is said, and not the movement.

        In May, a month so short that there would have been room for both.
        """
        found = look(
            *(
                visit(
                    MONDAY + timedelta(weeks=9 + week),
                    hold(felt=(Felt(Site.NECK, strength=2.0 if week < 4 else 8.0),)),
                )
                for week in range(8)
            )
        )

        assert (
            "Of 4 sessions in four weeks: neck 4. Sides weren't noted. Again and again"
            " where a hold shouldn't load: neck."
        ) == answer(found, Question.FELT).says

    def test_says_the_side_where_it_is_beyond_chance(self) -> None:
        """Nine sessions on the left alone are said with both counts."""
        found = look(*weeks_of(3, hold(felt=(Felt(Site.LATS, Side.LEFT),))))
        one = answer(found, Question.FELT)

        assert "Felt in the left lats, 9 to 0: more than chance." in one.says
        assert [("lats", 9, 0)] == [
            (side["site"], side["left"], side["right"])
            for side in one.figures["one_sided"]
        ]


class TestHurts:
    def test_no_pain_is_said_for_the_period(self) -> None:
        """Nothing noted is said with how far back was looked."""
        one = answer(look(*weeks_of(3, hold())), Question.HURTS)

        assert "No pain was noted in these 3 weeks." == one.says
        assert not one.urgent

    @pytest.mark.parametrize(
        ("days", "said"),
        [
            ((0, 2, 4), "2 March, 4 March and 6 March"),
            ((0, 2, 4, 7), "4 days, last 9 March"),
        ],
    )
    def test_days_are_named_up_to_three_and_then_counted(
        self, days: tuple[int, ...], said: str
    ) -> None:
        """And that the person went on in spite of it, where they did."""
        found = look(
            *(
                visit(
                    MONDAY + timedelta(days=n),
                    hold("press-pike", pain=(SORE,), pain_overridden=n == 2),
                )
                for n in days
            )
        )

        assert (
            f"Open: pain in the left wrist (Pike press-away, {said}), it came back,"
            " gone on with once."
        ) == answer(found, Question.HURTS).says

    def test_a_period_of_one_week_is_this_week(self) -> None:
        """And of two it is these two."""
        first, second = visit(MONDAY, hold()), visit(MONDAY + timedelta(days=7), hold())

        assert [
            "No pain was noted in this week.",
            "No pain was noted in these 2 weeks.",
        ] == [
            answer(found, Question.HURTS).says
            for found in (look(first), look(first, second))
        ]

    def test_says_place_side_exercise_days_and_that_it_came_back(self) -> None:
        """The same wrist on two days: one pain, two days, came back."""
        found = look(
            *(
                visit(MONDAY + timedelta(days=n), hold("press-pike", pain=(SORE,)))
                for n in (0, 2)
            )
        )
        one = answer(found, Question.HURTS)

        assert (
            "Open: pain in the left wrist (Pike press-away, 2 March and 4 March), it"
            " came back."
        ) == one.says
        assert 1 == one.figures["open"]

    def test_the_newest_open_one_comes_first(self) -> None:
        """Open before gone, and of each the one that was noted last."""
        gone = replace(SORE, site=Site.NECK, gone_on=MONDAY + timedelta(days=4))
        elbow = replace(SORE, site=Site.ELBOW)
        noted = pain_noted(
            [
                visit(MONDAY + timedelta(days=n), hold("press-pike", pain=(sign,)))
                for n, sign in enumerate((SORE, elbow, gone))
            ]
        )

        assert [Site.ELBOW, Site.WRIST, Site.NECK] == [
            one.place[1] for one in by_place(noted)
        ]

    def test_the_other_wrist_is_another_pain(self) -> None:
        """Left and right are told apart; neither came back."""
        right = replace(SORE, side=Side.RIGHT)
        found = look(
            visit(MONDAY, hold("press-pike", pain=(SORE,))),
            visit(MONDAY + timedelta(days=2), hold("press-pike", pain=(right,))),
        )

        assert [False, False] == [
            one["came_back"] for one in answer(found, Question.HURTS).figures["pains"]
        ]

    def test_of_many_the_open_ones_are_told_and_the_others_counted(self) -> None:
        """Two lines: each open place with its days; of what is gone, how many."""
        sites = (Site.WRIST, Site.ELBOW, Site.NECK, Site.HAND, Site.FOREARM)
        signs = [
            Pain(PainKind.PAIN, site, Side.LEFT, gone_on=MONDAY if nth > 1 else None)
            for nth, site in enumerate(sites)
        ]
        found = look(visit(MONDAY, hold("press-pike", pain=tuple(signs))))
        says = answer(found, Question.HURTS).says

        assert (
            "Open in Pike press-away: pain in the left wrist (2 Mar), pain in the left"
            " elbow (2 Mar); 3 others gone."
        ) == says

    def test_many_that_are_gone_are_named_as_far_as_two_lines_go(self) -> None:
        """Without an open one nothing is urgent, and none is called another."""
        signs = tuple(
            Pain(PainKind.PAIN, site, Side.LEFT, gone_on=MONDAY)
            for site in (Site.WRIST, Site.ELBOW, Site.NECK, Site.HAND, Site.FOREARM)
        )
        found = look(visit(MONDAY, hold("press-pike", pain=signs)))
        one = answer(found, Question.HURTS)

        assert (
            "Gone: pain in the left wrist (2 Mar), pain in the left elbow (2 Mar), pain"
            " in the left neck (2 Mar), pain in the left hand (2 Mar), and 1 more."
        ) == one.says
        assert not one.urgent

    def test_the_count_of_sides_stands_with_the_pain_of_that_side(self) -> None:
        """Eight days on the left; once on the right has no count of its own."""
        days = [visit(MONDAY + timedelta(days=n), hold(pain=(SORE,))) for n in range(8)]
        numb = Pain(PainKind.NUMB, Site.HAND, Side.RIGHT)
        right = replace(SORE, side=Side.RIGHT, gone_on=MONDAY)
        there = [visit(MONDAY + timedelta(days=8), hold(pain=(numb, right)))]
        says = answer(look(*days, *there), Question.HURTS).says

        assert "left wrist (8 days, last 9 Mar, left 8 to 1: more than chance)" in says
        assert "right hand (10 Mar)" in says

    def test_of_two_one_sided_pains_the_surest_has_its_count(self) -> None:
        """Wrist and elbow hurt on the left, the wrist on more days: room for one."""
        elbow = replace(SORE, site=Site.ELBOW)
        days = [
            visit(
                MONDAY + timedelta(days=n), hold(pain=(SORE, elbow) if n else (SORE,))
            )
            for n in range(8)
        ]
        says = answer(look(*days), Question.HURTS).says

        assert "left wrist (8 days, last 9 Mar, left 8 to 0: more than chance)" in says
        assert "left elbow (7 days, last 9 Mar)" in says

    def test_gone_is_said_with_its_day(self) -> None:
        """What the person said is over isn't open, and isn't out of sight."""
        gone = replace(SORE, gone_on=MONDAY + timedelta(days=5))
        found = look(visit(MONDAY, hold("press-pike", pain=(gone,))))
        one = answer(found, Question.HURTS)

        assert "Gone: pain in the left wrist" in one.says
        assert "gone on 7 March" in one.says
        assert 0 == one.figures["open"]

    def test_open_pain_from_before_the_period_is_still_there(self) -> None:
        """Twelve weeks are looked back over; what is open from before is shown."""
        later = visit(MONDAY + timedelta(weeks=20), hold())
        is_open = look(visit(MONDAY, hold("press-pike", pain=(SORE,))), later)
        gone = replace(SORE, gone_on=MONDAY)
        over = look(visit(MONDAY, hold("press-pike", pain=(gone,))), later)

        assert answer(is_open, Question.HURTS).urgent
        assert () == over.pain

    @pytest.mark.parametrize(
        ("fields", "stopped"),
        [
            ({}, True),
            ({"pain_overridden": True}, False),
            ({"ended_by": EndedBy.ADDED}, None),
        ],
    )
    def test_whether_it_stopped_the_sets_left(
        self, fields: dict[str, Any], stopped: bool | None
    ) -> None:
        """Stopped, gone on with, or logged by hand, where nothing could be struck."""
        sore = visit(MONDAY, hold("press-pike", pain=(SORE,), **fields))

        assert [stopped] == [one.stopped for one in pain_noted([sore])]


class TestNext:
    def test_says_week_target_change_and_why(self) -> None:
        """Two clean sessions at RPE 7: a step, and the reason for it."""
        easy = [hold(held_s=20, rpe=7.0, set_number=n) for n in (1, 2, 3)]
        says = answer(look(*weeks_of(2, *easy)), Question.NEXT).says

        assert "eek of 16 March: Passive hang 3 × " in says
        assert "two clean sessions running" in says or "no step yet" in says

    @pytest.mark.parametrize(
        ("fields", "said", "in_short"),
        [
            ({"change": Change.UP, "target_s": 25.0}, "up from 20 s", "up 5 s"),
            ({"change": Change.DOWN, "target_s": 17.5}, "down from 20 s", "down 2.5 s"),
            (
                {"change": Change.DOWN, "from_exercise": "hang"},
                "a rung down",
                "a rung down",
            ),
            (
                {"change": Change.MOVE_ON, "from_exercise": "hang-supported"},
                "the next rung",
                "the next rung",
            ),
            ({"change": Change.START}, "to start with", ""),
            ({"change": Change.SAME}, "as before", ""),
            ({"change": Change.REST, "target_s": None}, "as before", ""),
        ],
    )
    def test_says_what_happens_to_the_target(
        self, fields: dict[str, Any], said: str, in_short: str
    ) -> None:
        """In full from where, in short by how much; a start or a stay is no change."""
        one = replace(SUGGESTED, **fields)

        assert said == change_said(one)
        assert in_short == change_in_short(one)

    @pytest.mark.parametrize(
        ("fields", "says"),
        [
            (
                {"change": Change.UP, "target_s": 25.0, "rule": Rule.STEP},
                "The week of 9 March: Passive hang 3 × 25 s, up from 20 s: two clean"
                " sessions running, chance 60 %.",
            ),
            (
                {"change": Change.SAME, "rule": Rule.STEP, "chance": 0.4},
                "The week of 9 March: Passive hang 3 × 20 s, as before: a step is more"
                " likely missed than made, chance 40 %.",
            ),
            (
                {"change": Change.SAME, "rule": Rule.REPEAT, "chance": None},
                "The week of 9 March: Passive hang 3 × 20 s, as before: no step yet.",
            ),
            (
                {"change": Change.REST, "target_s": None, "rule": Rule.PAIN},
                "The week of 9 March: Passive hang rests: pain keeps it from rising.",
            ),
        ],
    )
    def test_says_each_target_with_its_reason_and_chance(
        self, fields: dict[str, Any], says: str
    ) -> None:
        """A step that is held back has a reason of its own; a rest has no target."""
        found = replace(look(), suggestions=(replace(SUGGESTED, **fields),))

        assert says == answer(found, Question.NEXT).says

    def test_every_rule_has_its_words(self) -> None:
        """Whatever decides, the line says why."""
        assert set(Rule) == set(RULE_WORDS)

    def test_nothing_planned_is_said(self) -> None:
        """A plan without exercises has no next target."""
        empty = replace(PLAN, exercises=())

        assert "Nothing is planned." == answer(look(plan=empty), Question.NEXT).says
