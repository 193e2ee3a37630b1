"""Ways of saying how many, beside figures that are no quantity, on invented catalogues, with the right answers."""

from __future__ import annotations

import random
import re
from collections.abc import Iterator
from dataclasses import dataclass

import made_up

from partsbin.requests import CatalogueItem

SPELT = {1: "one", 2: "two", 3: "three", 4: "four", 5: "five", 6: "six", 7: "seven", 8: "eight", 9: "nine", 10: "ten", 11: "eleven", 12: "twelve", 15: "fifteen", 20: "twenty", 24: "twenty four", 30: "thirty"}  # fmt: skip
HEARD = {2: ("to", "too"), 4: ("for",), 8: ("ate",)}
# {one} is the thing in the singular, {many} in the plural, {n} the figure, {w} the figure as a word.
COUNTED = (
    "x{n} {one}", "{n}x {one}", "{n} x {one}", "{one} x{n}", "{one} x {n}", "{one} ({n})", "({n}) {one}", "{n} off {one}", "{one} {n} off", "{one}, {n} off", "{one} {n}off", "{n} ea {one}",
    "{one} {n}ea", "{one} - {n} ea", "{one} {n} each", "qty {n} {one}", "{one} qty {n}", "qty: {n} {one}", "{one} qty:{n}", "{one} (qty {n})", "{one} quantity {n}", "{n} {many}", "{w} {many}",
    "{n} of the {many}", "need {n} {many} please", "{many}, {w} please", "{many}, say {w}", "{one} - {n}", "{one}: {n}", "{n} pcs {one}", "{one} {n}pcs", "{one} {n} pcs", "{n} no. {one}",
    "{n}no {one}", "{n} more {many}", "another {w} {many}", "all {n} {many}", "all {w} {many}", "can i get {w} of the {many}", "{n} new {many}", "{n} {many} for job 4471", "{w} {many} for lane 14",
    "{n} {many} for van 7", "hi, could you send {w} {many} to site by 3pm", "{many} x {w}", "{one} times {w}", "{many} we need {n} of them", "{many} - need {n}", "{n} pieces of {one}",
    "{n} units {one}", "order {n} {many}", "{one} *{n}", "{n}* {one}", "{one} X{n}", "{n} nr {one}", "{n} spare {many}", "{n}pc {one}", "{one}, {n}", "{many}: {w}", "{n} sets of {many}", "i want {n} {many} and thats it",
    "{one}, qty = {n}", "{one} qnty {n}", "{n} off of {one}", "we are after {w} {many}", "{one} need x{n}", "{n}-off {one}", "send {w} {many} 4 monday", "{many} ({w})", "{n} qty {one}", "{one} {n} qty", "{n} x the {one}",
    "{one} .. x{n}", "pls send {n} {many} asap", "{n} replacement {many}", "{one} – {n} off", "{n}× {one}", "{one} ×{n}", "{n} {one} please",
)  # fmt: skip
SINGLE = (
    "{one}", "a {one}", "one {one}", "1 {one}", "1x {one}", "just the one {one}", "only one {one}", "need {one} asap", "another {one}", "need a new {one}", "{one} for lane 14", "{one} for van 7", "{one} please, job 4471",
    "{one} on 22", "{one} by 3pm", "{one} for machine A0417", "the {one} again", "{one}, selection 12", "{one} - last one cost 40 dollars", "can i have a {one} for the 2nd floor", "{one} for the unit at 14 high street",
)  # fmt: skip
GROUPED = (
    ("a couple of {many}", 2), ("couple {many}", 2), ("couple of {many}", 2), ("half a dozen {many}", 6), ("half dozen {many}", 6), ("1/2 doz {many}", 6), ("½ doz {many}", 6), ("a dozen {many}", 12), ("dozen {many}", 12),
    ("{many}, dozen", 12), ("2 dozen {many}", 24), ("two dozen {many}", 24), ("1 doz {one}", 12), ("{one} 1 doz", 12), ("{many} half a dozen", 6), ("a dozen of the {many}", 12), ("{many} a couple", 2), ("{one} x 2 dozen", 24), ("half-dozen {many}", 6),
    ("half doz {one}", 6), ("3 doz {many}", 36), ("a pair of {many}", 2), ("{many}, pair", 2), ("2 pairs of {many}", 4), ("pr of {many}", 2), ("{many} a pair", 2), ("two pair {many}", 4), ("both {many}", 2),
)  # fmt: skip
NUMBERED = (
    "{pn} x{n}", "{n}x {pn}", "{n} x {pn}", "{pn} x {n}", "{n} of {pn}", "{pn} qty {n}", "qty {n} {pn}", "{pn} - {n} off", "{n} off {pn}", "{pn} ({n})", "{n} ea {pn}", "{pn} {n}ea", "{w} of {pn}", "need {n} {pn}", "{pn}, {n} off", "{pn}: {n}", "{pn} - {n}",
    "part {pn} x{n}", "p/n {pn} qty {n}", "{n} pcs {pn}", "{pn} {n} pcs", "{pn} need {w}", "could you send {w} {pn} please", "{pn} = {n}", "{n} {pn}", "{w} {pn}",
)  # fmt: skip
UNASKED = ("some {many}", "a few {many}", "a handful of {many}", "{many} please", "several {many}")


@dataclass(frozen=True)
class Said:
    text: str
    wanted: str
    quantity: int | None
    form: str


def plural(name: str) -> str:
    """The plural of a made-up part's plain name."""
    head, tail = (name.split(" case of")[0], "") if " case of" in name else (name, "")
    if head.endswith(("s", "x", "ch", "sh")):
        return head + "es" + tail
    if head.endswith("y") and head[-2] not in "aeiou":
        return head[:-1] + "ies" + tail
    return head + "s" + tail


def _phrases(one: made_up.Made, rng: random.Random) -> tuple[str, str]:
    """The item in words, singular and plural, its attributes before or behind the noun."""
    name = made_up.FAMILIES[one.family][0]
    facts = [text for kind, value in one.facts if (text := made_up.state(kind, value, "said", rng))]
    rng.shuffle(facts)
    cut = rng.randint(0, len(facts))
    front, back = " ".join(facts[:cut]), " ".join(facts[cut:])
    machine = f"for the {one.machine}" if one.machine else ""

    def put(noun: str) -> str:
        return " ".join(part for part in (front, noun, back, machine) if part)

    return put(name), put(plural(name))


def sayings(style: made_up.Style, made: list[made_up.Made], seed: int, each: int = 3) -> Iterator[Said]:
    """Every form ``each`` times on things drawn from a catalogue; drinks are left out: their cases count otherwise."""
    rng = random.Random(seed)
    live = [one for one in made if one.item.superseded_by is None and "case of" not in made_up.FAMILIES[one.family][0]]
    live = [one for one in live if one.item.unit == "each"]
    counts = [2, 3, 4, 5, 6, 7, 8, 10, 12, 15, 20, 30]
    for _ in range(each):
        for form in COUNTED:
            one, n = rng.choice(live), rng.choice(counts)
            single, many = _phrases(one, rng)
            yield Said(form.format(one=single, many=many, n=n, w=SPELT[n]), one.item.part_number, n, form)
        for form in SINGLE:
            one = rng.choice(live)
            yield Said(form.format(one=_phrases(one, rng)[0]), one.item.part_number, 1, form)
        for form, n in GROUPED:
            one = rng.choice(live)
            single, many = _phrases(one, rng)
            yield Said(form.format(one=single, many=many), one.item.part_number, n, form)
        for form in NUMBERED:
            one, n = rng.choice(live), rng.choice(counts)
            yield Said(form.format(pn=one.item.part_number, n=n, w=SPELT[n]), one.item.part_number, n, form)
        for form in UNASKED:
            one = rng.choice(live)
            yield Said(form.format(many=_phrases(one, rng)[1]), one.item.part_number, None, form)
        for n, words in HEARD.items():
            for word in words:
                one = rng.choice(live)
                yield Said(f"{word} {_phrases(one, rng)[1]}", one.item.part_number, n, f"heard {word}")


CASES = ("{n} case{s} {d}", "{d} {n} case{s}", "{w} case{s} of {d}", "{d}, {w} case{s}", "{d} x {n} case{s}", "{n} cs {d}", "{d} {n}cs", "{d} - {n} case{s}", "{n}x case {d}")  # fmt: skip


def catalogue_words(items: list[CatalogueItem], seed: int) -> Iterator[Said]:
    """Each item asked for in its catalogue's own words, figures and all, with a count said around them."""
    rng = random.Random(seed)
    forms = [form for form in COUNTED if "{many}" not in form] + ["{one}", "need {one}", "{one} pls"]
    for item in items:
        if item.superseded_by is not None or item.retired:
            continue
        words = item.description.lower() if rng.random() < 0.5 else item.description
        words = words.replace(",", "") if rng.random() < 0.4 else words
        bare = re.sub(r",? case of \d+", "", words, flags=re.IGNORECASE)
        n = rng.choice([1, 2, 3, 5]) if bare != words else rng.choice([2, 3, 4, 6, 8, 10, 12, 20])
        form = rng.choice(CASES) if bare != words else rng.choice(forms)
        count = n if "{n}" in form or "{w}" in form else 1
        text = form.format(one=bare, d=bare, n=n, w=SPELT[n], s="" if n == 1 else "s")
        yield Said(text, item.part_number, count * (item.pack_size if bare != words else 1), form)
