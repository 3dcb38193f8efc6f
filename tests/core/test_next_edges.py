"""Next week at the edges of its rules, found by reading it against the contract."""

from __future__ import annotations

from tests.core.next_cases import ask, log, trained


def test_a_promise_after_a_rise_names_the_day_from_which_it_holds() -> None:
    """One more session soon after a rise isn't enough: six days have to pass too."""
    rose_on_friday = log(
        trained(2, 25, 25, 25, target=25), trained(4, 30, 30, 30, target=30)
    )

    got = ask(rose_on_friday, 4)

    assert (
        "One more session at 30 s within 13 days of 6 March 2026, with every set kept"
        " and an RPE of 7 or less noted, would make it 35 s in a week that begins"
        " training on 12 March 2026 or later.",
    ) == got.would_change
