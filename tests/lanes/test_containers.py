from __future__ import annotations

import pytest

from partsbin.errors import Refused
from partsbin.lanes.containers import Basis, CaseForm, Container, Kind, read_can_code


def test_code_is_read_but_never_becomes_the_body(containers: dict[str, Container]) -> None:
    can = containers["CAN355"]
    assert read_can_code(can.can_code).body_over_seam_mm == 68.26
    assert can.widest_mm() == 66.3


def test_a_body_typed_from_the_code_is_doubted() -> None:
    typed = Container("X", "x", Kind.CAN, 68.3, 0.2, 122, basis=Basis.STANDARD, can_code="202/211x413")
    assert "not the body" in typed.doubt


def test_swelling_counts_only_where_nobody_measured() -> None:
    guess = Container("B", "b", Kind.PET, 72, 2, 223, basis=Basis.PUBLISHED)
    known = Container("B", "b", Kind.PET, 72, 2, 223, basis=Basis.MEASURED)
    assert guess.widest_mm(1.5) == 75.11
    assert known.widest_mm(1.5) == 74


@pytest.mark.parametrize("text", ["", "211x419", "21x413", "211/", "0.211x413", "211-413", "202/211x41312", "011x413"])
def test_what_is_no_can_size_is_refused(text: str) -> None:
    with pytest.raises(Refused, match="can size"):
        read_can_code(text)


@pytest.mark.parametrize("body", [0, -66.1, float("nan"), 5000])
def test_impossible_bodies_are_refused(body: float) -> None:
    with pytest.raises(Refused, match="body diameter"):
        Container("X", "x", Kind.CAN, body, 0, 120)


def test_case_forms_and_weights(containers: dict[str, Container]) -> None:
    can = containers["CAN355"]
    assert 24 in [form.quantity for form in can.cases]
    assert can.case_weight_g(CaseForm(24, gross_g=9300)) == 9300
    assert can.case_weight_g(CaseForm(24)) == round(382 * 24 * 1.015)
    with pytest.raises(Refused, match="holds nothing"):
        CaseForm(0)


def test_demo_has_sixteen_containers_with_cases_and_only_honest_claims(containers: dict[str, Container]) -> None:
    assert len(containers) == 16
    assert all(c.cases for c in containers.values())
    assert [c.code for c in containers.values() if c.confirmed] == ["CAN355"]
