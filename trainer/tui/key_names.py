"""The names of keys: those that every terminal can send, and how they are shown."""

from __future__ import annotations

import string

from trainer.errors import ConfigError

_NAMED = frozenset(
    {"space", "enter", "escape", "tab", "backspace", "delete", "insert", "up", "down"}
    | {"left", "right", "home", "end", "pageup", "pagedown"}
    | {f"f{n}" for n in range(1, 13)}
)
_PUNCTUATION = {
    "question_mark": "?",
    "exclamation_mark": "!",
    "plus": "+",
    "minus": "-",
    "equals_sign": "=",
    "comma": ",",
    "full_stop": ".",
    "colon": ":",
    "semicolon": ";",
    "slash": "/",
    "backslash": "\\",
    "apostrophe": "'",
    "quotation_mark": '"',
    "left_square_bracket": "[",
    "right_square_bracket": "]",
    "underscore": "_",
    "asterisk": "*",
    "number_sign": "#",
    "percent_sign": "%",
    "ampersand": "&",
    "less_than_sign": "<",
    "greater_than_sign": ">",
}
_SAME_IN_A_TERMINAL = {"i": "tab", "m": "enter", "j": "enter", "h": "backspace"}
_SHOWN = {
    "escape": "esc",
    "pageup": "pgup",
    "pagedown": "pgdn",
    "up": "↑",
    "down": "↓",
    "left": "←",
    "right": "→",
    **_PUNCTUATION,
}


def shown(key: str) -> str:
    """Give a key's short name for people."""
    return _SHOWN.get(key, key)


def key_name(text: str, owner: str) -> str:
    """Give Textual's name of one key, or refuse it."""
    key = text.strip()
    for name, char in _PUNCTUATION.items():
        if key in (name, char):
            return name
    if len(key) == 1 and key in string.ascii_letters + string.digits:
        return key
    low = key.lower()
    if low in _NAMED:
        return low
    if low.startswith("ctrl+") and len(low) == 6 and low[5] in string.ascii_lowercase:
        if low[5] in _SAME_IN_A_TERMINAL:
            other = _SAME_IN_A_TERMINAL[low[5]]
            raise ConfigError(
                f"{owner}: {key} can't be told from {other} in most terminals",
                "Choose another key",
            )
        return low
    raise ConfigError(
        f"{owner}: there is no key {key!r}",
        "Use a letter, a digit, a punctuation mark, ctrl+letter, f1 to f12, or one of"
        " space, enter, tab, home, end, pageup, pagedown and the arrows",
    )
