"""What the reader reaches, beside the aims. Run by hand: python tests/benchmarks/requests_accuracy.py [tune|report].

Prints first and third answers right by kind, how right "sure" is and how often it is said, false accepts of things
not stocked, quantities, whole messages, and a calibration table: of the answers said with a probability, how many
are right.
"""

from __future__ import annotations

import sys
from pathlib import Path

REPO = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(REPO / "tests" / "requests"))

import made_up  # noqa: E402
from demo_items import demo_items  # noqa: E402
from messages import messages  # noqa: E402
from scoreboard import Board, lines, other_depot, score, whole_messages  # noqa: E402

from partsbin.requests import Index  # noqa: E402


def show(name: str, board: Board) -> None:
    print(f"\n{name}: {sum(board.asked.values())} lines")
    for kind, asked in sorted(board.asked.items()):
        first, third = board.first[kind] / asked, board.third[kind] / asked
        print(f"  {kind:13} {asked:4}  first {first:6.1%}  in three {third:6.1%}")
    everything = sum(board.asked.values())
    print(f"  first right {sum(board.first.values()) / everything:.1%} (aim 95 %)")
    said = board.sure_stocked / board.stocked
    print(f"  of sure, right {board.sure_right / board.sure:.2%} (aim 98 %); sure said for {said:.1%} of stocked")
    print(f"  not stocked but sure {board.false_sure / max(board.asked['none'], 1):.1%} (aim at most 3 %)")
    print(f"  quantities {board.quantity / board.stocked:.1%} (aim 99 %)")


def calibration(said: list[tuple[float, bool]]) -> None:
    print("\nsaid probability -> share right")
    for low, high in ((0.0, 0.1), (0.1, 0.3), (0.3, 0.5), (0.5, 0.8), (0.8, 0.9), (0.9, 0.97), (0.97, 1.01)):
        here = [right for chance, right in said if low <= chance < high]
        if here:
            print(f"  {low:.2f}-{min(high, 1):.2f}: {len(here):5} answers, {sum(here) / len(here):.1%} right")


def main() -> None:
    used_for = sys.argv[1] if len(sys.argv) > 1 else "report"
    demo = Index(demo_items())
    board = score(demo, lines(used_for))
    show(f"demo depot, lines kept for {used_for}", board)
    items, asked = other_depot()
    show("another depot, terse, no families (tuned on)", score(Index(items), asked))
    held = made_up.STYLES[3]
    made = made_up.catalogue(held)
    rows = [
        {"text": one.text, "kind": one.kind, "part_number": one.wanted, "quantity": str(one.quantity)}
        for one in made_up.requests(held, made)
    ]
    show("made-up depot in a style never tuned on", score(Index([one.item for one in made]), rows))
    wanted = [one for one in messages() if one.used_for == used_for]
    right = whole_messages(demo, wanted)
    print(f"\nwhole messages right: {right} of {len(wanted)}, {right / len(wanted):.1%} (aim 85 %)")
    calibration(board.said)


if __name__ == "__main__":
    main()
