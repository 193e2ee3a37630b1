"""Whole messages of every shape and sender, made on invented catalogues, with the right lines."""

from __future__ import annotations

import random
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import how_many
import made_up

# Messages parted by "=====", the lines asked for behind "> ". {a1} {b1} {c1} are things in the singular, {am} … in the
# plural; {p} {q} {r} counts as figures, {pw} {qw} {rw} as words. "ap" is a in the number p, "b2" two of b, "c?" may be
# a line or not, "-" is nothing.
_SHAPES = Path(__file__).parents[1] / "data" / "requests" / "wrapped_messages.txt"
SHAPES = [tuple(block.rstrip("\n").rsplit("\n> ", 1)) for block in _SHAPES.read_text().split("=====\n")]


@dataclass(frozen=True)
class Told:
    text: str
    wanted: tuple[tuple[str, int], ...]
    optional: frozenset[str]
    named: tuple[str, ...]


def messages(
    made: list[made_up.Made], seed: int, shapes: list[tuple[str, ...]], counts: tuple[int, ...] = (2, 3, 4, 5, 6, 8, 12)
) -> Iterator[Told]:
    """Each shape once, with things of different families and counts drawn for it."""
    rng = random.Random(seed)
    live = [one for one in made if one.item.superseded_by is None and "case of" not in made_up.FAMILIES[one.family][0]]
    for shape, answer in shapes:
        machine = rng.choice(sorted({one.machine for one in live if one.machine}))
        fitting = [one for one in live if one.machine in ("", machine)]
        things = dict(zip("abc", _apart(fitting, rng), strict=True))
        numbers = dict(zip("pqr", rng.sample(counts, 3), strict=True))
        said: dict[str, object] = {}
        for letter, thing in things.items():
            said[letter + "1"], said[letter + "m"] = how_many._phrases(thing, rng)
        for letter, count in numbers.items():
            said[letter], said[letter + "w"] = count, how_many.SPELT[count]
        asked = [(things[one[0]].item.part_number, one[1:]) for one in answer.split() if one != "-"]
        wanted = sorted((part, numbers.get(count) or int(count)) for part, count in asked if count != "?")
        named = tuple(str(said[key]) for key in re.findall(r"{([abc][1m])}", shape))
        yield Told(shape.format(**said), tuple(wanted), frozenset(part for part, count in asked if count == "?"), named)


def _apart(live: list[made_up.Made], rng: random.Random) -> list[made_up.Made]:
    """Three things of different families."""
    return [
        rng.choice([one for one in live if one.family == family])
        for family in rng.sample(sorted({one.family for one in live}), 3)
    ]
