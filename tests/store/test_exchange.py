"""The log taken out and in."""

from __future__ import annotations

import csv
import json
import tempfile
from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, timedelta, timezone
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.core.plan.test_codec import PLANS
from tests.new_files import new_store
from tests.store.makers import Makers
from tests.store.test_log import holds
from trainer.core.clock import ManualClock
from trainer.core.logbook import Logged, LoggedKind
from trainer.core.model import (
    Author,
    Felt,
    Hold,
    Moment,
    Override,
    Pain,
    PainKind,
    ShownSuggestion,
    Side,
    Site,
    TargetSet,
)
from trainer.core.plan.codec import plan_to_dict
from trainer.core.plan.plan import Plan, default_plan
from trainer.core.session.document import VERSION
from trainer.core.weeks import IsoWeek
from trainer.errors import ExitCode, UsageError
from trainer.store import Store

Document = dict[str, Any]


def through_json(store: Store) -> Document:
    """Give the export as another machine reads it from a file."""
    document: Document = json.loads(json.dumps(store.export(), ensure_ascii=False))
    return document


def fill(store: Store, make: Makers) -> None:
    """Log something of every kind, some of it taken back."""
    said = make.hold(
        rpe=7.5,
        kept_s=24.5,
        felt=(Felt(Site.LATS, Side.LEFT, Moment.EXHALE, 6.0),),
        pain=(Pain(PainKind.NUMB, Site.HAND, Side.LEFT, date(2026, 3, 4)),),
        note="[/] =cmd() 🙂",
    )
    anyway = Override("hang", "pain", "The left hand is numb since 1 March.")
    session = make.logged(store, said, make.hold(set_number=2), overrides=(anyway,))
    gone = make.hold(set_number=3)
    store.save_hold(session.uid, gone)
    store.take_out_hold(gone.uid)
    store.end_session(session.uid, ended_at=make.clock.wall())
    make.clock.advance(60)
    store.correct_hold(replace(said, held_s=28.0))
    store.set_rest_week(IsoWeek(2026, 11), True)
    store.set_rest_week(IsoWeek(2026, 12), True)
    store.set_rest_week(IsoWeek(2026, 12), False)
    store.save_plan(default_plan(hang_was_easy=True), valid_from=date(2026, 3, 1))
    at = make.clock.wall()
    store.set_target(
        TargetSet(
            uid=str(uuid4()),
            exercise="hang",
            target_s=35.0,
            author=Author.COACH,
            set_at=at,
            local_date=at.date(),
            week=IsoWeek(2026, 11),
        )
    )
    store.remember_shown(
        ShownSuggestion(
            uid=str(uuid4()),
            exercise="hang",
            week=IsoWeek(2026, 11),
            shown_at=at,
            target_s=None,
            sets=0,
            rule="pain",
            change="rest",
            chance=None,
        )
    )
    made_by_hand = make.logged(store, make.hold())
    store.take_back(
        Logged(kind=LoggedKind.SESSION, uid=made_by_hand.uid, sentence="it")
    )


def test_the_document_has_the_promised_keys(store: Store, make: Makers) -> None:
    """Names and units are a contract: other programs read them."""
    fill(store, make)

    document = through_json(store)

    assert {
        "format",
        "version",
        "sessions",
        "angle_checks",
        "rest_weeks",
        "plan",
    } <= document.keys()
    (session,) = document["sessions"]
    assert {"uid", "started_at", "zone", "kind", "local_date", "holds"} <= (
        session.keys()
    )
    first, second = session["holds"]
    assert {
        "uid": first["uid"],
        "exercise": "hang",
        "set": 1,
        "target_s": 30.0,
        "held_s": 28.0,
        "kept_s": 24.5,
        "ended_by": "target",
        "stopped_by": None,
        "confirmed": False,
        "rpe": 7.5,
        "rpe_wording": 2,
        "pain": [
            {"kind": "numb", "site": "hand", "side": "left", "gone_on": "2026-03-04"}
        ],
        "felt": [{"site": "lats", "side": "left", "moment": "exhale", "strength": 6.0}],
        "note": "[/] =cmd() 🙂",
    }.items() <= first.items()
    assert [2] == [second["set"]]
    assert [
        {
            "exercise": "hang",
            "reason": "pain",
            "says": "The left hand is numb since 1 March.",
        }
    ] == session["overrides"]
    assert "2026-03-02T18:00:00+01:00" == session["started_at"]
    assert ["2026-W11"] == document["rest_weeks"]


def test_another_file_becomes_the_same(
    store: Store, other: Store, make: Makers
) -> None:
    """Taken in by an empty file, the document gives the very same document."""
    fill(store, make)

    report = other.import_document(through_json(store))

    assert store.export() == other.export()
    assert store.history() == other.history()
    assert (2, 4) == (report.sessions_added, report.holds_added)
    assert [] == other.check()


def test_twice_is_once(store: Store, other: Store, make: Makers) -> None:
    """The second time nothing is added, changed or counted as such."""
    fill(store, make)
    other.import_document(through_json(store))
    before = other.export()

    report = other.import_document(through_json(store))

    assert not report.changed
    assert before == other.export()
    assert not store.import_document(through_json(store)).changed


@settings(max_examples=12)
@given(
    first=st.lists(holds(), max_size=3),
    second=st.lists(holds(), max_size=3),
    plan=PLANS,
)
def test_two_machines_become_one(
    first: list[Hold], second: list[Hold], plan: Plan
) -> None:
    """Whatever each machine logged, after an exchange both ways both have all of it."""
    # Later than every hold that is made up here.
    clock = ManualClock(start=datetime(2100, 1, 2, tzinfo=timezone.utc))
    make = Makers(clock)
    with (
        tempfile.TemporaryDirectory() as folder,
        new_store(Path(folder) / "one.db", clock) as one,
        new_store(Path(folder) / "two.db", clock) as two,
    ):
        for store, each in ((one, first), (two, second)):
            session = make.session()
            store.begin_session(session)
            for hold in each:
                store.save_hold(session.uid, replace(hold, uid=str(uuid4())))
        one.save_plan(plan, valid_from=date(2026, 3, 2))
        two.import_document(through_json(one))
        one.import_document(through_json(two))

        assert one.export() == two.export()
        assert 2 == len(one.history().sessions)
        assert len(first) + len(second) == sum(
            len(session.holds) for session in one.history().sessions
        )
        assert plan == two.plan()


def test_corrections_and_undo_travel(store: Store, other: Store, make: Makers) -> None:
    """Corrected here, taken back there: the other machine learns of both."""
    corrected, taken_back = make.hold(), make.hold(set_number=2)
    make.logged(store, corrected, taken_back)
    other.import_document(through_json(store))
    make.clock.advance(60)
    store.correct_hold(replace(corrected, held_s=20.0))
    other.take_out_hold(taken_back.uid)

    other.import_document(through_json(store))
    store.import_document(through_json(other))

    assert store.export() == other.export()
    assert [20.0] == [hold.held_s for hold in store.history().sessions[0].holds]


def test_the_later_correction_wins_whichever_way_it_travels(
    store: Store, other: Store, make: Makers
) -> None:
    """Corrected on both machines, both end up with the later figures."""
    hold = make.hold(felt=(Felt(Site.LATS),))
    make.logged(store, hold)
    other.import_document(through_json(store))
    make.clock.advance(60)
    store.correct_hold(replace(hold, held_s=20.0, felt=()))
    make.clock.advance(60)
    other.correct_hold(replace(hold, held_s=25.0, felt=(Felt(Site.RIBS),)))

    store.import_document(through_json(other))
    other.import_document(through_json(store))

    for each in (store, other):
        (found,) = each.history().sessions[0].holds
        assert (25.0, (Felt(Site.RIBS),)) == (found.held_s, found.felt)


def test_a_clock_set_back_does_not_make_a_correction_older(
    store: Store, other: Store, make: Makers
) -> None:
    """A correction counts as later than what it corrects, whatever the wall says."""
    hold = make.hold()
    make.logged(store, hold)
    other.import_document(through_json(store))
    make.clock.advance(-timedelta(hours=20).total_seconds())

    store.correct_hold(replace(hold, held_s=20.0))
    other.import_document(through_json(store))

    assert 20.0 == other.history().sessions[0].holds[0].held_s


def test_two_machines_may_mark_the_same_rest_week(store: Store, other: Store) -> None:
    """A week is one week, however many machines marked it."""
    week = IsoWeek(2026, 11)
    store.set_rest_week(week, True)
    other.set_rest_week(week, True)

    other.import_document(through_json(store))

    assert frozenset({week}) == other.history().rest_weeks
    assert ["2026-W11"] == other.export()["rest_weeks"]


def _hold(document: Document) -> Document:
    found: Document = document["sessions"][0]["holds"][0]
    return found


BAD: list[tuple[Callable[[Document], object], str]] = [
    (lambda d: d.clear(), 'format is not "overhead-hold-trainer"'),
    (
        lambda d: d.update(version=VERSION + 1),
        f"version is {VERSION + 1}, from a newer trainer",
    ),
    (lambda d: d.update(sessions={}), "sessions is no list"),
    (lambda d: d.update(sessions=[7]), r"sessions\[0\] is no object"),
    (lambda d: d["sessions"][0].update(uid="x"), r"sessions\[0\].uid is 'x', no uuid"),
    (lambda d: d["sessions"][0].update(local_date="2026-03-05"), "is not the day of"),
    (
        lambda d: d["sessions"][0].update(started_at="2026-03-02T18:00"),
        r"sessions\[0\].started_at .* without its offset",
    ),
    (lambda d: _hold(d).update(rpe=11), r"sessions\[0\].holds\[0\]: RPE 11"),
    (lambda d: _hold(d).update(rpe="7"), r"holds\[0\].rpe is '7', no number"),
    (lambda d: _hold(d).update(held_s=-1), "-1 s held is out of bounds"),
    (lambda d: _hold(d).update(held_s=float("nan")), "held_s is out of bounds"),
    (lambda d: _hold(d).update(held_s=True), "held_s is True, no number"),
    (lambda d: _hold(d).update(kept_s=29.0), "kept 29 s of 28 s held"),
    (lambda d: _hold(d).update(target_s=301), "target_s is 301: 1 to 300 s"),
    (lambda d: _hold(d).update(target_s=0.5), "target_s is 0.5: 1 to 300 s"),
    (
        lambda d: d["sessions"][0]["planned"][0].update(target_s=0.5),
        r"sessions\[0\].planned\[0\].target_s is 0.5",
    ),
    (
        lambda d: _hold(d).update(started_at="2026-03-04T18:00:00Z"),
        r"holds\[0\].started_at is 2026-03-04T.* still to come",
    ),
    (
        lambda d: d["sessions"][0].update(
            started_at="2027-03-02T18:00:00Z", local_date="2027-03-02", ended_at=None
        ),
        r"sessions\[0\].started_at is 2027-03-02T.* still to come",
    ),
    (
        lambda d: d["sessions"][0].update(ended_at="2026-03-01T18:00:00Z"),
        r"sessions\[0\].ended_at is before started_at",
    ),
    (
        lambda d: d["targets"][0].update(set_at="2026-05-01T18:00:00Z"),
        r"targets\[0\].set_at is .* still to come",
    ),
    (lambda d: _hold(d).update(set=0), "set is 0"),
    (lambda d: _hold(d).update(set=1.5), "set is 1.5, no whole number"),
    (lambda d: _hold(d).update(exercise=""), "exercise is empty"),
    (lambda d: _hold(d).update(ended_by="bored"), "not one of: target key"),
    (lambda d: _hold(d).update(key_s=-2), r"holds\[0\] is impossible .*key_s"),
    (lambda d: _hold(d).update(updated_at="9999-01-01T00:00:00Z"), "the year 9999"),
    (
        lambda d: _hold(d)["felt"].append({"site": "knee"}),
        r"holds\[0\].felt\[1\].site is 'knee', not one of: pecs",
    ),
    (lambda d: _hold(d)["felt"].append({"site": "elbow"}), r"felt\[1\]: elbow is a"),
    (lambda d: d["rest_weeks"].append("2026-W54"), r"rest_weeks\[1\]: "),
    (lambda d: d["rest_weeks"].append("9999-W52"), r"rest_weeks\[1\].week .* 9999"),
    (lambda d: d["answers"].append({"key": "head-up"}), r"answers\[0\].value is miss"),
    (lambda d: d["answers"].append({"key": "", "value": "x"}), r"answers\[0\].key is"),
    (lambda d: d["targets"][0].update(target_s=0), r"targets\[0\].target_s is 0"),
    (lambda d: d["plans"][0]["plan"].update(days=[9]), r"plans\[0\].plan.days has 9"),
    (lambda d: d["plan"].update(days=[9]), r"plan\.days has 9"),
    (
        lambda d: d["corrections"][0].update(hold_uid=str(uuid4())),
        r"corrections\[0\] is impossible \(FOREIGN KEY",
    ),
    (
        lambda d: d["taken_back"]["holds"][0].update(session_uid=str(uuid4())),
        r"taken_back.holds\[0\] is impossible \(FOREIGN KEY",
    ),
]


@pytest.mark.parametrize(("spoil", "said"), BAD, ids=[said for _, said in BAD])
def test_a_document_that_cannot_be_believed_changes_nothing(
    store: Store,
    other: Store,
    make: Makers,
    spoil: Callable[[Document], object],
    said: str,
) -> None:
    """All or nothing: one bad value, named with its place, and no row goes in."""
    fill(store, make)
    document = through_json(store)
    spoil(document)
    before = other.export()

    with pytest.raises(UsageError, match=said) as caught:
        other.import_document(document)

    assert ExitCode.USAGE == caught.value.exit_code
    assert before == other.export()


def test_an_older_machine_does_not_take_back_what_it_does_not_know(
    store: Store, other: Store, make: Makers
) -> None:
    """A later session out of a document of version 1 leaves the overrides standing."""
    fill(store, make)
    other.import_document(through_json(store))
    document = through_json(store) | {"version": 1}
    for session in document["sessions"]:
        del session["overrides"]
        session["note"] = "changed there"
        session["updated_at"] = "2026-03-03T00:00:00Z"

    other.import_document(document)

    (session,) = other.history().sessions
    assert ("changed there", ["pain"]) == (
        session.note,
        [each.reason for each in session.overrides],
    )


@pytest.mark.parametrize("document", [None, [], "text", 7])
def test_what_is_no_document_is_refused(store: Store, document: object) -> None:
    """Any JSON may be handed in; what isn't an object is refused like the rest."""
    with pytest.raises(UsageError, match="can't be imported"):
        store.import_document(document)


def test_a_dry_run_says_what_would_be_done(
    store: Store, other: Store, make: Makers
) -> None:
    """The report is the same as of the real thing; nothing is written or copied."""
    fill(store, make)
    before, copies = other.export(), other.backups()

    dry = other.import_document(through_json(store), dry_run=True)

    assert before == other.export()
    assert copies == other.backups()
    assert dry == other.import_document(through_json(store))


def test_a_document_written_by_hand_needs_the_promised_keys_alone(store: Store) -> None:
    """The keys that the documentation names are enough; the rest follows; once."""
    hold = {
        "uid": str(uuid4()),
        "exercise": "hang",
        "set": 1,
        "target_s": 30,
        "held_s": 30,
        "kept_s": None,
        "ended_by": "target",
        "stopped_by": None,
        "confirmed": True,
        "rpe": 7,
        "pain": [{"kind": "numb", "site": "hand"}],
        "felt": [{"site": "lats", "side": None, "moment": None, "strength": None}],
        "note": "",
    }
    session = {
        "uid": str(uuid4()),
        "started_at": "2025-06-02T00:30:00+02:00",
        "zone": "Europe/Berlin",
        "holds": [hold],
    }
    short = {
        "format": "overhead-hold-trainer",
        "version": 1,
        "sessions": [session],
        "angle_checks": [],
        "rest_weeks": ["2025-W23"],
        "plan": {},
    }

    assert 3 == store.import_document(short).added
    assert not store.import_document(short).changed
    (found,) = store.history().sessions
    assert (120, date(2025, 6, 2), "Europe/Berlin") == (
        found.utc_offset_min,
        found.local_date,
        found.zone,
    )
    assert [found.started_at] == [each.started_at for each in found.holds]
    assert [] == store.check()


def test_a_plan_without_its_history_is_taken_from_today_on(store: Store) -> None:
    """It is a change of today, which can be taken back; the second time it is none."""
    plan = replace(default_plan(), days=(2, 4))
    document = {
        "format": "overhead-hold-trainer",
        "version": 1,
        "plan": plan_to_dict(plan),
    }

    assert 1 == store.import_document(document).added
    assert not store.import_document(document).changed
    assert ((date(2026, 3, 2), plan),) == store.plans()
    document["plan"] = plan_to_dict(plan) | {"days": [9]}
    with pytest.raises(UsageError, match=r"plan\.days has 9"):
        store.import_document(document)


def read_csv(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


def test_tables_come_out_as_csv(store: Store, make: Makers, tmp_path: Path) -> None:
    """The standard library's reader finds every live row, and none taken back."""
    fill(store, make)

    paths = store.export_csv(tmp_path / "csv")

    tables = {path.stem: read_csv(path) for path in paths}
    assert ["28.0", "30.0"] == [row["held_s"] for row in tables["holds"]]
    assert ["[/] =cmd() 🙂", ""] == [row["note"] for row in tables["hold_log"]]
    assert ["lats left exhale 6.0", ""] == [row["felt"] for row in tables["hold_log"]]
    assert 1 == len(tables["sessions"])
    assert ["2026-W11"] == [row["week"] for row in tables["rest_weeks"]]


@pytest.mark.parametrize(
    "note", ["=cmd()", "+1", "-1", "@SUM(A1)", "＝1+1", '=HYPERLINK("x","y")']
)
def test_no_spreadsheet_computes_a_note(
    store: Store, make: Makers, tmp_path: Path, note: str
) -> None:
    """A note that begins like a formula comes with an apostrophe before it.

    Source of the list of signs: OWASP, "CSV Injection" (from memory).
    """
    make.logged(store, make.hold(note=note))

    store.export_csv(tmp_path)

    assert ["'" + note] == [row["note"] for row in read_csv(tmp_path / "holds.csv")]


def test_negative_numbers_stay_numbers(
    store: Store, make: Makers, tmp_path: Path
) -> None:
    """The guard is for texts: an offset west of Greenwich is a number."""
    make.logged(store, utc_offset_min=-420, local_date=date(2026, 3, 2))

    store.export_csv(tmp_path)

    assert ["-420"] == [
        row["utc_offset_min"] for row in read_csv(tmp_path / "sessions.csv")
    ]


def test_of_two_machines_plans_of_one_day_the_later_is_in_force_on_both(
    store: Store, other: Store, make: Makers
) -> None:
    """Both stay, the later one counts, and undo on either gives the earlier one."""
    earlier, later = (replace(default_plan(), days=(day,)) for day in (1, 6))
    today = make.clock.wall().date()
    store.save_plan(earlier, valid_from=today)
    make.clock.advance(60)
    other.save_plan(later, valid_from=today)

    other.import_document(through_json(store))
    store.import_document(through_json(other))

    assert [later, later] == [store.plan(), other.plan()]
    logged = store.last_logged()
    assert logged is not None
    store.take_back(logged)
    other.import_document(through_json(store))
    assert [earlier, earlier] == [store.plan(), other.plan()]


def test_answers_travel_and_the_later_one_wins(
    store: Store, other: Store, make: Makers
) -> None:
    """What somebody answered for safety's sake is known on both machines."""
    store.set_answer("head-up", "yes")
    store.set_answer("wall-unhurried", "yes")
    make.clock.advance(60)
    other.set_answer("wall-unhurried", "no")
    other.set_answer("cautions-read", "2026-03-02")

    report = other.import_document(through_json(store))
    store.import_document(through_json(other))

    both = {"head-up": "yes", "wall-unhurried": "no", "cautions-read": "2026-03-02"}
    assert [both, both] == [store.answers(), other.answers()]
    assert store.export() == other.export()
    assert (1, 0, 1) == (report.added, report.updated, report.unchanged)
    assert not other.import_document(through_json(store)).changed


def test_an_answer_after_the_clock_was_set_back_is_the_later_one(
    store: Store, other: Store, make: Makers
) -> None:
    """Corrected here, it stays corrected when the other machine's file comes in."""
    store.set_answer("head-up", "no")
    other.import_document(through_json(store))
    make.clock.advance(-3600)

    store.set_answer("head-up", "yes")
    store.import_document(through_json(other))

    assert "yes" == store.answers()["head-up"]


def test_an_answer_cannot_make_a_persons_file_made_up(store: Store) -> None:
    """That stands at the document's head alone, where it is looked at."""
    document = through_json(store) | {"answers": [{"key": "made_up", "value": "yes"}]}

    store.import_document(document)

    assert {} == store.answers()
