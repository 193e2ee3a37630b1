"""Requests against things we did not write: a misspelling list, the trade's own phrases, unit definitions."""

from __future__ import annotations

import csv
import re
from pathlib import Path

import pytest

from partsbin.requests import CatalogueItem, Index, read_message
from partsbin.requests.describe import families
from partsbin.requests.measures import stated
from partsbin.requests.segment import usual_of
from partsbin.requests.words import Words
from partsbin.resources import shipped

REPO = Path(__file__).resolve().parents[2]
PHRASES = REPO.parent / "shared" / "reference" / "trade_requests.csv"


def catalogue() -> Index:
    with (shipped("seed") / "items.csv").open(encoding="utf-8", newline="") as handle:
        rows = list(csv.DictReader(handle))
    return Index(
        [CatalogueItem(place, row["part_number"], row["description"], aliases=()) for place, row in enumerate(rows)]
    )


def test_common_misspellings_of_catalogue_words_are_read_right() -> None:
    """Source: the codespell project's dictionary.txt (2.4, CC BY-SA 3.0): real misspellings and their corrections.

    Every entry that corrects to one word of five letters or more standing in the demo catalogue is tried.
    """
    data = pytest.importorskip("codespell_lib", reason="the misspelling list is a test extra")
    listing = Path(data.__file__).parent / "data" / "dictionary.txt"
    index = catalogue()
    used = {word for item in range(len(index)) for word in re.findall(r"[a-z]{5,}", index.at(item).description.lower())}
    tried = right = 0
    for line in listing.read_text(encoding="utf-8").splitlines():
        wrong, _, meant = line.partition("->")
        if meant not in used or not wrong.isalpha() or len(wrong) < 4 or index.knows(wrong):
            continue
        tried += 1
        known = index.words.usual(wrong)
        guessed = [usual for guess, _ in index.speller.guesses(wrong)[:1] for usual in index.words.usual(guess)]
        right += bool({*known, *guessed} & {*index.words.usual(meant)})
    assert tried >= 200
    assert right / tried >= 0.95, f"{right} of {tried}"


@pytest.mark.skipif(not PHRASES.exists(), reason="the trade's phrase list is not beside the repository")
def test_the_trade_phrases_give_their_families_and_quantities() -> None:
    """Source: common practice, 62 phrases with the reading a parts desk expects (family and how many).

    Rows whose reading is no list of parts (repeat, top-up, lane-fit, cancel, returns) are left out.
    """
    words = Words.shipped()
    tried = right = 0
    with PHRASES.open(encoding="utf-8", newline="") as handle:
        for row in csv.DictReader(handle):
            wanted = re.findall(r"\b((?:DLV|DOR|PAY|CTL|REF|CAB|FAS|KIT)-[A-Z]+)[^:;{]*:(\d+)", row["expected"])
            if not wanted or ":-" in row["expected"] or row["expected"].startswith(("first-check", "no request")):
                continue
            tried += 1
            lines = read_message(row["request_text"], words).lines
            named = [families(words, usual_of(words, *line.words)) for line in lines]
            right += len(lines) == len(wanted) and all(
                code in found and (line.quantity == int(count) or (line.unit == "pair" and count == "1"))
                for (code, count), line, found in zip(wanted, lines, named, strict=True)
            )
    assert tried >= 35
    assert right / tried >= 0.85, f"{right} of {tried}"


@pytest.mark.parametrize(
    ("said", "kind", "value"),
    [
        ("1 in", "mm", 25.4),  # NIST SP 811 (2008) appendix B.8: the inch is exactly 25.4 mm
        ("1/4in", "mm", 6.35),
        ("1 ft", "mm", 304.8),  # same table: the foot is exactly 0.3048 m
        ("20 oz", "ml", 591.47),  # same table: US fluid ounce 29.57353 ml
        ("12 fl oz", "ml", 354.882),
        ("m12x1.75", "thread", "M12"),  # ISO 261:1998: M12 coarse has pitch 1.75
        ("1/2-13", "thread", "1/2-13"),  # ASME B1.1-2019: 1/2-13 UNC
        ("cr2032", "cell", "CR2032"),  # IEC 60086-3 cell designation
        ("r-290", "refrigerant", "R290"),  # ASHRAE 34 designation of propane
        ("5x20", "size", "5x20"),  # IEC 60127-2 miniature cartridge fuse-link, 5 mm x 20 mm
    ],
)
def test_units_and_designations_mean_what_their_standards_say(said: str, kind: str, value: float | str) -> None:
    found = dict(stated(said))
    assert found[kind] == (pytest.approx(value, rel=1e-4) if isinstance(value, float) else value)
