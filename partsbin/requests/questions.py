"""The one question that best splits the items a line may mean."""

from __future__ import annotations

from partsbin.requests.measures import Value, spoken
from partsbin.requests.query import Query
from partsbin.requests.scored import Scored
from partsbin.requests.view import View

_ORDER = ("hand", "volts", "mm", "count", "rotation", "container", "size", "thread", "revision", "amps", "watts")


def question(query: Query, ranked: list[tuple[Scored, float]]) -> str:
    """A question in words whose answers tell the likely items apart."""
    if not ranked:
        return "which part is meant?"
    top = ranked[0][1]
    likely = [(one, share) for one, share in ranked if share >= max(top * 0.25, 0.01)][:12]
    if len(likely) < 2:
        return confirm(query, likely[0][0] if likely else ranked[0][0])
    stated = {one.kind for one in query.attributes}
    views = [one.view for one, _ in likely]
    weights = [share for _, share in likely]
    options: list[tuple[float, int, str]] = []
    for kind in {kind for view in views for kind in view.attributes} - stated:
        answers = [_label(kind, view.attributes.get(kind, set())) for view in views]
        options.append((_even(answers, weights), -_place(kind), _either(answers)))
    fits = [", ".join(sorted(view.fits)[:2]) for view in views]
    if not query.machines:
        options.append((_even(fits, weights) * 0.95, -20, "for which machine: " + _either(fits)))
    families = [next(iter(view.families), "") for view in views]
    names = [_named(view) for view in views]
    if len(set(families)) > 1:
        options.append((_even(families, weights) * 1.05, -30, _either(names)))
    best = max(options, default=(0.0, 0, ""))
    return best[2] if best[0] > 0.2 else _by_words(views, weights)


def _by_words(views: list[View], weights: list[float]) -> str:
    """Tell items apart by the words only some of them have."""
    shared = frozenset.intersection(*(view.words for view in views))
    own = ([word for word in view.ordered if word not in shared and word not in view.plain] for view in views)
    labels = [" ".join(words) or view.item.description for words, view in zip(own, views, strict=True)]
    if _even(labels, weights) > 0.2:
        return _either(labels)
    return _either([f"{view.item.part_number} ({view.item.description})" for view in views])


def confirm(query: Query, one: Scored) -> str:
    """Ask whether one item is meant, naming what speaks against it."""
    if one.contradictions:
        return f"is {one.view.item.description} meant? {one.contradictions[0]}"
    missed = f" nothing here is called '{one.missed[0]}'" if one.missed else ""
    unstated = f" it does not say {one.silent[0]}" if one.silent and not missed else ""
    return f"is {one.view.item.description} meant?{missed}{unstated}"


def _label(kind: str, values: set[Value]) -> str:
    return "/".join(sorted(spoken(kind, value) for value in values)) if values else ""


def _even(answers: list[str], weights: list[float]) -> float:
    """How evenly a question splits the chances: 0 not at all, towards 1 for many even parts."""
    whole = sum(weights) or 1.0
    parts: dict[str, float] = {}
    for answer, weight in zip(answers, weights, strict=True):
        parts[answer] = parts.get(answer, 0.0) + weight / whole
    blank = parts.get("", 0.0)
    if len(parts) - ("" in parts) < 2:
        return 0.0
    return 1.0 - sum(part * part for part in parts.values()) - 0.5 * blank


def _either(answers: list[str]) -> str:
    told = list(dict.fromkeys(answer for answer in answers if answer))[:4]
    if not told:
        return "which part is meant?"
    if len(told) == 1:
        return f"{told[0]}, or without?"
    return ", ".join(told[:-1]) + f" or {told[-1]}?"


def _named(view: View) -> str:
    """What an item is, without its values."""
    words = [word for word in dict.fromkeys(view.ordered) if len(word) > 1 and word not in view.plain]
    return " ".join(words[:4]) or view.item.description


def _place(kind: str) -> int:
    return _ORDER.index(kind) if kind in _ORDER else len(_ORDER)
