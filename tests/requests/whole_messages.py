"""Whole messages of every shape, made on invented catalogues, with the right lines."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass

import how_many
import made_up

# {a1} {b1} {c1} are things in the singular, {am} … in the plural; {p} {q} {r} counts as figures, {pw} {qw} {rw} as words.
SHAPES = (
    ("{p} x {a1}\n{q} x {b1}\n{r} x {c1}", "apbqcr"), ("- {p} {am}\n- {q} {bm}\n- {c1}", "apbqc1"), ("1. {a1} x{p}\n2. {b1} x{q}\n3. {c1} x{r}", "apbqcr"),
    ("need {p} {am} and {q} {bm} and a {c1}", "apbqc1"), ("Hi all, can you send {pw} {am}, {qw} {bm} and one {c1} please? Thanks, Tom", "apbqc1"), ("{a1} x{p}, {b1} x{q}, {c1} x{r}", "apbqcr"),
    ("one of each: {a1}, {b1}, {c1}", "a1b1c1"), ("{p} each of {a1} and {b1}", "apbp"), ("{p} of each please: {a1}, {b1}", "apbp"), ("{a1}\n{b1}\n{c1}\n{p} of each", "apbpcp"),
    ("Morning,\nvan 7 here for job 4471.\n{p} {am}\n{q} {bm}\nCheers\nSam", "apbq"), ("* {a1} - {p}\n* {b1} - {q}", "apbq"), ("{p} {am} no wait make it {qw}", "aq"), ("{a1} and {b1}. scrap the {b1}", "a1"),
    ("{p} {am}. Sorry, make that {q}. And {r} {bm}.", "aqbr"), ("Need these asap: {a1} ({p}), {b1} ({q})", "apbq"), ("please order\n{p}\t{a1}\n{q}\t{b1}", "apbq"), ("qty {p} {a1}; qty {q} {b1}; qty {r} {c1}", "apbqcr"),
    ("can i get {a1}, also {q} {bm}, plus {r} {cm}", "a1bqcr"), ("{p} off {a1}\n{q} off {b1}\n\n> {r} off {c1}\n", "apbq"), ("Subject: parts\n\n{p} {am}\n{q} {bm}\n\nOn Tue 3 May, Desk wrote:\n> which ones?\n> {c1} x9", "apbq"),
    ("the lobby machine is dead again. need a {a1} and {q} {bm} for it. site contact is Ann 555 0100", "a1bq"), ("{a1} for lane 14, {q} {bm} for lane 22", "a1bq"), ("{pw} {am} {qw} {bm} and {rw} {cm}", "apbqcr"),
    ("{a1}, {b1} and {c1}", "a1b1c1"), ("{a1} + {b1} + {q} {cm}", "a1b1cq"), ("i already have {bm} so just {p} {am}", "ap"), ("{p} {am}, but no {b1}", "ap"), ("{p}x {a1} & {q}x {b1}", "apbq"), ("{a1}: {p}\n{b1}: {q}\n{c1}: {r}", "apbqcr"),
    ("a couple of {am} and half a dozen {bm}", "a2b6"), ("a {a1} for tomorrow. also if you have them {q} {bm}", "a1bq"), ("hello, {am} - {p}, {bm} - {q}. ta", "apbq"), ("{p} {am}\n\nactually make that {q}\n\nand {r} {bm}", "aqbr"),
)  # fmt: skip


@dataclass(frozen=True)
class Told:
    text: str
    wanted: tuple[tuple[str, int], ...]
    shape: str


def messages(made: list[made_up.Made], seed: int, each: int = 2) -> Iterator[Told]:
    rng = random.Random(seed)
    live = [one for one in made if one.item.superseded_by is None and "case of" not in made_up.FAMILIES[one.family][0]]
    for _ in range(each):
        for shape, answer in SHAPES:
            machine = rng.choice(sorted({one.machine for one in live if one.machine}))
            fitting = [one for one in live if one.machine in ("", machine)]
            things = dict(zip("abc", _apart(fitting, rng), strict=True))
            counts = dict(zip("pqr", rng.sample([2, 3, 4, 5, 6, 8, 10, 12], 3), strict=True))
            said: dict[str, object] = {}
            for letter, thing in things.items():
                said[letter + "1"], said[letter + "m"] = how_many._phrases(thing, rng)
            for letter, count in counts.items():
                said[letter], said[letter + "w"] = count, how_many.SPELT[count]
            pairs = [(answer[at], answer[at + 1]) for at in range(0, len(answer), 2)]
            wanted = sorted((things[a].item.part_number, counts.get(n) or int(n)) for a, n in pairs)
            yield Told(shape.format(**said), tuple(wanted), shape)


def _apart(live: list[made_up.Made], rng: random.Random) -> list[made_up.Made]:
    """Three things of different families."""
    return [
        rng.choice([one for one in live if one.family == family])
        for family in rng.sample(sorted({one.family for one in live}), 3)
    ]
