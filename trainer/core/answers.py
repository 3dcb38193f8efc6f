"""How a data file says that its trainee doesn't exist, so that every screen can."""

from __future__ import annotations

from collections.abc import Mapping

MADE_UP_KEY = "made_up"
"""The answer that marks a file as made up: ``yes`` there, missing in a person's."""
MADE_UP = "Made up: this trainee doesn't exist."
"""Said wherever something of such a file is shown."""
MADE_UP_SHORT = "made up"


def is_made_up(answers: Mapping[str, str]) -> bool:
    """Tell whether a file with these answers is made up."""
    return answers.get(MADE_UP_KEY) == "yes"
