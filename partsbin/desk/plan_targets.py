"""The fill targets of the depot: the share of units asked for to be there at once, by how fast an item moves."""

from __future__ import annotations

from partsbin.depot.file import Depot
from partsbin.depot.operators import Operator
from partsbin.depot.rights import require
from partsbin.errors import Refused

TARGETS = {"fast": 0.98, "medium": 0.95, "slow": 0.90, "": 0.95}
"""What a new depot starts with; items without a speed of their own come last, as "other"."""

NAMES = tuple(name or "other" for name in TARGETS)


def class_targets(depot: Depot) -> dict[str, float]:
    """Return the target of each class of item, by the word in the item's service column."""
    return {name: float(depot.setting(f"target:{name or 'other'}") or share) for name, share in TARGETS.items()}


def targets_in_words(depot: Depot) -> str:
    """Return ``fast 98 · medium 95 · slow 90 · other 95 %``."""
    shares = zip(NAMES, class_targets(depot).values(), strict=True)
    return " · ".join(f"{name} {100 * share:g}" for name, share in shares) + " %"


def read_targets(text: str) -> dict[str, float]:
    """Read ``98 95 90 95`` or ``fast 97.5`` (in per cent) into shares by class; refuse what is no target."""
    words = text.replace(",", " ").replace("%", " ").replace("·", " ").replace("=", " ").split()
    if len(words) == len(NAMES) and not set(words) & set(NAMES):
        words = [word for pair in zip(NAMES, words, strict=True) for word in pair]
    pairs = list(zip(words[::2], words[1::2], strict=False))
    if not words or len(words) % 2 or any(name not in NAMES for name, _ in pairs):
        message = (
            f"“{text}”: give four shares in % for {', '.join(NAMES)}, such as 98 95 90 95, or one, such as fast 97."
        )
        raise Refused(message)
    return {name: _share(name, figure) for name, figure in pairs}


def set_targets(depot: Depot, operator: Operator, shares: dict[str, float]) -> None:
    """Keep these targets; classes not named keep theirs. Asks the right to change set points."""
    with depot.write():
        require(depot, operator, "setpoints")
        for name, share in shares.items():
            depot.set_setting(f"target:{name}", f"{share:.6g}")


def _share(name: str, figure: str) -> float:
    try:
        share = float(figure) / 100
    except ValueError:
        share = 0.0
    if not 0.5 <= share < 1:
        message = f"{name} {figure}: give a share from 50 to below 100 %, such as 95."
        raise Refused(message)
    return share
