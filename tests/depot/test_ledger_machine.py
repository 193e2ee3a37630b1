"""A machine posts, reverses and counts at random and compares with a model in plain Python."""

from __future__ import annotations

import tempfile
from collections import Counter
from pathlib import Path

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule

from partsbin.depot.catalogue import part_key
from partsbin.depot.check import differences
from partsbin.depot.file import Depot
from partsbin.depot.ledger import Line, Short, post, reverse
from partsbin.depot.operators import the_operator
from partsbin.depot.places import add_place, outside
from partsbin.desk.posting import count_differences, post_count
from partsbin.errors import Refused

ITEMS = (1, 2, 3)
PLACES = st.integers(0, 4)
LINES = st.lists(st.tuples(st.sampled_from(ITEMS), PLACES, PLACES, st.integers(1, 9)), min_size=1, max_size=4)


class Ledger(RuleBasedStateMachine):
    def __init__(self) -> None:
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        self.depot = Depot.create(Path(self.folder.name) / "machine.depot")
        self.depot.run("PRAGMA synchronous = OFF")  # the model is about figures, not about power cuts
        self.operator = the_operator(self.depot)
        bins = [add_place(self.depot, code, "bin") for code in ("A-01-01-1", "A-01-01-2")]
        van = add_place(self.depot, "VAN1", "van")
        self.places = [*bins, van, outside(self.depot, "supplier"), outside(self.depot, "job")]
        with self.depot.write():
            for number in ITEMS:
                row = (f"P-{number}", part_key(f"P-{number}"), "part")
                self.depot.run("INSERT INTO items (part_number, part_key, description) VALUES (?,?,?)", row)
        self.model: Counter[tuple[int, int]] = Counter()
        self.slips: dict[int, list[tuple[int, int, int, int]]] = {}
        self.reversed: set[int] = set()

    def teardown(self) -> None:
        assert differences(self.depot) == []
        self.depot.close()
        self.folder.cleanup()

    def shifted(self, lines: list[tuple[int, int, int, int]]) -> Counter[tuple[int, int]] | None:
        after = self.model.copy()
        for item, source, target, quantity in lines:
            after[item, source] -= quantity
            after[item, target] += quantity
            if source < 3 and after[item, source] < 0:
                return None
        return after

    @rule(lines=LINES)
    def post(self, lines: list[tuple[int, int, int, int]]) -> None:
        lines = [line for line in lines if line[1] != line[2]]
        after = self.shifted(lines)
        made = [Line(item, self.places[a].id, self.places[b].id, quantity) for item, a, b, quantity in lines]
        try:
            slip = post(self.depot, "put-away", made, operator=self.operator)
        except Refused as refused:
            assert after is None if isinstance(refused, Short) else not lines
        else:
            assert after is not None
            self.model, self.slips[slip] = after, lines

    @rule(data=st.data())
    def reverse(self, data: st.DataObject) -> None:
        if not self.slips:
            return
        slip = data.draw(st.sampled_from(sorted(self.slips)))
        back = [(item, b, a, quantity) for item, a, b, quantity in reversed(self.slips[slip])]
        after = None if slip in self.reversed else self.shifted(back)
        try:
            reverse(self.depot, slip, operator=self.operator, reason="machine")
        except Refused:
            assert after is None
        else:
            assert after is not None
            self.model = after
            self.reversed.add(slip)

    @rule(place=st.integers(0, 2), counted=st.dictionaries(st.sampled_from(ITEMS), st.integers(0, 12)))
    def count(self, place: int, counted: dict[int, int]) -> None:
        found = count_differences(self.depot, self.places[place], {(item, ""): n for item, n in counted.items()})
        expected = {item for item in ITEMS if self.model[item, place] != counted.get(item, 0)}
        assert {difference.item.id for difference in found} == expected
        if found:
            post_count(self.depot, self.operator, found, reason="machine")
            for item in ITEMS:
                self.model[item, place] = counted.get(item, 0)

    @invariant()
    def the_file_agrees_with_the_model(self) -> None:
        rows = self.depot.all("SELECT item_id, place_id, quantity FROM stock")
        held = {(row["item_id"], row["place_id"]): row["quantity"] for row in rows}
        for item in ITEMS:
            assert sum(quantity for (i, _), quantity in held.items() if i == item) == 0
            for index in range(3):
                assert held.get((item, self.places[index].id), 0) == self.model[item, index] >= 0


TestLedger = Ledger.TestCase
TestLedger.settings = settings(
    max_examples=25, stateful_step_count=30, deadline=None, suppress_health_check=list(HealthCheck)
)
