"""How the values and figures asked for stand to those an item states."""

from __future__ import annotations

from dataclasses import replace

from partsbin.requests.amounts import pieces
from partsbin.requests.base_units import is_run
from partsbin.requests.measures import Value, agreement, spoken, thread_diameter
from partsbin.requests.query import BY_NAME, TWINS, Query
from partsbin.requests.ranges import covers
from partsbin.requests.scored import Scored
from partsbin.requests.spelling import kin
from partsbin.requests.types import Attribute
from partsbin.requests.view import MARKS, View
from partsbin.requests.words import split_words


def compare_values(query: Query, scored: Scored) -> None:
    """Note which values asked for the item agrees with, contradicts or leaves unsaid."""
    agrees = contradicts = silent = 0.0
    unstated = False
    for asked in query.attributes:
        run = asked.kind == "mm" and is_run(asked.value, scored.view.item)
        if run or pieces(asked, query.line, scored.view):
            continue  # how much is wanted, not how large it is
        one = _as_meant(asked, scored.view)
        has = scored.view.attributes.get(one.kind)
        if has and one.kind in _CONTAINERS and _other_end(query, one, has, scored.view):
            has = None
        if not has and one.kind in ("mm", "degrees") and (spans := scored.view.attributes.get("range")):
            one, has = _end_of(one, spans), spans
        if not has:
            loose = isinstance(one.value, float) and (
                one.value in scored.view.figures
                or _counts(one.kind, one.value, scored.view)
                or (one.kind == "mm" and f"{one.value:g}" in _sides(scored.view))
            )
            agrees, silent = (agrees + 0.8, silent) if loose else (agrees, silent + 1)
            if not loose:
                scored.silent.append(spoken(one.kind, one.value))
                unstated = unstated or one.kind in _DECIDING or (one.kind, one.value) in MARKS
            continue
        best = max(agreement(one.kind, one.value, value) for value in has) or _across(one, scored.view)
        if best:
            agrees += best
            scored.matched.append(spoken(one.kind, one.value))
        else:
            contradicts += 1
            wanted, found = spoken(one.kind, one.value), " or ".join(sorted(spoken(one.kind, value) for value in has))
            scored.contradictions.append(f"asked {wanted}, this is {found}")
    scored.features.update(agrees=min(agrees, 4.0), contradicts=contradicts, silent=min(silent, 3.0))
    called = [hit.how for hit in query.hits.values()]
    if (unstated and not called) or (silent and called == [BY_NAME]):
        scored.features["unstated"] = 1.0
    _compare_unwanted(query, scored)


def _compare_unwanted(query: Query, scored: Scored) -> None:
    """Note what was asked to be without: the item says it is, or it has it."""
    for word in query.unwanted:
        if word in scored.view.lacks:
            scored.features["agrees"] += 1
            scored.matched.append(f"without {word}")
        own = (*scored.view.words, *(value for values in scored.view.attributes.values() for value in values))
        if any(word == value or (isinstance(value, str) and kin(word, value)) for value in own):
            scored.features["contradicts"] += 1
            scored.contradictions.append(f"asked without {spoken('', word)}")


def _end_of(one: Attribute, spans: set[Value]) -> Attribute:
    """One size said of what fits a range: the range it lies in, where there is one."""
    fitting = (span for span in spans if isinstance(one.value, float) and covers(str(span), one.value))
    return replace(one, kind="range", value=next(fitting, spoken(one.kind, one.value)))


def _across(one: Attribute, view: View) -> float:
    """How a size in millimetres agrees with the diameter of an item's thread."""
    if one.kind != "mm" or not isinstance(one.value, float):
        return 0.0
    across = (thread_diameter(str(thread)) for thread in view.attributes.get("thread", ()))
    return max((agreement("mm", one.value, size) for size in across), default=0.0)


def _as_meant(one: Attribute, view: View) -> Attribute:
    """A "mil" of what has a content and no length is a millilitre, a "w" of what has ways and no watts a way."""
    twin = TWINS.get(one.kind, "")
    return replace(one, kind=twin) if twin in view.attributes and one.kind not in view.attributes else one


_CONTAINERS = ("form", "container", "ml")


def _other_end(query: Query, one: Attribute, has: set[Value], view: View) -> bool:
    """A conversion kit goes from one container to another and may state one of them: the other is no contradiction."""
    if "KIT-LANE" not in view.families or any(agreement(one.kind, one.value, value) for value in has):
        return False
    others = [other for other in query.attributes if other.kind in _CONTAINERS and other is not one]
    return any(
        agreement(other.kind, other.value, value) for other in others for value in view.attributes.get(other.kind, ())
    )


# Asked for and not stated by the item, these leave a doubt that only a person can settle.
_DECIDING = frozenset(("hand", "rotation", "revision"))


_COUNTED = ("count", "ways", "lane_count", "tubes", "keys", "characters", "pack", "teeth")


def _counts(kind: str, value: float, view: View) -> bool:
    """Keys, ways and positions count the same thing under several names."""
    return kind in _COUNTED and any(value in view.attributes.get(other, ()) for other in _COUNTED)


def _sides(view: View) -> set[str]:
    """The figures of an item's size: 150 and 3.6 of "150x3.6"."""
    return {part for value in view.attributes.get("size", ()) for part in str(value).split("x")}


def compare_figures(query: Query, scored: Scored) -> None:
    """Note which loose figures the item has somewhere, and which not."""
    view = scored.view
    if not query.figures:
        return
    numeric = [value for values in view.attributes.values() for value in values if isinstance(value, float)]
    sizes = _sides(view)
    good = bad = 0.0
    for number in query.figures:
        if _has_figure(view, number, numeric) or f"{number:g}" in sizes or _in_fits(view, number):
            good += 1
            scored.matched.append(f"{number:g}")
        elif numeric or view.figures:
            bad += 1
    scored.features.update(figures=min(good, 2.0), other_figures=min(bad, 2.0))


def _has_figure(view: View, number: float, numeric: list[float]) -> bool:
    if any(abs(number - has) < 0.006 for has in (*view.figures, *numeric)):
        return True
    if number != int(number) and any(abs(number * 1000 - has) < 1 for has in numeric):
        return True  # metres, said without them
    if number > 20 and any(abs(number * 25.4 - has) < 0.1 for has in numeric):
        return True  # inches
    text = f"{number:g}"
    codes = [str(value) for values in view.attributes.values() for value in values if isinstance(value, str)]
    if number < 2 and number != int(number):  # an eighth, said without its inch or horsepower; or a version
        return text in codes or any(abs(number * 25.4 - has) < 0.06 for has in numeric)
    return len(text) >= 3 and any(word.endswith(text) for word in (*view.words, *codes) if not word.isalpha())


def _in_fits(view: View, number: float) -> bool:
    return any(f"{number:g}" in split_words(name) for name in view.fits)
