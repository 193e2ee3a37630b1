"""Trade words changed at the desk: what a word of the depot's people means."""

from __future__ import annotations

from partsbin.depot.file import Depot
from partsbin.errors import Refused

_MEANING = ("abbreviation", "synonym", "homophone")


def change_word(depot: Depot, text: str) -> str:
    """Take “wobbler = gasket” as a trade word, “wobbler =” as forgetting it; returns what was done in words.

    Refuses a text without “=” and forgetting what nobody says.
    """
    word, equals, means = (part.strip().lower() for part in text.partition("="))
    if not word or not equals:
        message = "Say the word, “=” and what it means: wobbler = gasket. With nothing behind “=” it is forgotten."
        raise Refused(message)
    if word == means:
        message = f"“{word}” cannot mean itself."
        raise Refused(message)
    kinds = ", ".join("?" * len(_MEANING))
    with depot.write():
        known = depot.value(f"SELECT count(*) FROM trade_words WHERE word = ? AND kind IN ({kinds})", (word, *_MEANING))
        if not means and not known:
            message = (
                f"“{word}” is no trade word here with a meaning of its own; partsbin export lists them in words.csv."
            )
            raise Refused(message)
        depot.run(f"DELETE FROM trade_words WHERE word = ? AND kind IN ({kinds})", (word, *_MEANING))
        if means:
            depot.run("INSERT INTO trade_words (word, means, kind) VALUES (?, ?, 'synonym')", (word, means))
    return f"“{word}” now means “{means}”." if means else f"“{word}” means nothing of its own any more."
