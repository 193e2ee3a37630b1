"""Containers and lane types by what a person types: a code, a width, a machine family, a few words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from partsbin.errors import Refused
from partsbin.lanes.containers import Container
from partsbin.lanes.lane_types import LaneType
from partsbin.lanes.named_containers import named_containers

MOST_NAMED = 12


def containers_named(text: str, containers: Sequence[Container]) -> tuple[Container, ...]:
    """The containers ``text`` may mean: by code, else by size and style in words. Refused when it means none."""
    found = named_containers(" ".join(text.lower().split()), containers).containers
    if not found:
        raise Refused(f"no container is called {text!r}; known are {_listed(c.code for c in containers)}")
    return found


def lane_types_named(text: str, lane_types: Sequence[LaneType]) -> tuple[LaneType, ...]:
    """The lane types ``text`` may mean: by code, by width (``74`` or ``74 mm``), by family. Refused when none."""
    plain = " ".join(text.lower().split())
    width = plain.removesuffix("wide").strip().removesuffix("mm").strip()
    tests = (
        lambda t: t.code.lower() == plain,
        lambda t: f"{t.width_mm:g}" == width,
        lambda t: t.family.lower() == plain,
    )
    for test in tests:
        found = tuple(t for t in lane_types if test(t))
        if found:
            return found
    raise Refused(f"no lane is called {text!r}; known are {_listed(t.code for t in lane_types)}, or give a width in mm")


def _listed(codes: Iterable[str]) -> str:
    known = sorted(codes)
    more = f" and {len(known) - MOST_NAMED} more" if len(known) > MOST_NAMED else ""
    return (", ".join(known[:MOST_NAMED]) + more) or "none yet: import them first"
