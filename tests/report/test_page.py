"""The page for a coach: whole in itself, readable by everybody, safe whatever is typed.

Checked from outside with the standard library's HTML parser; colours against the WCAG
formulas (relative luminance and contrast ratio, WCAG 2.x 1.4.3 and 1.4.11).
``scripts/check_report.py`` opens it in Chromium and runs axe-core on it.
"""

from __future__ import annotations

import itertools
import re
from collections import Counter
from dataclasses import replace
from datetime import timedelta
from html.parser import HTMLParser
from pathlib import Path

import pytest

import trainer.report
from tests.core.histories import hold, session
from tests.trainee import LAST_DAY, trainee
from trainer.core.capacity.forecast import HORIZON
from trainer.core.model import Felt, History, Site
from trainer.core.next_week.suggestion import Change, Rule, Suggestion
from trainer.core.plan.plan import Plan
from trainer.core.review.answers import ASKED, answers
from trainer.core.review.review import Review, review, with_forecasts
from trainer.core.review.streaks import PlannedDays
from trainer.core.review.tables import outlook_table
from trainer.core.weeks import IsoWeek
from trainer.core.words import short_date
from trainer.report.page import render_page

TODAY = LAST_DAY
HOSTILE = (
    "</dd><script>alert(1)</script><img src=http://evil.test/x>{{ 7*7 }}\x1b[31m &amp;"
)
VOID = frozenset({"meta", "rect", "line", "circle", "polygon", "br", "img", "link"})
UP = Suggestion(
    exercise="hang",
    week=IsoWeek(2026, 49),
    change=Change.UP,
    rule=Rule.STEP,
    target_s=45.0,
    current_s=40.0,
    sets=3,
    rest_s=90.0,
    reasons=("Two clean sessions running.", HOSTILE),
    would_change=(),
)


class Page(HTMLParser):
    """What an HTML parser finds: elements, attributes, texts, and what stays open."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.texts: list[tuple[str, str]] = []
        self.faults: list[str] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open[-1] != tag:
            self.faults.append(f"</{tag}> closes {self.open[-1:]}")
        else:
            self.open.pop()

    def handle_data(self, data: str) -> None:
        if data.strip():
            self.texts.append((self.open[-1] if self.open else "", data.strip()))

    def text(self, tag: str) -> list[str]:
        """Give the texts of the elements of one name."""
        return [text for where, text in self.texts if where == tag]

    def count(self) -> Counter[str]:
        """Count the elements by name."""
        return Counter(tag for tag, _ in self.elements)


def found(history: History | None = None, plan: Plan | None = None) -> Review:
    made = trainee()
    return review(
        history or made.history,
        plan=plan or made.plan,
        planned=[
            PlannedDays(since, len(one.days), one.days) for since, one in made.plans
        ],
        today=TODAY,
        weeks=20,
        suggestions=(UP,),
        made_up=True,
    )


@pytest.fixture(scope="module")
def text() -> str:
    """Give the made-up trainee's page, with hostile notes on a session and a hold."""
    sessions = list(trainee().history.sessions)
    last = sessions[-1]
    hold = replace(last.holds[0], note=HOSTILE)
    sessions[-1] = replace(last, note=HOSTILE, holds=(hold, *last.holds[1:]))
    hostile_plan = trainee().plan.with_entry(
        replace(trainee().plan.exercises[0], cue=HOSTILE)
    )
    return render_page(
        found(replace(trainee().history, sessions=tuple(sessions)), hostile_plan)
    )


@pytest.fixture(scope="module")
def page(text: str) -> Page:
    """Give the page as a parser sees it."""
    return Page(text)


class TestSafe:
    def test_no_script_and_no_handler(self, page: Page) -> None:
        """Nothing on the page can run."""
        assert not {"script", "iframe", "object", "embed", "form"} & set(page.count())
        assert [] == [
            name
            for _, attrs in page.elements
            for name in attrs
            if name.startswith("on") or name in ("href", "src", "action")
        ]

    def test_no_address_is_fetched(self, text: str) -> None:
        """No address but the one in the hostile text, which stays text; no url()."""
        own = text.replace("http://evil.test", "")

        assert [] == re.findall(r"https?://|//[a-z]+\.|url\(|@import", own)

    def test_a_policy_forbids_what_is_not_there(self, page: Page) -> None:
        """Should anything slip in, the page's own policy stops it."""
        policies = [
            attrs["content"]
            for tag, attrs in page.elements
            if tag == "meta" and attrs.get("http-equiv") == "Content-Security-Policy"
        ]

        assert ["default-src 'none'; style-src 'unsafe-inline'"] == policies

    def test_what_people_typed_is_text(self, text: str, page: Page) -> None:
        """A hostile note, cue and reason stand there as typed, minus the escape."""
        shown = HOSTILE.replace("\x1b", "")

        assert 1 == page.text("dd").count(shown)
        assert any(f"cue “{shown}”" in one for one in page.text("dd"))
        assert any(one.endswith(shown) for one in page.text("p"))
        assert "\x1b" not in text
        assert "49" not in page.text("dd")

    def test_is_well_formed(self, page: Page) -> None:
        """Everything that is opened is closed, in order."""
        assert [] == page.faults
        assert [] == page.open


class TestReadable:
    def test_every_picture_has_a_text_alternative(self, page: Page) -> None:
        """Each drawing is an image with a title and a description of its own."""
        drawings = [attrs for tag, attrs in page.elements if tag == "svg"]
        ids = [attrs["id"] for _, attrs in page.elements if attrs.get("id")]

        assert len(drawings) >= 8
        assert len(set(ids)) == len(ids)
        for attrs in drawings:
            assert attrs["role"] == "img"
            title, description = (attrs["aria-labelledby"] or "").split()
            assert {title, description} <= set(ids)
        assert len(page.text("desc")) == len(drawings)

    def test_headings_go_down_by_one(self, page: Page) -> None:
        """One first heading, and no level left out."""
        levels = [
            int(tag[1]) for tag, _ in page.elements if re.fullmatch("h[1-6]", tag)
        ]

        assert levels.count(1) == 1
        assert levels[0] == 1
        assert all(after <= before + 1 for before, after in itertools.pairwise(levels))

    def test_tables_have_names_and_headed_columns(self, page: Page) -> None:
        """Each table is named by a heading of its own, which isn't scrolled away."""
        tables = [attrs for tag, attrs in page.elements if tag == "table"]
        heads = {attrs.get("id") for tag, attrs in page.elements if tag == "h3"}

        assert len(tables) > 5
        assert len({attrs["aria-labelledby"] for attrs in tables}) == len(tables)
        assert {attrs["aria-labelledby"] for attrs in tables} <= heads
        assert all(
            attrs.get("scope") in ("col", "row")
            for tag, attrs in page.elements
            if tag == "th"
        )

    def test_what_can_be_scrolled_can_be_reached(self, page: Page) -> None:
        """A wide table scrolls in a named region that takes the focus."""
        wide = [attrs for _, attrs in page.elements if attrs.get("class") == "wide"]

        assert wide
        assert all(
            attrs["tabindex"] == "0"
            and attrs["role"] == "region"
            and attrs["aria-labelledby"]
            for attrs in wide
        )

    def test_says_the_language_the_plan_the_streak_and_that_it_is_made_up(
        self, page: Page
    ) -> None:
        """The head of the page holds what a coach looks for first."""
        texts = [text for _, text in page.texts]

        assert ("html", {"lang": "en-GB"}) in page.elements
        assert "Made up: this trainee doesn't exist." in texts
        assert "Passive hang: 3 × 45 s, up from 40 s" in texts
        assert any("in a row" in text for text in texts)
        assert any("More" not in text and "clinician" in text for text in texts)

    def test_the_five_answers_and_pain_stand_at_the_top(self, page: Page) -> None:
        """Before any picture: each question with its answer, then every pain."""
        heads = page.text("h2")
        asked = page.text("dt")

        assert ["Five answers", "Pain", "Next week, and the plan", "Notes"] == heads[:4]
        assert [ASKED[one.question] for one in answers(found())] == asked[:5]
        assert all(one.says in page.text("dd") for one in answers(found()))
        assert "6 Nov 2026" in asked
        assert any(
            text.startswith("pain in the left wrist; Pike press-away, set")
            for text in page.text("dd")
        )

    def test_what_would_change_the_answer_is_told(self) -> None:
        """Next week's reasons, and what would have changed them."""
        sure = replace(UP, would_change=("One more session would make it 50 s.",))
        page = Page(render_page(replace(found(), suggestions=(sure,))))

        assert "What would change it:" in page.text("em")
        assert "One more session would make it 50 s." in page.text("p")

    def test_words_of_the_trade_of_figures_stand_in_small_print_alone(
        self, text: str
    ) -> None:
        """No Brier score, monotony, strain, "undefined", ISO week above the end."""
        body = re.sub(r"<style>.*?</style>|<[^>]*>", " ", text, flags=re.S)
        above = body.partition("A training aid, not medical advice")[0]

        assert not re.search(r"Brier|monotony|strain|undefined|\d{4}-W\d\d", above)

    def test_the_body_is_drawn_and_not_written(self, page: Page) -> None:
        """Shapes for the figure and its sites: no text in a fixed pitch."""
        style = (
            Path(trainer.report.__file__).parent / "templates" / "review.css"
        ).read_text()

        assert page.count()["polygon"] > 20
        assert "mono" not in style
        assert not [one for one in page.text("text") if set(one) <= set("|/\\()'- ")]

    def test_bars_are_seen_in_print(self) -> None:
        """A browser leaves backgrounds out of a print; fills of shapes stay, edged."""
        style = (
            Path(trainer.report.__file__).parent / "templates" / "review.css"
        ).read_text()

        for look in ("first", "second", "third"):
            rule = re.search(rf"\.{look} \{{([^}}]*)\}}", style)
            assert rule is not None
            assert "stroke:" in rule[1]
            assert "background" not in rule[1]

    def test_the_trainee_s_name_heads_the_page(self) -> None:
        """Where one is set; else the page says what it is of."""
        named = Page(render_page(replace(found(), name="A. <b>Made-up</b>")))

        assert ["A. <b>Made-up</b>: holds overhead"] == named.text("h1")
        assert ["Holds overhead"] == Page(render_page(found())).text("h1")

    def test_colours_can_be_read(self) -> None:
        """Text has 4.5:1 and marks have 3:1 on the page's own ground, or a dark edge.

        Source: WCAG 2.x, relative luminance and contrast ratio. The sky of the bars is
        no text and has its figure and table beside it; it is checked against 2:1.
        """
        style = (
            Path(trainer.report.__file__).parent / "templates" / "review.css"
        ).read_text()
        colours = dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6})", style))
        paper = colours["paper"]

        for name in ("ink", "soft", "orange-ink"):
            assert contrast(colours[name], paper) >= 4.5, name
        assert contrast(colours["sky"], paper) >= 2
        for shade in re.findall(r"\.shade-\d \{ fill: (#[0-9a-f]{6})", style):
            assert contrast(colours["ink"], shade) >= 4.5, shade

    def test_paper_keeps_pictures_whole(self) -> None:
        """On A4 a picture is never broken over two pages."""
        style = (
            Path(trainer.report.__file__).parent / "templates" / "review.css"
        ).read_text()

        assert "size: A4" in style
        assert re.search(r"figure \{[^}]*break-inside: avoid", style)


class TestContents:
    def test_an_empty_log_is_a_page_too(self) -> None:
        """With nothing logged the page has the plan, the cautions and a sentence."""
        page = Page(render_page(found(History())))

        assert [] == page.faults
        assert "No holds in these weeks." in page.text("p")
        assert 0 == page.count()["svg"]

    def test_the_plan_says_the_target_now_names_and_breaths(self, page: Page) -> None:
        """A coach reads words: the target in force, the name, what 4:6 means."""
        told = [text for text in page.text("dd") if "rest 60 s" in text]

        assert "Passive hang" in page.text("dt")
        assert told[0].startswith("3 sets of 45 s, rest 60 s; start 20 s, step 5 s")
        assert "breath in 4 s, out 6 s" in told[0]
        assert "press-pike" not in page.text("dt")

    def test_no_empty_bodies_where_too_little_was_felt(self) -> None:
        """Two sessions with a place felt: the sentence, and no drawing of a body."""
        two = tuple(
            session(TODAY - timedelta(days=n), hold(felt=(Felt(Site.LATS),)))
            for n in (3, 1)
        )
        shown = render_page(found(History(sessions=two)))

        assert "Too little noted to draw a map" in shown
        assert "Shaded in four steps" not in shown
        assert 'class="bodies"' not in shown

    def test_a_month_can_t_be_taken_for_a_day(self) -> None:
        """The calendar's rows are labelled with the whole year: no ``Nov 26``."""
        labels = Page(render_page(found())).text("text")

        assert "Nov 2026" in labels
        assert not [
            text for text in labels if re.fullmatch(r"[A-Z][a-z]{2} \d\d", text)
        ]

    def test_says_when_the_caps_are_reached(self) -> None:
        """Each forecast has its cells in its exercise's row of what lies ahead."""
        looked = with_forecasts(found())
        page = Page(render_page(looked))

        assert looked.forecasts
        assert "Bests and what lies ahead" in page.text("h3")
        rows = {row[0]: list(filter(None, row)) for row in outlook_table(looked).rows}
        cells = [text for tag, text in page.texts if tag in ("th", "td")]
        for one in looked.forecasts:
            likely = f"after {HORIZON}"
            if one.median is not None:
                likely = short_date(one.median.monday)
            row = rows[looked.plan.brief_name(one.exercise)]
            assert f"{one.cap_s:g} s" in row
            assert "reached" in row if one.reached else likely in row
            assert row in [cells[at : at + len(row)] for at in range(len(cells))]

    def test_is_the_same_each_time(self) -> None:
        """One review, one page: no clock, no random ids."""
        assert render_page(found()) == render_page(found())

    def test_nothing_of_the_machine_is_on_it(self, text: str) -> None:
        """No path, no host, no user name."""
        assert "/home/" not in text
        assert str(Path.home()) not in text


def contrast(one: str, other: str) -> float:
    """Give the contrast ratio of two colours (WCAG 2.x)."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def luminance(colour: str) -> float:
    """Give the relative luminance (WCAG 2.x)."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [
        part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4
        for part in parts
    ]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
