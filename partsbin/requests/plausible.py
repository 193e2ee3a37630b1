"""Every item that may be meant by a line, measured against it."""

from __future__ import annotations

from partsbin.requests.doubts import carries_all, names_it
from partsbin.requests.index import Index
from partsbin.requests.query import Query, groups, prepare
from partsbin.requests.scored import Scored
from partsbin.requests.scoring import WEIGHTS, measure, tell_apart
from partsbin.requests.segment import usual_of
from partsbin.requests.types import AskedLine, CatalogueItem
from partsbin.requests.view import View
from partsbin.requests.wordlists import listed
from partsbin.requests.words import singular

_POOL = 28
_ALIKE = 0.25
_NEIGHBOUR = 0.3
_FIRST_OF_EQUALS = 0.2
"""What of a learned word's weight is left where another item fits as well: enough to come first, not to be sure."""


def meant(index: Index, line: AskedLine) -> View | None:
    """The item a line most likely means, as the matcher sees it; None where nothing is like it."""
    found = plausible(index, prepare(index, line, line.machine))
    if not found:
        return None
    _, item, _ = max(found, key=lambda one: (one[0].score, -one[1].item_id))
    return index.view(index.slot(item.item_id))


def plausible(index: Index, query: Query) -> list[tuple[Scored, CatalogueItem, tuple[str, ...]]]:
    """Every plausible item once, superseded ones as the item that took their place."""
    slots = dict.fromkeys(index.slot(item_id) for item_id in query.hits if item_id in index)
    slots.update(dict.fromkeys(index.search(groups(index, query), _POOL)))
    tell_apart(query, [index.view(slot) for slot in slots])
    best: dict[int, tuple[Scored, CatalogueItem, tuple[str, ...]]] = {}
    for slot in slots:
        one = measure(query, index.view(slot))
        item, passed = index.live(index.at(slot).item_id)
        if item is None:
            item = index.at(slot)
            one.contradictions.append("its successors lead in a circle")
        if item.retired:
            one.contradictions.append("retired, nothing took its place")
            one.score -= 3.0
        have = best.get(item.item_id)
        itself = not passed and have is not None and one.score == have[0].score
        if have is None or one.score > have[0].score or itself:
            best[item.item_id] = (one, item, passed)
    _favour_the_longest(query, [one for one, _, _ in best.values()])
    _favour_the_only_one(query, [one for one, _, _ in best.values()])
    _favour_neighbours(index, query, [one for one, _, _ in best.values()])
    _hold_back_learning([one for one, _, _ in best.values()])
    return list(best.values())


_EXTREMES = dict.fromkeys(("long", "longer", "longest", "large", "larger", "largest", "big", "bigger", "biggest"), 1)
_EXTREMES |= dict.fromkeys(("short", "shorter", "shortest", "small", "smaller", "smallest"), -1)


def _favour_the_longest(query: Query, found: list[Scored]) -> None:
    """Put "the long one" first of those told apart by one size alone, and leave it to be asked about."""
    way = next((_EXTREMES[word] for word in query.line.words if word in _EXTREMES), 0)
    top = max((one.score for one in found), default=0.0)
    alike = [one for one in found if way and one.score > top - _ALIKE and not one.contradictions]
    for kind in ("mm", "ml") if len(alike) > 1 else ():
        sizes = [
            max((value for value in one.view.attributes.get(kind, ()) if isinstance(value, float)), default=0.0)
            for one in alike
        ]
        if min(sizes) and len(set(sizes)) == len(sizes):
            first = alike[sizes.index(max(sizes) if way > 0 else min(sizes))]
            first.score += _ALIKE
            first.features["unstated"] = 1.0
            return


def _favour_the_only_one(query: Query, found: list[Scored]) -> None:
    """Where one item alone has all that was said, the thing by its name among it, no other can be meant.

    Asked for a tray, a tray grid is not meant where there is a tray.
    """
    whole = [one for one in found if carries_all(query, one)]
    whole = [one for one in whole if one.view.noun in one.matched] or whole or _called_so_alone(query, found)
    if len(whole) == 1 and not query.strange_codes and names_it(whole[0]):
        whole[0].features["alone"] = 1.0
        whole[0].score += WEIGHTS["alone"]


def _favour_neighbours(index: Index, query: Query, found: list[Scored]) -> None:
    """Where several fit alike, the one called by a word of the line before goes first: "waste bin and lid"."""
    beside = set(usual_of(index.words, *query.line.beside)) - query.asked - index.words.noise
    for one in found if beside else ():
        one.score += _NEIGHBOUR * (not beside.isdisjoint(one.view.words))


_ASKING = listed("a an the some any more another of please pls need want send get me us i we")


def _called_so_alone(query: Query, found: list[Scored]) -> list[Scored]:
    """The item that bears the one word said as its whole name, where nothing else has it or goes by it: "padlocks"."""
    having = [one for one in found if one.matched]
    if len(having) != 1 or query.attributes or query.figures or query.hits:
        return []
    view = having[0].view
    said = {singular(word) for word in query.line.words if word not in _ASKING}
    return having if said == {view.noun} == view.named - view.plain else []


def _hold_back_learning(found: list[Scored]) -> None:
    """Let a pick go first, but not answer what was never said: beside one that fits as well it decides nothing."""
    gains = [WEIGHTS["learned"] * one.features.get("learned", 0.0) for one in found]
    if not any(gains):
        return
    bare = [one.score - gain for one, gain in zip(found, gains, strict=True)]
    for one, gain, own in zip(found, gains, bare, strict=True):
        rivals = [score for other, score in zip(found, bare, strict=True) if not (other is one or other.contradictions)]
        if gain and max(rivals, default=own - 1) >= own - _ALIKE:
            one.score = own + gain * _FIRST_OF_EQUALS
