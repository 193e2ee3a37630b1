"""Whether an item is plainly what was asked for, or only likely."""

from __future__ import annotations

from partsbin.requests.query import Query
from partsbin.requests.scored import Scored
from partsbin.requests.view import View

PLAIN = frozenset(("standard", "plain", "normal", "ordinary", "regular", "basic"))
"""Words that ask for the item without additions."""
BARE = 0.35
"""How much of another family counts where the one word said may be of either."""


def carries_all(query: Query, one: Scored) -> bool:
    """Whether an item has every word, value, figure and machine said, two of them at least."""
    if one.missed or one.silent or one.contradictions or len(one.matched) < 2:
        return False
    if query.said & PLAIN and not one.view.words & PLAIN:
        return False  # which one is the ordinary one cannot be told from what it has
    told = any(one.features.get(name) for name in ("agrees", "figures", "machine", "carried_machine"))
    told = told or not one.view.words.isdisjoint(set(one.matched) - query.family_words)
    doubts = ("" if told else "by_name", "behind", "unstated", "near_number", "other_carried", "other_family")
    doubtful = any(one.features.get(name, 0.0) > BARE for name in doubts)
    figures = one.features.get("figures", 0.0) >= min(len(query.figures), 2)
    return not doubtful and figures and len(set(one.matched)) > 1


def names_it(one: Scored) -> bool:
    """Whether what kind of thing an item is was said: its family, or else the noun of its description.

    That is the word before the first comma ("Scoop lid, smoked"), or the first of all ("LID SCOOP SMOKED").
    """
    return bool(one.features.get("family")) or one.view.noun in one.matched


def is_another_thing(query: Query, scored: Scored) -> bool:
    """Whether what an item is was not said, nor any value that tells it: a boiler heater is no boiler."""
    view = scored.view
    said = view.noun in scored.matched or view.noun in query.said or view.noun in view.plain
    told = any(scored.features.get(name) for name in _TELLING)
    return not (said or told or query.hits or not view.noun or _may_lead(view))


def rests_on_a_guess(query: Query) -> bool:
    """Whether all that is said is one short word put right: "coke" may be no choke."""
    telling = [word for word in query.words if not word.noise]
    bare = not (query.attributes or query.figures or query.hits or query.machines)
    return bare and len(telling) == 1 and bool(telling[0].read_as) and len(telling[0].said) < _LONG_ENOUGH


_LONG_ENOUGH = 6
_TELLING = ("agrees", "figures", "machine", "carried_machine", "by_name", "alias", "learned")


def _may_lead(view: View) -> bool:
    """Whether what an item is may stand elsewhere than where most catalogues have it: a lower-case description."""
    return view.item.description.islower()
