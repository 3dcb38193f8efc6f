"""The cautions: all of them are there, in words that a person can act on."""

from __future__ import annotations

import re

import pytest

from trainer.core.cautions import CAUTIONS, as_text, one_line
from trainer.core.exercises import BUILT_IN, Exercise

# What to name is our design's section 13. Published, as far as read: a rise of blood
# pressure in static and heavy efforts, more with a held breath (MacDougall et al. 1985,
# J Appl Physiol 58:785-90; Wiles et al. 2018, Medicine 97:e0105; Rev Cardiovasc Med
# 2023;24(2):60), and breathing out in the effort (AHA statement, Williams et al. 2007,
# Circulation 116:572-84). From memory, not confirmed: pressure in the eye head down,
# instability and loose joints in hangs. The rest is common practice without a source.
PUBLISHED = ("blood pressure", "heart", "stroke", "never strain on a held breath")
NAMED = re.findall(
    r"\S+",
    """
    not medical advice clinician coach gym local codes surgery dislocation
    unstable loose numbness elbow wrist neck blood pressure heart stroke
    glaucoma eye vertigo ear concussion reflux osteoporosis thinners pregnancy
    pinching radiates tingling dizziness headache sight held RPE failure alone
    rating fixing drop wall hands laptop phone somebody
    """,
)


@pytest.mark.parametrize("word", NAMED)
def test_every_caution_is_named(word: str) -> None:
    """Nothing that has to be said is left out."""
    assert word in as_text()


@pytest.mark.parametrize("words", PUBLISHED)
def test_what_is_published_of_blood_pressure_is_said(words: str) -> None:
    """High pressure, the heart and a stroke ask a clinician first; nobody strains."""
    assert words in " ".join(as_text().split())


def test_the_text_fits_a_narrow_terminal() -> None:
    """No line is longer than was asked for."""
    assert max(len(line) for line in as_text(56).splitlines()) <= 56


def test_each_caution_is_whole_sentences() -> None:
    """A heading, then sentences with a full stop."""
    for caution in CAUTIONS:
        assert caution.heading
        assert all(sentence.endswith(".") for sentence in caution.sentences)


@pytest.mark.parametrize("exercise", BUILT_IN.values(), ids=lambda each: each.id)
def test_each_exercise_has_one_line(exercise: Exercise) -> None:
    """One line before a hang and before going upside down."""
    line = one_line(exercise)

    assert 0 < len(line) <= 76
