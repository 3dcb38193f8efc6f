"""What a series of checks shows, what was lent, and when the next one is due."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from tests.core.angle.checks import (
    BY_INCLINOMETER,
    FIRST_DAY,
    FREE,
    GUARDED,
    check,
    weeks_of,
)
from trainer.core.angle import words
from trainer.core.angle.check import (
    AngleCheck,
    Blades,
    CheckError,
    Method,
    Pose,
    Position,
    Reach,
    SeriesKey,
    When,
    position,
)
from trainer.core.angle.due import held_back, is_due
from trainer.core.angle.noise import Source
from trainer.core.angle.series import (
    Series,
    borrowed,
    by_series,
    differences,
    headline,
)
from trainer.core.model import PainKind, Side, Site
from trainer.core.safety import OpenPain

THREE_EACH = ([158, 160, 162], [161, 163, 165], [167, 169, 171])


def _series(checks: tuple[AngleCheck, ...]) -> Series:
    (series,) = by_series(checks).values()
    return series


class TestSeries:
    def test_never_mix_what_moves_the_figure(self) -> None:
        """Each answer of a position makes a series of its own."""
        positions = [
            GUARDED,
            FREE,
            BY_INCLINOMETER,
            Position(reach=Reach.GUARDED, when=When.AFTER),
            Position(reach=Reach.GUARDED, side=Side.LEFT),
            Position(pose=Pose.HANG),
            Position(pose=Pose.HANG, exercise="hang"),
            Position(pose=Pose.PRESS, blades=Blades.SUNK),
            Position(pose=Pose.PRESS, blades=Blades.PRESSED),
        ]
        found = by_series(
            check(165, position=each, number=n) for n, each in enumerate(positions)
        )

        assert len(positions) == len(found)

    def test_take_markings_of_one_photo_as_one(self) -> None:
        """They show the marking alone, and never count as repeats."""
        series = _series(
            (
                check(160, photo="a", number=0),
                check(164, photo="a", number=1),
                check(170, photo="b", number=2),
            )
        )

        assert (162.0, 170.0) == series.readings[0].photos
        assert 1 == series.marking.dof
        assert pytest.approx(8**0.5) == series.marking.sd
        assert 1 == series.noise.dof


class TestIsItReal:
    def test_is_noise_by_published_figures_without_repeats(self) -> None:
        """Photo: 30°; ten degrees on two photos show nothing."""
        change = _series(weeks_of([[155], [165]])).change
        assert change is not None

        assert 10 == change.by
        assert not change.real

    def test_is_real_beyond_own_noise(self) -> None:
        """Repeats two degrees apart, six degrees of freedom: nine degrees are real."""
        series = _series(weeks_of(THREE_EACH))
        assert series.change is not None

        assert (Source.OWN, 6) == (series.noise.source, series.noise.dof)
        assert 9 == series.change.by
        assert series.change.real
        assert "9° more, beyond the noise of 4°" in words.change_sentence(series)

    def test_judges_an_inclinometer_by_its_own_published_figure(self) -> None:
        """9.5° from Kolber 2011: ten are real, nine are not."""
        ten = _series(weeks_of([[155], [165]], position=BY_INCLINOMETER)).change
        nine = _series(weeks_of([[155], [164]], position=BY_INCLINOMETER)).change
        assert ten is not None
        assert nine is not None

        assert (True, False) == (ten.real, nine.real)

    def test_says_what_can_t_be_told_and_what_would_tell(self) -> None:
        """With the figure it would take, its source, and the repeats."""
        series = _series(weeks_of([[160], [162]]))

        assert (
            "160° on 5 January 2026, 162° on 2 February 2026: no change that can be"
            " told from noise; it would take 30° (published for this method: Hayes"
            " 2001)."
        ) == words.change_sentence(series)
        assert (
            "To show a change of 5° it would take 36 repeats each time. Repeats on one"
            " day, each set up afresh, show your own noise: 6 more, and it is used"
            " instead."
        ) == words.repeats_sentence(series.noise)


class TestBorrowed:
    def _found(self, *guarded: list[float]) -> dict[SeriesKey, Series]:
        free = weeks_of(THREE_EACH, position=FREE, flares=[0.10, 0.14, 0.24])
        return by_series((*free, *weeks_of(guarded)))

    def test_says_that_the_back_lent_the_gain(self) -> None:
        """A free gain with more flare; what remains is the guarded change."""
        found = self._found([150, 152, 154], [151, 153, 155], [152, 154, 156])
        free = next(one for key, one in found.items() if key.position == FREE)
        guarded = next(one for key, one in found.items() if key.position == GUARDED)
        lent = borrowed(free, guarded)
        assert lent is not None

        assert (
            "The free angle gained 9°, and the ribs came forward by 0.14 of the trunk's"
            " length: borrowed from the back. What remains is the guarded change: +2°,"
            " not to be told from noise."
        ) == words.borrowed_sentence(lent)

    def test_has_no_figure_for_what_remains_without_guarded_checks(self) -> None:
        """Nothing is made up for it."""
        found = self._found()
        (free,) = found.values()
        lent = borrowed(free, None)
        assert lent is not None

        assert "Without guarded checks there is no figure" in (
            words.borrowed_sentence(lent)
        )

    @pytest.mark.parametrize(
        ("days", "flares"),
        [
            (THREE_EACH, [0.10, 0.10, 0.11]),
            (THREE_EACH, None),
            (([160], [165], [170]), [0.10, 0.14, 0.24]),
            (tuple(reversed(THREE_EACH)), [0.10, 0.14, 0.24]),
        ],
    )
    def test_is_not_said_of_what_isn_t_known(
        self, days: tuple[list[float], ...], flares: list[float] | None
    ) -> None:
        """Flare within its noise or not marked; a gain that is no gain."""
        free = _series(weeks_of(days, position=FREE, flares=flares))

        assert None is borrowed(free, None)


class TestDifferences:
    def test_are_what_the_back_lends(self) -> None:
        """Guarded against free on the same days."""
        guarded = weeks_of(THREE_EACH)
        free = weeks_of(
            [[168, 170, 172], [172, 174, 176], [177, 179, 181]], position=FREE
        )
        found = by_series((*guarded, *free))
        key = next(each for each in found if each.position == GUARDED)
        first, second, _ = differences(found, key)

        assert (10, 11) == (first.by, second.by)
        assert first.real
        assert "5 January 2026: guarded 160°, free 170°; the back lends +10°." == (
            words.difference_sentence(first, reach=True)
        )

    def test_are_what_the_press_does(self) -> None:
        """Sunk against pressed, with the lift."""
        sunk = Position(pose=Pose.PRESS, exercise="press-pushup", blades=Blades.SUNK)
        up = Position(pose=Pose.PRESS, exercise="press-pushup", blades=Blades.PRESSED)
        found = by_series(
            (
                check(88, position=sunk, lift=-0.5),
                check(92, position=up, lift=-0.3, number=1),
            )
        )
        key = next(each for each in found if each.position == sunk)
        (one,) = differences(found, key)

        assert (
            "5 January 2026: sunk 88°, pressed 92°; the press does +4°, not to be told"
            " from noise. The shoulder went up by 0.20 of the upper arm."
        ) == words.difference_sentence(one, reach=False)


class TestAnswer:
    def test_is_silent_about_nobody(self) -> None:
        """No check: not known, and no figure."""
        assert None is headline([])
        assert "isn't known" in words.in_a_line([])

    def test_prefers_the_guarded_reach(self) -> None:
        """Nothing in it is lent."""
        found = by_series((*weeks_of(THREE_EACH, position=FREE), *weeks_of(THREE_EACH)))
        series = headline(found.values())
        assert series is not None

        assert GUARDED == series.key.position

    @pytest.mark.parametrize(
        ("checks", "says"),
        [
            (weeks_of([[160]]), "160° (reach, guarded, photo): one check, no change."),
            (weeks_of(THREE_EACH), "up 9° to 169° since 5 January 2026"),
            (weeks_of(tuple(reversed(THREE_EACH))), "down 9° to 160° since"),
            (weeks_of([[160], [165]]), "can't be told from noise, which is 30°."),
            (
                weeks_of(THREE_EACH, position=FREE, flares=[0.1, 0.1, 0.2]),
                "with more rib flare: borrowed from the back.",
            ),
        ],
    )
    def test_is_up_down_or_not_to_be_told(
        self, checks: tuple[AngleCheck, ...], says: str
    ) -> None:
        """In one line."""
        assert says in words.in_a_line(checks)

    @pytest.mark.parametrize(
        ("checks", "says"),
        [
            ((), "No angle check yet."),
            (weeks_of([[160]]), "Overhead angle, guarded reach: 160°, one check."),
            (
                weeks_of(THREE_EACH),
                "Overhead angle, guarded reach: 169°, up 9° since January.",
            ),
            (
                weeks_of([[160], [165]]),
                "Overhead angle, guarded reach: 165°, can't be told from January"
                " (160°).",
            ),
            (
                (*weeks_of([[160]]), check(165, week=52)),
                "Overhead angle, guarded reach: 165°, can't be told from January 2026"
                " (160°).",
            ),
            (
                weeks_of(THREE_EACH, position=FREE, flares=[0.1, 0.1, 0.2]),
                "Overhead angle, free reach: 169°, up 9° since January, borrowed.",
            ),
        ],
    )
    def test_has_a_short_form_for_the_five_answers(
        self, checks: tuple[AngleCheck, ...], says: str
    ) -> None:
        """One line of eighty columns; a month of another year has its year."""
        assert says == words.briefly(checks)
        assert 80 >= len(says)

    def test_every_series_is_told_with_its_name(self) -> None:
        """Guarded first, then free, and what the back lends beside the guarded one."""
        checks = (*weeks_of(THREE_EACH), *weeks_of(THREE_EACH, position=FREE))
        told = dict(words.all_sentences(checks))

        assert ["reach, guarded, photo", "reach, free, photo"] == list(told)
        assert "the back lends 0°" in told["reach, guarded, photo"]


class TestPositions:
    def test_follow_from_the_exercise(self) -> None:
        """A hang is a hang."""
        assert Pose.HANG == position(exercise="hang-supported").pose
        assert Pose.PRESS == position(exercise="press-pike").pose
        assert Pose.PRESS == position(blades=Blades.PRESSED).pose
        assert Pose.REACH == position(method=Method.EYE).pose

    @pytest.mark.parametrize(
        ("answers", "says"),
        [
            ({"exercise": "handstand"}, "no exercise 'handstand'"),
            ({"exercise": "hang", "pose": Pose.PRESS}, "hang is no press"),
            ({"exercise": "hang", "reach": Reach.FREE}, "belongs to a reach"),
            ({"pose": Pose.HANG, "blades": Blades.SUNK}, "belongs to a press"),
            ({"exercise": "press-wall", "blades": Blades.SUNK}, "never sink upside"),
            ({"exercise": "press-pike", "blades": Blades.SUNK}, "never sink upside"),
            ({"exercise": "hang", "pose": Pose.REACH}, "hang is no reach"),
            ({"side": Side.BOTH}, "one arm"),
        ],
    )
    def test_refuse_what_excludes_itself(
        self, answers: dict[str, object], says: str
    ) -> None:
        """With the reason."""
        with pytest.raises(CheckError, match=says):
            position(**answers)  # type: ignore[arg-type]

    @pytest.mark.parametrize("degrees", [-10, 5, 231, float("nan"), float("inf")])
    def test_take_no_angle_that_no_arm_has(self, degrees: float) -> None:
        """Means of 188° are published (Macedo & Magee): past 180° is no fault."""
        assert 188 == check(188).overhead_deg
        with pytest.raises(CheckError, match="is no overhead angle"):
            check(degrees)


class TestDue:
    def test_is_on_day_one_and_every_fourth_week(self) -> None:
        """A week is a week, whatever its days."""
        checked = (check(160),)
        days = [FIRST_DAY + timedelta(days=n) for n in range(60)]
        due = [day for day in days if is_due(checked, today=day)]

        assert is_due((), today=FIRST_DAY)
        assert FIRST_DAY + timedelta(weeks=4) == due[0]
        assert days[28:] == due

    def test_waits_a_week_once_declined(self) -> None:
        """Declined on a Wednesday, offered again on Monday at the soonest."""
        declined = date(2026, 1, 7)

        assert not is_due((), today=date(2026, 1, 11), declined_on=declined)
        assert is_due((), today=date(2026, 1, 12), declined_on=declined)

    def test_counts_standing_reaches_alone(self) -> None:
        """A hang that was photographed makes no reach."""
        hang = (check(170, position=Position(pose=Pose.HANG)),)

        assert is_due(hang, today=FIRST_DAY)

    @pytest.mark.parametrize(
        ("sites", "held"),
        [
            ([], False),
            ([Site.WRIST, Site.LOW_BACK], False),
            ([Site.FRONT_SHOULDER], True),
            ([Site.WRIST, Site.ARMPIT], True),
            ([None], True),
        ],
    )
    def test_is_held_back_by_open_pain_at_a_shoulder(
        self, sites: list[Site | None], held: bool
    ) -> None:
        """Pain whose site nobody named may be there too."""
        pains = [
            OpenPain(PainKind.PAIN, site, Side.LEFT, FIRST_DAY, "hang")
            for site in sites
        ]

        assert held == bool(held_back(pains))

    def test_names_what_holds_it_back(self) -> None:
        """In the words that pain has everywhere; dizziness is the gate's to hold."""
        numb = OpenPain(PainKind.NUMB, Site.ARMPIT, Side.LEFT, FIRST_DAY, "hang")
        dizzy = OpenPain(PainKind.DIZZY, None, None, FIRST_DAY, "press-pike")

        assert "numbness in the left armpit" in held_back([numb])
        assert "" == held_back([dizzy])
