"""Every kind of label, on every stock, is read back by a decoder that did not encode it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from reading import DPI, pdf_of, read, read_label

from partsbin.errors import Refused
from partsbin.exchange.scan import read_scan
from partsbin.printing.label_kinds import (
    BadgeLabel,
    BinLabel,
    CaseLabel,
    Caution,
    CautionTag,
    CoreTag,
    DrawerLabel,
    ItemLabel,
    Label,
    ShelfEndLabel,
    code_of,
)
from partsbin.printing.labels import preview
from partsbin.printing.sheets import Nudge, slot
from partsbin.printing.stock import load_stock, stock_names

CAUTIONS = (Caution("Unplug first", "Keep the plug in sight."), Caution("Static"))
KINDS: list[Label] = [
    BinLabel("A-03-07-2"),
    BinLabel("C-40-20-16", name="Small shims"),
    ShelfEndLabel("C", "01–12"),
    DrawerLabel("VAN-3", "D2", "Spacers"),
    ItemLabel("SPC-0412-L", "Spacer, slim can, small", "LH", "the door side", CAUTIONS),
    ItemLabel("MTR-24V-007", "Vend motor 24 V", cautions=CAUTIONS),
    CoreTag("BRD-0071", "Control board", "88213", "VAN-3"),
    BadgeLabel("RK", "R. Kessel", "OP0017", "clerk"),
]
BOTH_ON = [name for name in stock_names() if name not in ("letter-80", "a4-65", "a4-40")]


def expected(label: Label, lacks: str = "") -> list[tuple[str, str]]:
    return [(kind, code_of(label)) for kind in ("Code 128", "QR Code") if kind.removesuffix(" Code") != lacks]


@pytest.mark.parametrize("dpi", DPI)
@pytest.mark.parametrize("name", stock_names())
def test_a_bin_reads_at_the_first_and_the_last_position(name: str, dpi: int) -> None:
    stock = load_stock(name)
    for start in {1, stock.per_page}:
        label = BinLabel("A-03-07-2")
        lacks = "Code 128" if name == "letter-80" else ""
        pdf = pdf_of([label], stock, start=start)
        assert read_label(pdf, stock, slot(stock, start - 1), dpi) == expected(label, lacks)
        if dpi == 203:  # and nothing anywhere else on the page
            assert read(pdf, dpi) == expected(label, lacks)


@pytest.mark.parametrize("name", stock_names())
def test_every_kind_reads_or_says_what_it_lacks(name: str) -> None:
    stock = load_stock(name)
    for label in KINDS:
        pdf = pdf_of([label], stock)
        notes = " ".join(preview([label], stock).notes)
        lacks = next((kind for kind in ("Code 128", "QR") if f"no room for the {kind} symbol" in notes), "")
        assert not (lacks and name in BOTH_ON), f"{label} on {name}"
        dpi = 300 if stock.per_page == 1 else 203
        assert read_label(pdf, stock, slot(stock, 0), dpi) == expected(label, lacks), label


@pytest.mark.parametrize("dpi", DPI)
def test_every_kind_reads_at_every_fineness(dpi: int) -> None:
    pdf = pdf_of(KINDS, load_stock("letter-30"))
    assert read(pdf, dpi) == sorted(symbol for label in KINDS for symbol in expected(label))


@pytest.mark.parametrize(
    "nudge", [Nudge(1.3, -1.4), Nudge(-0.37, 0.61, 0.985, 1.012), Nudge(0.05, 0.05, 1.01, 0.99), Nudge(1.4, 1.4)]
)
@pytest.mark.parametrize("name", ["letter-30", "a4-65", "roll-2x1"])
def test_nudged_labels_read_where_they_should_be(name: str, nudge: Nudge) -> None:
    stock = load_stock(name)
    for start in {1, stock.per_page // 2 + 1, stock.per_page}:
        label = BinLabel("D-11-04-3")
        pdf = pdf_of([label], stock, start=start, nudge=nudge)
        assert read_label(pdf, stock, slot(stock, start - 1, nudge), 203) == expected(label)


@pytest.mark.parametrize("name", stock_names())
def test_every_stock_reads_nudged_at_the_first_and_the_last_position(name: str) -> None:
    stock, nudge = load_stock(name), Nudge(0.4, -0.4, 0.997, 1.003)
    for start in {1, stock.per_page}:
        label = BinLabel("D-11-04-3")
        found = read_label(pdf_of([label], stock, start=start, nudge=nudge), stock, slot(stock, start - 1, nudge), 203)
        assert found == expected(label, "Code 128" if name == "letter-80" else "")


def test_a_nudge_off_the_page_is_refused() -> None:
    with pytest.raises(Refused, match=r"roll-2x1 would print 3\.0 mm beyond the right edge"):
        pdf_of([BinLabel("A-1")], load_stock("roll-2x1"), nudge=Nudge(4.5, 0))
    with pytest.raises(Refused, match=r"beyond the upper edge"):
        pdf_of([BinLabel("A-1")], load_stock("a4-40"), nudge=Nudge(0, -6))


CASE = CaseLabel("CAN-ORG-330", "Orange drink", "L24B117", date(2026, 11, 25), 24)


def test_what_a_case_label_says_comes_back_whole() -> None:
    """Label to paper to decoder to scan reading: number, lot, date and quantity on every stock."""
    for name in stock_names():
        stock = load_stock(name)
        found = dict(read_label(pdf_of([CASE], stock), stock, slot(stock, 0), 300))
        scan = read_scan(found["QR Code"])
        assert (scan.part_number, scan.lot, scan.best_before, scan.quantity) == (
            "CAN-ORG-330",
            "L24B117",
            date(2026, 11, 25),
            24,
        )
        assert found.get("Code 128", "CAN-ORG-330") == "CAN-ORG-330"


def test_bars_of_a_case_with_a_gtin_are_gs1_where_they_fit() -> None:
    case = replace(CASE, gtin="09521234543213")
    for dpi in DPI:
        found = dict(read(pdf_of([case], load_stock("roll-4x2")), dpi))
        assert found["Code 128"] == "0109521234543213" + "15261125" + "10L24B117"
        assert read_scan(found["QR Code"]).lot == "L24B117"
    scan = read_scan("]C1" + found["Code 128"])
    assert (scan.gtin, scan.lot, scan.best_before) == ("09521234543213", "L24B117", date(2026, 11, 25))
    with pytest.raises(Refused, match="check digit"):
        pdf_of([replace(case, gtin="09521234543214")], load_stock("roll-4x2"))


def test_a_case_whose_date_does_not_fit_in_bars_says_so() -> None:
    case = replace(CASE, part_number="CAN-1", gtin="09521234543213")
    stock = load_stock("roll-2x1")
    assert ("Code 128", "CAN-1") in read(pdf_of([case], stock), 203)
    assert any("the bars carry the part number only" in note for note in preview([case], stock).notes)


@pytest.mark.parametrize(
    ("label", "kind", "field", "value"),
    [
        (BinLabel("A-03-07-2"), "bin", "place", "A-03-07-2"),
        (DrawerLabel("VAN3", "D2"), "drawer", "place", "VAN3-D2"),
        (DrawerLabel("VAN3"), "van", "place", "VAN3"),
        (BadgeLabel("RK", "R. Kessel", "RK7"), "badge", "badge", "RK7"),
        (ItemLabel("MTR-24V-007", "Vend motor"), "item", "part_number", "MTR-24V-007"),
    ],
)
def test_scan_reading_takes_every_label_for_what_it_is(label: Label, kind: str, field: str, value: str) -> None:
    found = read(pdf_of([label], load_stock("letter-30")), 203)
    assert len(found) == 2
    for _, text in found:
        scan = read_scan(text)
        assert (scan.kind, getattr(scan, field)) == (kind, value)


@pytest.mark.parametrize("number", ["MOTØR-1", "½-ZOLL", "モーター7", "ß-9", "W 24% +/.$"])
def test_a_part_number_with_odd_letters_scans_as_itself(number: str) -> None:
    stock = load_stock("letter-20")
    found = read(pdf_of([ItemLabel(number, "Motor")], stock), 203)
    assert found
    for _, text in found:
        scan = read_scan(text)
        assert (scan.kind, scan.part_number) == ("item", number)


def codes(count: int) -> list[str]:
    return [f"{chr(65 + n % 26)}-{n % 40 + 1:02d}-{n // 40 % 20 + 1:02d}-{n % 7 + 1}" for n in range(count)]


def test_two_thousand_bin_labels_all_read() -> None:
    """The sheet as a whole, at the coarsest fineness there is: 100 % read, nothing else read."""
    stock = load_stock("letter-30")
    labels = [BinLabel(code) for code in dict.fromkeys(codes(5000))][:2000]
    assert len(labels) == 2000
    assert read(pdf_of(labels, stock, start=8), 203) == sorted(symbol for label in labels for symbol in expected(label))


@pytest.mark.slow
@pytest.mark.parametrize(("dpi", "count"), [(300, 2000), (600, 520)])
def test_bin_labels_by_the_thousand_all_read_finer(dpi: int, count: int) -> None:
    """Finer printers, small labels: thirty sheets at 300 dpi, eight at 600 (the finest, and slowest to draw)."""
    labels = [BinLabel(code) for code in dict.fromkeys(codes(5000))][:count]
    assert read(pdf_of(labels, load_stock("a4-65")), dpi) == sorted(s for label in labels for s in expected(label))


def test_a_caution_tag_has_no_symbol() -> None:
    assert read(pdf_of([CautionTag("Flammable gas", "No flame.")], load_stock("roll-4x2")), 203) == []
