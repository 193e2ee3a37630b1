"""What is asked for instead of what: "change my order from 3 keypads to 2", "swap the keypad for a modem"."""

from __future__ import annotations

from dataclasses import replace

from partsbin.requests.token import Token, counted, is_number, text_at
from partsbin.requests.wordlists import listed

_CHANGING = listed("change amend alter increase reduce up drop cut bump take bring raise lower revise adjust put go")
_SWAPPING = listed("swap exchange change switch replace trade")
_FOR = ("for", "to", "with", "by")
_OPENS = listed("a an the another some")


def settled(tokens: list[Token]) -> list[Token]:
    """The tokens with only the new count of a change, and what is swapped marked as not wanted."""
    recounted = _from_to(tokens)
    return _swapped(tokens) if recounted is tokens else recounted


def _from_to(tokens: list[Token]) -> list[Token]:
    """Set aside the old count: "take the keypads from 3 to 5"."""
    start = next((place for place, token in enumerate(tokens) if token.text == "from"), 0)
    if not is_number(tokens, start + 1) or _CHANGING.isdisjoint(token.text for token in tokens[:start]):
        return tokens
    for place in range(start + 2, len(tokens) - 1):
        if tokens[place].text == "to" and is_number(tokens, place + 1) and _closes(tokens, place + 2):
            new, taken = counted(tokens, place, 2, tokens[place + 1].count)
            return [*tokens[:start], *tokens[start + 2 : place], new, *tokens[place + taken :]]
    return tokens


def _closes(tokens: list[Token], position: int) -> bool:
    """Whether nothing is named from here on."""
    behind = tokens[position : position + 1]
    return not behind or behind[0].kind in ("mark", "filler") or behind[0].text == "please"


def _swapped(tokens: list[Token]) -> list[Token]:
    """Read "swap the keypad for a modem" as "instead of the keypad, a modem"."""
    verb = next((place for place, token in enumerate(tokens) if token.text in _SWAPPING), -1)
    if verb < 0 or text_at(tokens, verb + 1) not in ("the", "my", "that", "those"):
        return tokens
    for place in range(verb + 3, len(tokens) - 1):
        if tokens[place].text in _FOR and _opens(tokens, place + 1):
            said = [replace(tokens[verb], text="instead"), replace(tokens[verb], text="of")]
            comma = replace(tokens[place], text=",", kind="mark")
            return [*tokens[:verb], *said, *tokens[verb + 1 : place], comma, *tokens[place + 1 :]]
    return tokens


def _opens(tokens: list[Token], position: int) -> bool:
    """Whether a thing starts here, with an article or counted."""
    counts = is_number(tokens, position) and position + 1 < len(tokens)
    behind = text_at(tokens, position + 1)
    if behind and tokens[position + 1].kind == "machine":
        return False  # "change the lid for the Robin 8"
    return text_at(tokens, position) in _OPENS or (counts and behind.isalnum() and behind not in ("and", "please"))
