"""The gate as a table: who may be led into what, each row with its reason.

"Practice" is common practice in coaching handstands and hangs, without a published
source. Published: the sources that the project's cautions rest on, named in a row from
memory where it says so.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.core.answers import (
    CLINICIAN_AGREED,
    HEAD_UP,
    NO,
    SHOULDER,
    WALL_UNHURRIED,
    YES,
    as_kept,
    still_open,
)
from trainer.core.exercises import BUILT_IN, LADDERS, Exercise, Family
from trainer.core.model import (
    EndedBy,
    History,
    Hold,
    Pain,
    PainKind,
    Session,
    SessionKind,
    Side,
    Site,
)
from trainer.core.plan.first_day import plan_from, possible_presses
from trainer.core.safety import (
    OpenPain,
    Person,
    Reason,
    Verdict,
    gate,
    loads,
    open_pain,
    pain_words,
    said_gone,
    top,
)

TODAY = date(2026, 3, 9)
CLEAR = {SHOULDER: NO, HEAD_UP: NO, WALL_UNHURRIED: YES}
"""Somebody for whom nothing speaks against anything."""
GO, ASK, HOLD_BACK = Verdict.GO, Verdict.ASK, Verdict.HOLD_BACK

EYES = (
    "published: inversion raises the pressure in the eye about twofold (Weinreb et al."
    " 1984 and later work on head-down positions; from memory)"
)
BLOOD = "practice, as every list of contraindications to inversion has it"
UNSTABLE = (
    "published: instability and the months after surgery or a dislocation are for a"
    " clinician to load (consensus of shoulder rehabilitation, as AAOS's advice to"
    " patients has it; from memory)"
)
CAREFUL = "design: an open answer counts as the careful one, the same everywhere"
WALL = "practice: the first times at the wall with somebody by"
AGREED = "design: until a clinician has agreed, dated"

TABLE: list[tuple[dict[str, str], str, Verdict, str]] = [
    # Nothing answered: the first rungs alone.
    ({}, "hang-supported", GO, "practice: feet take what the shoulder can't"),
    ({}, "press-pushup", GO, "practice: not overhead, and the knees can go down"),
    ({}, "hang", ASK, CAREFUL),
    ({}, "press-pike", ASK, CAREFUL),
    ({}, "press-wall", ASK, CAREFUL),
    # All clear.
    (CLEAR, "hang-supported", GO, "nothing speaks against it"),
    (CLEAR, "hang", GO, "nothing speaks against it"),
    (CLEAR, "press-pushup", GO, "nothing speaks against it"),
    (CLEAR, "press-pike", GO, "nothing speaks against it"),
    (CLEAR, "press-wall", GO, "nothing speaks against it"),
    # Eyes and blood pressure keep the head up, and nothing else.
    (CLEAR | {HEAD_UP: YES}, "hang", GO, "the head stays up"),
    (CLEAR | {HEAD_UP: YES}, "press-pushup", GO, "the head stays up"),
    (CLEAR | {HEAD_UP: YES}, "press-pike", HOLD_BACK, f"{EYES}; {BLOOD}"),
    (CLEAR | {HEAD_UP: YES}, "press-wall", HOLD_BACK, f"{EYES}; {BLOOD}"),
    ({SHOULDER: NO, WALL_UNHURRIED: YES}, "press-pike", ASK, CAREFUL),
    ({SHOULDER: NO, WALL_UNHURRIED: YES}, "press-wall", ASK, CAREFUL),
    ({SHOULDER: NO, HEAD_UP: "perhaps"}, "press-pike", ASK, "no word: open"),
    # The wall needs its own yes; the pike doesn't.
    (CLEAR | {WALL_UNHURRIED: NO}, "press-wall", HOLD_BACK, WALL),
    ({SHOULDER: NO, HEAD_UP: NO}, "press-wall", ASK, WALL),
    (CLEAR | {WALL_UNHURRIED: NO}, "press-pike", GO, "the feet stand on a bench"),
    # Shoulders.
    (CLEAR | {SHOULDER: YES}, "hang", HOLD_BACK, UNSTABLE),
    (CLEAR | {SHOULDER: YES}, "press-pike", HOLD_BACK, UNSTABLE),
    (CLEAR | {SHOULDER: YES}, "press-wall", HOLD_BACK, UNSTABLE),
    (CLEAR | {SHOULDER: YES}, "hang-supported", GO, "practice: the first rung"),
    (CLEAR | {SHOULDER: YES}, "press-pushup", GO, "practice: the first rung"),
    ({HEAD_UP: NO, WALL_UNHURRIED: YES}, "hang", ASK, CAREFUL),
    ({HEAD_UP: NO, WALL_UNHURRIED: YES}, "press-pike", ASK, CAREFUL),
    (CLEAR | {SHOULDER: YES, CLINICIAN_AGREED: NO}, "hang", HOLD_BACK, UNSTABLE),
    (CLEAR | {SHOULDER: YES, CLINICIAN_AGREED: YES}, "hang", HOLD_BACK, AGREED),
    (CLEAR | {SHOULDER: YES, CLINICIAN_AGREED: "2026-03-01"}, "hang", GO, AGREED),
    (CLEAR | {SHOULDER: YES, CLINICIAN_AGREED: "2026-03-01"}, "press-wall", GO, AGREED),
    (
        CLEAR | {SHOULDER: YES, CLINICIAN_AGREED: "2026-03-10"},
        "hang",
        HOLD_BACK,
        "a word counts from its own day",
    ),
    # A clinician's word about the shoulder says nothing about the eyes.
    (
        CLEAR | {SHOULDER: YES, CLINICIAN_AGREED: "2026-03-01", HEAD_UP: YES},
        "press-pike",
        HOLD_BACK,
        EYES,
    ),
]


@pytest.mark.parametrize(("answers", "exercise", "verdict", "why"), TABLE)
def test_the_gate_by_the_answers(
    answers: dict[str, str], exercise: str, verdict: Verdict, why: str
) -> None:
    """Each row of the table, and whatever isn't a go says why in a sentence."""
    decision = gate(Person(answers), BUILT_IN[exercise], 20.0, on=TODAY)

    assert verdict is decision.verdict, why
    assert (verdict is GO) == (not decision.says)
    assert (verdict is ASK) <= any(each.question for each in decision.findings)


WRIST = OpenPain(PainKind.PAIN, Site.WRIST, Side.LEFT, date(2026, 3, 2), "press-pike")
LOW_BACK = replace(WRIST, site=Site.LOW_BACK, side=None)
NUMB_HAND = replace(WRIST, kind=PainKind.NUMB, site=Site.HAND)
DIZZY = replace(WRIST, kind=PainKind.DIZZY, site=None, side=None)
SOMEWHERE = replace(WRIST, site=None, side=None)
LOADS = "practice: which exercise loads which site (design, section 3)"

PAINS = [
    (WRIST, "press-pushup", ASK, LOADS),
    (WRIST, "press-wall", ASK, LOADS),
    (WRIST, "hang", ASK, LOADS),
    (LOW_BACK, "press-pushup", ASK, LOADS),
    (LOW_BACK, "hang", GO, LOADS),
    (NUMB_HAND, "hang-supported", ASK, LOADS),
    (NUMB_HAND, "press-pike", ASK, LOADS),
    (SOMEWHERE, "hang", ASK, "without a place it may be loaded"),
    (DIZZY, "press-pike", HOLD_BACK, "practice: head down raises the pressure there"),
    (DIZZY, "press-wall", HOLD_BACK, "practice: head down raises the pressure there"),
    (DIZZY, "press-pushup", ASK, "practice: nobody trains dizzy"),
    (DIZZY, "hang", ASK, "practice: nobody falls off a bar dizzy"),
]


@pytest.mark.parametrize(("pain", "exercise", "verdict", "why"), PAINS)
def test_the_gate_by_open_pain(
    pain: OpenPain, exercise: str, verdict: Verdict, why: str
) -> None:
    """Pain that nobody said to be gone stops what loads its site."""
    decision = gate(
        Person(CLEAR, open_pain=(pain,)), BUILT_IN[exercise], 20.0, on=TODAY
    )

    assert verdict is decision.verdict, why
    assert [pain] * (verdict is not GO) == [each.pain for each in decision.findings]
    assert ("2 March 2026" in decision.says) == (verdict is not GO)


OWN = Exercise(
    id="own",
    name="My own",
    family=None,
    setup_s=5,
    go_up_lead_s=2,
    allowance_s=2,
    overhead=False,
)
OWN_ROWS = [
    (OWN, {}, GO, "neither hangs nor goes overhead nor turns over"),
    (replace(OWN, overhead=True), {}, ASK, CAREFUL),
    (replace(OWN, overhead=True), {SHOULDER: NO}, GO, "the shoulder is well"),
    (replace(OWN, family=Family.HANG), {}, ASK, CAREFUL),
    (replace(OWN, family=Family.HANG), {SHOULDER: YES}, HOLD_BACK, UNSTABLE),
    (replace(OWN, upside_down=True), {SHOULDER: NO}, ASK, CAREFUL),
    (replace(OWN, upside_down=True), CLEAR | {HEAD_UP: YES}, HOLD_BACK, EYES),
    (replace(OWN, upside_down=True), CLEAR | {WALL_UNHURRIED: NO}, ASK, WALL),
    (replace(OWN, upside_down=True), CLEAR, GO, "nothing speaks against it"),
]


@pytest.mark.parametrize(("exercise", "answers", "verdict", "why"), OWN_ROWS)
def test_an_own_exercise_passes_the_same_gate(
    exercise: Exercise, answers: dict[str, str], verdict: Verdict, why: str
) -> None:
    """What a plan file brings along isn't safer for being somebody's own."""
    decision = gate(Person(answers), exercise, 20.0, on=TODAY)

    assert verdict is decision.verdict, why


@pytest.mark.parametrize(
    ("exercise", "sites", "asked"),
    [
        (replace(OWN, loads=frozenset({Site.NECK})), Site.WRIST, False),
        (replace(OWN, loads=frozenset({Site.NECK})), Site.NECK, True),
        (OWN, Site.WRIST, True),
        (replace(OWN, family=Family.PRESS), Site.LOW_BACK, True),
        (replace(OWN, family=Family.HANG), Site.LOW_BACK, False),
    ],
)
def test_an_own_exercise_that_names_no_sites_loads_those_of_its_family(
    exercise: Exercise, sites: Site, asked: bool
) -> None:
    """With no family either it may load any."""
    assert asked is loads(exercise, Pain(PainKind.PAIN, sites))


@pytest.mark.parametrize(
    ("exercise", "target_s", "verdict"),
    [
        ("press-wall", 60.0, GO),
        ("press-wall", 61.0, ASK),
        ("press-wall", None, GO),
        ("press-pike", 120.0, ASK),
        ("hang", 120.0, GO),
    ],
)
def test_a_long_hold_upside_down_is_asked_about(
    exercise: str, target_s: float | None, verdict: Verdict
) -> None:
    """Over the cap that practice builds up to (60 s), head down alone."""
    decision = gate(Person(CLEAR), BUILT_IN[exercise], target_s, on=TODAY)

    assert verdict is decision.verdict


@pytest.mark.parametrize(
    ("plan_top", "exercise", "verdict"),
    [
        ("press-pushup", "press-pike", HOLD_BACK),
        ("press-pushup", "press-wall", HOLD_BACK),
        ("press-pike", "press-wall", GO),  # every plan's own top: it bars nobody
        ("press-wall", "press-wall", GO),
    ],
)
def test_a_plan_can_lower_the_top_and_never_raise_it(
    plan_top: str, exercise: str, verdict: Verdict
) -> None:
    """A coach's word for less counts; one for more answers nothing for the person."""
    person = Person(CLEAR, {Family.PRESS: plan_top})
    raised = Person({}, {Family.PRESS: "press-wall", Family.HANG: "hang"})

    assert verdict is gate(person, BUILT_IN[exercise], 20.0, on=TODAY).verdict
    assert ASK is gate(raised, BUILT_IN["press-pike"], 20.0, on=TODAY).verdict
    assert ASK is gate(raised, BUILT_IN["hang"], 20.0, on=TODAY).verdict


WORDS = st.sampled_from(["", YES, NO, "2026-03-01", "perhaps"])
ANSWERS = st.fixed_dictionaries(
    dict.fromkeys((SHOULDER, CLINICIAN_AGREED, HEAD_UP, WALL_UNHURRIED), WORDS)
)


@given(ANSWERS, st.sampled_from(Family))
def test_the_gate_and_the_top_never_differ(
    answers: dict[str, str], family: Family
) -> None:
    """One answer to "the hardest that may be offered", whoever asks."""
    hardest = top(family, answers, on=TODAY)
    ladder = LADDERS[family]

    for rung in ladder:
        verdict = gate(Person(answers), BUILT_IN[rung], 20.0, on=TODAY).verdict
        assert (verdict is GO) == (ladder.index(rung) <= ladder.index(hardest))


@given(ANSWERS, st.sampled_from(["", "press-pushup", "press-pike"]))
def test_a_first_plan_passes_the_gate(answers: dict[str, str], press: str) -> None:
    """Nothing that the first day offers or plans is asked about afterwards."""
    given = answers | {"press": press, "hang-was-easy": YES}
    plan = plan_from(given, on=TODAY)
    planned = [each.exercise for each in plan.exercises]

    for ident in (*planned, *possible_presses(given, on=TODAY)):
        person = Person(answers, plan.top)
        assert GO is gate(person, BUILT_IN[ident], 20.0, on=TODAY).verdict


@given(ANSWERS, st.sampled_from(list(BUILT_IN)))
def test_answering_more_carefully_never_opens_a_door(
    answers: dict[str, str], ident: str
) -> None:
    """Taking an answer back, or saying the careful one, allows nothing new."""
    free = gate(Person(answers), BUILT_IN[ident], 20.0, on=TODAY).verdict is GO
    careful = (
        {SHOULDER: YES, CLINICIAN_AGREED: ""},
        {HEAD_UP: YES},
        {WALL_UNHURRIED: NO},
        dict.fromkeys(answers, ""),
    )
    for change in careful:
        after = gate(Person(answers | change), BUILT_IN[ident], 20.0, on=TODAY)
        assert (after.verdict is GO) <= free


def session(day: date, *pain: Pain) -> Session:
    at = datetime(day.year, day.month, day.day, 17, tzinfo=timezone.utc)
    return Session(
        uid=f"s-{day}",
        kind=SessionKind.PLAN,
        started_at=at,
        utc_offset_min=0,
        local_date=day,
        holds=(
            Hold(
                uid=f"h-{day}",
                exercise="press-pike",
                set_number=1,
                held_s=20.0,
                ended_by=EndedBy.TARGET,
                started_at=at,
                pain=pain,
            ),
        ),
    )


def test_pain_is_open_until_it_is_said_to_be_gone() -> None:
    """From its noting on, by kind, site and side; what comes back is open anew."""
    left = Pain(PainKind.PAIN, Site.WRIST, Side.LEFT)
    first, second, third = (date(2026, 3, day) for day in (2, 4, 6))
    history = History((session(first, left), session(second, left)))

    assert [(first, "press-pike")] == [
        (each.since, each.exercise) for each in open_pain(history, on=third)
    ]
    assert () == open_pain(history, on=date(2026, 3, 1))

    gone = said_gone(history, open_pain(history, on=third), on=second)
    assert [second, second] == [sign.gone_on for hold in gone for sign in hold.pain]
    closed = tuple(
        replace(each, holds=(hold,))
        for each, hold in zip(history.sessions, gone, strict=True)
    )
    assert () == open_pain(History(closed), on=third)
    assert 1 == len(open_pain(History(closed), on=first))

    back = History((*closed, session(third, left)))
    assert [third] == [each.since for each in open_pain(back, on=third)]


def test_one_side_that_is_gone_leaves_the_other() -> None:
    """Left and right are two, and so are two kinds at one site."""
    left = Pain(PainKind.PAIN, Site.WRIST, Side.LEFT)
    right, numb = replace(left, side=Side.RIGHT), replace(left, kind=PainKind.NUMB)
    history = History((session(TODAY, left, right, numb),))
    of_left = [each for each in open_pain(history, on=TODAY) if each.is_of(left)]

    (hold,) = said_gone(history, of_left, on=TODAY)

    assert [TODAY, None, None] == [sign.gone_on for sign in hold.pain]


@pytest.mark.parametrize(
    ("pain", "said"),
    [
        (Pain(PainKind.PAIN, Site.WRIST, Side.LEFT), "pain in the left wrist"),
        (Pain(PainKind.NUMB, Site.HAND), "numbness in the hand"),
        (
            Pain(PainKind.PAIN, Site.LOW_BACK, Side.BOTH),
            "pain in the low back, both sides",
        ),
        (Pain(PainKind.DIZZY), "dizziness"),
        (
            Pain(PainKind.PAIN, Site.FRONT_SHOULDER, Side.RIGHT),
            "pain at the front of the right shoulder",
        ),
        (
            Pain(PainKind.PAIN, Site.BETWEEN_BLADES, Side.LEFT),
            "pain between the blades, left",
        ),
    ],
)
def test_pain_is_said_in_words(pain: Pain, said: str) -> None:
    """As a person says it, with its side."""
    assert said == pain_words(pain)


def test_a_clinicians_agreement_keeps_its_day() -> None:
    """A yes is kept as its day, a yes again keeps the first, open takes it back."""
    kept = as_kept(CLINICIAN_AGREED, YES, on=TODAY)

    assert "2026-03-09" == kept
    assert kept == as_kept(CLINICIAN_AGREED, YES, on=date(2026, 4, 1), before=kept)
    assert "" == as_kept(CLINICIAN_AGREED, "open", on=TODAY, before=kept)
    assert NO == as_kept(SHOULDER, NO, on=TODAY)


def test_only_what_matters_is_asked() -> None:
    """Unanswered ones are open; what another answer settles isn't asked for."""
    assert (SHOULDER, HEAD_UP, WALL_UNHURRIED) == still_open({})
    assert (WALL_UNHURRIED,) == still_open({SHOULDER: NO, HEAD_UP: NO})
    assert () == still_open({SHOULDER: NO, HEAD_UP: YES})
    assert (CLINICIAN_AGREED,) == still_open({SHOULDER: YES, HEAD_UP: YES})


def test_every_reason_is_one_that_the_gate_gives() -> None:
    """A reason that nothing gives would be a promise without a rule."""
    given = {
        finding.reason
        for person in (
            Person(),
            Person(CLEAR | {SHOULDER: YES, HEAD_UP: YES}),
            Person(CLEAR, {Family.PRESS: "press-pushup"}, (WRIST, DIZZY)),
        )
        for exercise in BUILT_IN.values()
        for finding in gate(person, exercise, 90.0, on=TODAY).findings
    }

    assert set(Reason) == given
