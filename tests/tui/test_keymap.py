"""Keys: one table, remaps that are checked, reasons that help."""

from __future__ import annotations

import itertools

import pytest

from trainer.errors import ConfigError
from trainer.tui.keymap import KEYS, bind, check_remaps, meet


def test_a_good_remap_is_given_in_textual_names() -> None:
    """Characters and names are both understood."""
    expected = {"today.next": "w", "today.start": "enter,full_stop"}

    assert expected == check_remaps({"today.next": "w", "today.start": "enter, ."})


@pytest.mark.parametrize(
    ("remaps", "reason"),
    [
        ({"today.nxt": "w"}, "The nearest is today.next"),
        ({"today.next": "hyper+w"}, "there is no key"),
        ({"today.next": "ctrl+i"}, "can't be told from tab"),
        ({"today.next": "ctrl+m"}, "can't be told from enter"),
        ({"today.next": ""}, "has no key"),
        ({"today.next": "p"}, "would mean both today.next and today.plan"),
        ({"today.next": "f1"}, "would mean both everywhere.help and today.next"),
        ({"everywhere.cautions": "p"}, "would mean both"),
        ({"everywhere.help": "w"}, "can't be moved"),
        ({"everywhere.leave": "w"}, "can't be moved"),
        ({"everywhere.back": "w"}, "can't be moved"),
    ],
)
def test_a_bad_remap_is_refused_with_its_reason(
    remaps: dict[str, str], reason: str
) -> None:
    """Unknown names, impossible keys and clashes each say what is wrong."""
    with pytest.raises(ConfigError, match="keys") as refused:
        check_remaps(remaps)

    assert reason in str(refused.value)


def test_two_remaps_may_swap_their_keys() -> None:
    """A swap is no clash."""
    swapped = {"today.next": "p", "today.plan": "n"}

    assert swapped == check_remaps(swapped)


def test_every_key_is_documented() -> None:
    """Each has a label, a sentence, and keeps its name on its binding."""
    for key in KEYS.values():
        assert key.label
        assert key.tooltip.endswith(".")
        assert bind(key.id, "x").id == key.id


def test_no_key_means_two_things_from_the_start() -> None:
    """Wherever two places can be live at once, they have different keys.

    All but the way back, which means the same wherever it is.
    """
    keys = [key for key in KEYS.values() if key.id != "everywhere.back"]
    for one, other in itertools.combinations(keys, 2):
        if meet(one.where, other.where):
            both = set(one.keys.split(",")) & set(other.keys.split(","))
            assert both == set(), (one.id, other.id)
