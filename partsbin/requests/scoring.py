"""How well an item meets a query: features with a meaning, their weights, and the chance that each item is the one."""

from __future__ import annotations

import math

from partsbin.requests.doubts import BARE, PLAIN
from partsbin.requests.query import AskedWord, Query
from partsbin.requests.scored import Scored
from partsbin.requests.spelling import abbreviates, kin, shortens
from partsbin.requests.values import compare_figures, compare_values
from partsbin.requests.view import View
from partsbin.requests.words import split_words

FEATURES = (
    "covered",  # share of the asked words (by weight) the item has
    "family",  # trade family agrees
    "other_family",  # trade family is plainly another
    "agrees",  # attributes that agree
    "contradicts",  # attributes that contradict
    "silent",  # attributes asked that the item does not state
    "machine",  # fits the machine named
    "other_machine",  # fits only other machines
    "carried_machine",  # fits the machine named earlier
    "other_carried",  # does not fit the machine named earlier
    "number",  # part number read exactly
    "alike_number",  # part number read with look-alike characters
    "near_number",  # part number one character away
    "extra",  # share of the item's own words nobody asked for
    "more",  # how many words the item has that nobody asked for, four and more as one
    "marked",  # words that make it a special sort ("with bracket", "dual", "zero") that nobody asked for
    "alias",  # a whole alias was said
    "learned",  # these words have been settled as this item before
    "figures",  # loose figures found in the item
    "behind",  # all it has of the words said is behind "for", "with" or "on"
    "alone",  # the only item that has all that was said
    "other_figures",  # loose figures the item has not
)
# Fitted on the tuning lines (tests/benchmarks/requests_fit.py) around what trade sense gave; then what speaks for
# "none of these": always, by unknown words, by no family, by a strange code.
WEIGHTS: dict[str, float] = {
    "covered": 6.8,
    "family": 2.0,
    "other_family": -3.0,
    "agrees": 0.8,
    "contradicts": -8.0,
    "silent": -1.9,
    "machine": 1.3,
    "other_machine": -6.5,
    "carried_machine": 1.6,
    "other_carried": -3.0,
    "number": 14.5,
    "alike_number": 10.9,
    "near_number": 4.0,
    "extra": -0.2,
    "more": -2.1,
    "marked": -1.6,
    "alias": 1.6,
    "learned": 3.0,
    "figures": 1.2,
    "behind": -3.0,
    "alone": 3.0,
    "other_figures": -2.0,
}
NONE_WEIGHTS: dict[str, float] = {"always": 5.5, "unknown": 2.2, "no_family": 0.0, "strange_code": 3.0}


def measure(query: Query, view: View) -> Scored:
    """Compare one item with a query."""
    scored = Scored(view)
    _words(query, scored)
    _families(query, scored)
    compare_values(query, scored)
    compare_figures(query, scored)
    _machine(query, scored)
    _number(query, scored)
    _names(query, scored)
    for name, value in scored.features.items():
        scored.score += value and WEIGHTS.get(name, 0.0) * value
    return scored


def none_features(query: Query, best: Scored | None) -> dict[str, float]:
    """What speaks for the thing not being in the catalogue, and so against the best item found."""
    return {
        "always": 1.0,
        "unknown": query.unknown(best.opened if best else set()),
        "no_family": 0.0 if query.families else 1.0,
        "strange_code": float(min(query.strange_codes, 1)),
    }


def tell_apart(query: Query, views: list[View]) -> None:
    """Note the asked family words that some, not all, items of the asked family carry: those words decide.

    So does filler that only some of the items named have in their descriptions: water may be "still".
    """
    naming = {term for word in query.words if not word.noise for term, _ in word.alternatives}
    named = [view for view in views if not naming.isdisjoint(view.words)]
    for word in query.words:
        if word.wakes:
            having = sum(word.alternatives[0][0] in view.words for view in named)
            if 0 < having < len(named):
                word.noise, word.weight = False, 1.0
    if len(query.family_words) == 1:  # what is called so itself goes before what the trade calls so, too
        query.telling = {view.noun for view in views if view.noun in query.family_words}
    alike = [view for view in views if any(code in view.families for code in query.families)]
    query.telling |= {
        word
        for word in query.family_words
        if any(word in view.words for view in alike) and not all(word in view.words for view in alike)
    }


def chances(scores: list[float], none: float) -> list[float]:
    """The probability of each score against the others and against none of them (softmax)."""
    top = max([none, *scores])
    shares = [math.exp(score - top) for score in scores]
    whole = sum(shares) + math.exp(none - top)
    return [share / whole for share in shares]


def _words(query: Query, scored: Scored) -> None:
    view = scored.view
    named: set[str] = set().union(*(query.names.get(code, ()) for code in view.families)) if query.names else set()
    total = gained = 0.0
    for word in query.words:
        best, term = _best_term(query, word, named, scored)
        if not word.noise or best:
            total += word.weight
            gained += word.weight * best
        if best and not word.noise:
            scored.matched.append(term)
            if (word.read_as or word.said in scored.opened) and term != word.said:
                scored.read_as.append(f"'{word.said}' read as {term}")
        elif not word.noise:
            scored.missed.append(word.said)
    # Values alone ("countersunk M5 x 16") are worth asking about.
    scored.features["covered"] = gained / total if total else 0.5 * (len(query.attributes) > 1)
    if scored.matched and view.front.isdisjoint(scored.matched) and not view.words.isdisjoint(scored.matched):
        scored.features["behind"] = 1.0
    asked = query.asked
    own = view.words if len(view.aliases) == 0 else frozenset(view.ordered)
    if own:
        unasked = len(own - asked - view.plain - set(scored.matched))
        scored.features["extra"] = unasked / len(own)
        scored.features["more"] = min(unasked, 4) / 4
        scored.features["marked"] = float(len(view.marks - asked - query.said)) if view.marks else 0.0
        if not (query.said.isdisjoint(PLAIN) or scored.features.get("by_name") or own & PLAIN):
            scored.features["marked"] += unasked


def _best_term(query: Query, word: AskedWord, named: set[str], scored: Scored) -> tuple[float, str]:
    """How well the item has a word said, 0 to 1, and by which of its own words; ``named`` are names of its family."""
    words, best, term = scored.view.words, 0.0, ""
    first, weight = word.alternatives[0]
    if weight >= 1.0 and first in words:
        return weight, first
    for alternative, weight in word.alternatives:
        if weight > best and alternative in words:
            best, term = weight, alternative
    if best >= 1.0:
        return best, term
    if best < 0.85 and named and any(one in named for one, _ in word.alternatives):
        # Another name of the same family is as good, unless a sister item carries the very word asked.
        credit = 0.3 if any(one in query.telling for one, _ in word.alternatives) else 0.85
        scored.features["by_name"] = 1.0
        return max(best, credit), term or word.said
    if not best and not word.noise and (term := _cut_from(word.said, scored.view, query.asked)):
        scored.opened.add(word.said)
        return _CUT, term
    if not best and not word.noise and (term := next((one for one in scored.view.ordered if kin(word.said, one)), "")):
        scored.opened.add(word.said)
        return _KIN, term
    if not best and not word.noise and (term := _written_short(word, scored.view, query.asked)):
        scored.opened.add(word.said)
        return _CUT, term
    return best, term


_CUT = 0.75
"""What a word cut short counts beside the whole word."""


_KIN = 0.85
"""What another form of the same word counts: a stirrer motor is a MTR STIR."""


def _cut_from(said: str, view: View, asked: frozenset[str]) -> str:
    """The item's own word, or colour, that a word nothing else explains is cut from: "wh" of white."""
    colours = (str(value) for value in view.attributes.get("colour", ()))
    cut = shortens if len(said) > 2 else abbreviates
    return next((word for word in (*view.ordered, *colours) if cut(said, word) and word not in asked), "")


def _written_short(word: AskedWord, view: View, asked: frozenset[str]) -> str:
    """The item's own word that stands short for the one said: a stacker is a STKR, dispense is DISP here.

    Two letters say so only of a word that no item has in full.
    """
    least = 3 if word.stocked else 2
    fits = (usual for raw, usual in view.shorthand if len(raw) >= least and abbreviates(raw, word.said))
    return next((usual for usual in fits if usual not in asked), "")


def _families(query: Query, scored: Scored) -> None:
    if not query.families or not scored.view.families:
        return
    shared = max((share * scored.view.families.get(code, 0.0) for code, share in query.families.items()), default=0.0)
    bare = len(query.family_words) == 1 and query.family_words <= scored.view.words
    if not shared and not scored.missed and _is_noun_said(query, scored.view):
        return  # a "cup ring motor" is a motor, whatever else the words name
    # "bracket" alone may be any bracket.
    scored.features["family" if shared else "other_family"] = shared or (BARE if bare else 1.0)


def _is_noun_said(query: Query, view: View) -> bool:
    """Whether the thing said is what the item is, be it written short: a PRB FILL is a fill probe."""
    short = any(usual == view.noun for raw, usual in view.shorthand)
    return view.noun in query.noun or (short and any(abbreviates(view.noun, said) for said in query.noun))


def _machine(query: Query, scored: Scored) -> None:
    if scored.view.fits and query.line.machine and not query.machines and not query.line.machine_carried:
        scored.features["other_carried"] = 1.0
        scored.features["unstated"] = 1.0
        scored.read_as.append(f"no machine here is called {query.line.machine}")
    if not query.machines or not scored.view.fits:
        return
    fits = scored.view.fits & query.machines
    carried = query.line.machine_carried
    if fits:
        scored.features["carried_machine" if carried else "machine"] = 1.0
        scored.matched.append("fits " + ", ".join(sorted(fits)))
    else:
        scored.features["other_carried" if carried else "other_machine"] = 1.0
        if not carried:
            scored.contradictions.append(
                "fits " + ", ".join(sorted(scored.view.fits)[:3]) + ", not " + query.line.machine
            )


def _number(query: Query, scored: Scored) -> None:
    hit = query.hits.get(scored.view.item.item_id)
    if hit is None:
        return
    name = "near_number" if hit.near else "number" if hit.exact else "alike_number"
    scored.features[name] = 2.0 if hit.gap else 1.0
    said = {
        "near_number": f"{hit.how} {hit.gap or 'one character away'}",
        "alike_number": f"{hit.how} but for look-alike characters",
    }
    scored.matched.insert(0, said.get(name, hit.how))


def _names(query: Query, scored: Scored) -> None:
    if not scored.view.aliases and not scored.view.learned:
        return
    bag = {term for word in query.words for term, weight in word.alternatives if weight >= 0.85} | set(query.ordered)
    telling = {word.said for word in query.words if not word.noise}
    said = set(query.line.words)
    for alias, text in zip(scored.view.aliases, scored.view.item.aliases, strict=False):
        if alias and alias <= bag:
            whole = 1.0 if set(split_words(text)) <= said else 0.5
            scored.features["alias"] = max(
                scored.features.get("alias", 0.0), whole * len(alias) / max(len(telling), len(alias))
            )
    for words, times in scored.view.learned:
        shared = len(words & bag) / max(len(words | (bag - query_noise(query))), 1)
        if shared >= 0.6:
            gain = shared * min(1.0, 0.5 + 0.25 * times)
            scored.features["learned"] = max(scored.features.get("learned", 0.0), gain)


def query_noise(query: Query) -> set[str]:
    """Words of the query that name nothing."""
    return {word.said for word in query.words if word.noise} | {
        one for one in query.ordered if not any(one == term for word in query.words for term, _ in word.alternatives)
    }
