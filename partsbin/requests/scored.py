"""An item as measured against a query."""

from __future__ import annotations

from dataclasses import dataclass, field

from partsbin.requests.view import View


@dataclass(slots=True)
class Scored:
    """An item with its features, and what to say about them."""

    view: View
    features: dict[str, float] = field(default_factory=dict)
    matched: list[str] = field(default_factory=list)
    missed: list[str] = field(default_factory=list)
    read_as: list[str] = field(default_factory=list)
    contradictions: list[str] = field(default_factory=list)
    silent: list[str] = field(default_factory=list)
    opened: set[str] = field(default_factory=set)
    score: float = 0.0
