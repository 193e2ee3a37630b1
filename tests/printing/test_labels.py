"""Runs of labels: the same bytes each time, nothing half done, and what a person is told."""

from __future__ import annotations

import io
from datetime import date
from pathlib import Path

import pypdfium2
import pytest
from reading import pages, pdf_of, read, words_of

from partsbin.errors import Refused
from partsbin.printing.faces_cautions import heading_of
from partsbin.printing.label_kinds import (
    BinLabel,
    CaseLabel,
    Caution,
    CautionTag,
    CoreTag,
    DrawerLabel,
    ItemLabel,
    encoded_form,
)
from partsbin.printing.labels import preview, write_labels
from partsbin.printing.pictograms import pictogram_for
from partsbin.printing.stock import LabelStock, load_stock, stock_names
from partsbin.printing.zones import colour_of, shape_of

SHEET, ROLL = load_stock("letter-30"), load_stock("roll-4x2")
BINS = [BinLabel(f"A-01-{level:02d}-{place}") for level in range(1, 10) for place in range(1, 5)]


def test_the_same_labels_give_the_same_bytes() -> None:
    assert pdf_of(BINS, SHEET) == pdf_of(BINS, SHEET)


def test_a_preview_says_what_a_run_does() -> None:
    run = write_labels(BINS, SHEET, io.BytesIO(), start=4, skip={7})
    assert run == preview(BINS, SHEET, start=4, skip={7})
    assert (run.count, run.pages, run.start, run.last, run.next_start) == (36, 2, 4, 10, 11)
    assert run.kinds == {"bin": 36}
    assert run.lines()[:2] == [
        "36 bin labels on letter-30: US letter, 30 labels of 2 5/8 x 1 in.",
        "2 sheets of 30, starting at position 4; the last sheet goes on at 11.",
    ]
    assert run.sheet({7})[:3] == ["x x x", "# # #", "x # #"]


def test_a_part_used_sheet_shows_what_stays_free() -> None:
    run = preview(BINS[:2], SHEET, start=2)
    assert run.sheet()[0] == "x # #" and run.sheet()[1] == ". . ."
    assert preview(BINS[:2], ROLL).sheet() == []
    assert "2 off the roll." in preview(BINS[:2], ROLL).lines()


def test_a_full_last_sheet_starts_afresh() -> None:
    assert preview(BINS[:30], SHEET).next_start == 1


def test_pages_are_as_large_as_the_stock() -> None:
    for name in stock_names():
        stock = load_stock(name)
        document = pypdfium2.PdfDocument(pdf_of(BINS[:1], stock))
        wide, high = (side / 72 * 25.4 for side in document[0].get_size())
        assert wide == pytest.approx(stock.page[0], abs=0.01)
        assert high == pytest.approx(stock.page[1] or 29.0, abs=0.01)


def test_nothing_is_printed_within_the_inset_of_any_label() -> None:
    """Ink keeps clear of the die cut: every dot lies inside the inset, first and last label."""
    long = ItemLabel("W" * 24, "M" * 400, "RH", "the coin side", (Caution("Unplug first", "Unplug."),))
    for name in ("letter-30", "a4-24e", "roll-3x1", "letter-6"):
        stock = load_stock(name)
        for label in (BinLabel("W-99-99-9"), long, CautionTag("Flammable gas", "No flame. " * 30)):
            (page,) = pages(pdf_of([label], stock), 203)
            left, top, right, low = page.point(lambda grey: 255 - grey).getbbox() or (0, 0, 0, 0)
            dot = 203 / 25.4
            slack = 1.5
            assert left >= (stock.left + stock.inset[0]) * dot - slack
            assert top >= (stock.top + stock.inset[1]) * dot - slack
            assert right <= (stock.left + stock.label[0] - stock.inset[0]) * dot + slack, label
            assert low <= (stock.top + stock.label[1] - stock.inset[1]) * dot + slack


def test_stopping_leaves_what_was_there(tmp_path: Path) -> None:
    file = tmp_path / "labels.pdf"
    file.write_bytes(b"before")
    with pytest.raises(Refused, match="Stopped after 10 labels"):
        asked = iter(range(100))
        write_labels(BINS, SHEET, file, cancelled=lambda: next(asked) == 10)
    assert file.read_bytes() == b"before"
    assert list(tmp_path.iterdir()) == [file]


def test_a_refused_label_leaves_what_was_there(tmp_path: Path) -> None:
    file = tmp_path / "labels.pdf"
    file.write_bytes(b"before")
    with pytest.raises(Refused, match="roll-2x1"):
        write_labels([*BINS, BinLabel("A" * 60)], load_stock("roll-2x1"), file)
    assert file.read_bytes() == b"before"


def test_progress_is_told_page_by_page() -> None:
    told: list[int] = []
    write_labels(BINS, SHEET, io.BytesIO(), progress=told.append)
    assert told == [0, 30, 36]


def test_nothing_chosen_is_refused() -> None:
    with pytest.raises(Refused, match="nothing to print"):
        pdf_of([], SHEET)


def test_a_file_is_written_whole(tmp_path: Path) -> None:
    file = tmp_path / "labels.pdf"
    write_labels(BINS, SHEET, file)
    assert file.read_bytes() == pdf_of(BINS, SHEET)
    with pytest.raises(Refused, match="cannot be written"):
        write_labels(BINS, SHEET, tmp_path / "none" / "labels.pdf")


def test_a_code_that_does_not_fit_is_refused_with_the_sizes() -> None:
    with pytest.raises(
        Refused, match=r"Label X{39}… on roll-2x1: .*bars need .* mm across.* the least that scans"
    ) as refusal:
        pdf_of([BinLabel("X" * 900)], load_stock("roll-2x1"))
    assert "Use larger stock" in str(refusal.value)
    with pytest.raises(Refused, match="which nobody reads"):
        pdf_of([BinLabel("X" * 60)], load_stock("roll-2x1"))


@pytest.mark.parametrize(
    ("code", "encoded"),
    [
        ("A-03-07-2", "A030702"),
        ("a-03-07-12", "A030712"),
        ("VAN-3", "VAN3"),
        ("Dock 1", "DOCK1"),
        ("C-40-20-6", "C402006"),
    ],
)
def test_place_codes_are_encoded_in_letters_and_digits(code: str, encoded: str) -> None:
    assert encoded_form(code) == encoded


@pytest.mark.parametrize("code", ["", "---", "Ä-01", "棚-1"])
def test_a_code_that_cannot_be_encoded_is_refused(code: str) -> None:
    with pytest.raises(Refused):
        encoded_form(code)


def test_a_given_code_is_encoded_as_it_is() -> None:
    assert {text for _, text in read(pdf_of([BinLabel("A-1-B", encoded="A01B00")], ROLL), 203)} == {"A01B00"}


def test_a_long_description_ends_in_an_ellipsis_and_is_reported() -> None:
    label = ItemLabel("MTR-1", "vend motor " * 40)
    assert len(label.description) > 400
    for name in stock_names():
        stock = load_stock(name)
        run = preview([label], stock)
        words = words_of(pdf_of([label], stock))
        shown_whole = " ".join(words.split()).count("vend motor") == 40
        assert shown_whole or ("…" in words and "MTR-1: description shortened" in run.notes), name


def test_letters_no_font_has_are_named_not_boxed() -> None:
    label = ItemLabel("CAN-1", "cola 🥤 مشروب Größe Ω")
    words = " ".join(words_of(pdf_of([label], ROLL)).split())
    assert "[cup with straw]" in words and "[Arabic text]" in words and "Größe" in words
    assert any(
        "CAN-1: letters no font here has, printed as [cup with straw] [Arabic text]" in note
        for note in preview([label], ROLL).notes
    )


def test_the_zone_mark_never_points_to_another_aisle() -> None:
    small = words_of(pdf_of([BinLabel("A-01-01-1", zone="bulk fixings")], SHEET)).split()
    assert small == ["A", "A-01-01-1"]
    assert "bulk fixings" in words_of(pdf_of([BinLabel("A-01-01-1", zone="bulk fixings")], ROLL))
    assert words_of(pdf_of([BinLabel("A-01-01-1", zone="q")], SHEET)).split() == ["Q", "A-01-01-1"]


def test_each_zone_of_an_alphabet_has_its_own_shape_and_colour() -> None:
    marks = [(shape_of(letter), colour_of(letter)) for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ"]
    assert len(set(marks)) == 26


def test_the_hand_is_said_in_words_with_its_viewpoint() -> None:
    words = words_of(pdf_of([ItemLabel("SPC-1", "Spacer", "LH", "the door side")], ROLL))
    assert "LEFT" in words and "seen from the door side" in words
    assert "RIGHT" in words_of(pdf_of([ItemLabel("SPC-1", "Spacer", "RH")], ROLL))


VIEWPOINTS = ("the front", "hinge side as seen from the front", "the side on which the delivery flap opens " * 4)


@pytest.mark.parametrize("viewpoint", VIEWPOINTS)
def test_from_where_left_is_seen_is_whole_or_noted(viewpoint: str) -> None:
    label = ItemLabel("SPC-1", "Spacer", "LH", viewpoint)
    for name in stock_names():
        stock = load_stock(name)
        words = " ".join(words_of(pdf_of([label], stock)).split())
        cut = any("seen is cut short" in note for note in preview([label], stock).notes)
        assert cut or viewpoint.strip() in words, name
        assert not cut or len(viewpoint) > 80, name


@pytest.mark.parametrize(
    "label",
    [
        BinLabel("A-01-01-1", name="fixings and strips, fuses, relays and leads " * 3),
        DrawerLabel("VAN-3", "D2", "fixings and strips, fuses, relays and leads " * 3),
    ],
)
def test_a_long_name_is_whole_or_noted_and_never_too_small_to_read(label: BinLabel | DrawerLabel) -> None:
    for name in stock_names():
        stock = load_stock(name)
        pdf = pdf_of([label], stock)
        words = " ".join(words_of(pdf).replace("D2", "").split())
        assert label.name.strip() in words or any("name shortened" in one for one in preview([label], stock).notes)
        page = pypdfium2.PdfDocument(pdf)[0].get_textpage()
        rows = [page.get_rect(n) for n in range(page.count_rects())]
        assert min(top - low for _, low, _, top in rows) > 1.0 / 25.4 * 72, name


def test_a_lot_too_long_to_read_is_noted_and_a_serial_takes_a_line_of_its_own() -> None:
    case = CaseLabel("CAN-1", "Cola", "W" * 40, date(2026, 3, 5), 24)
    assert any("lot prints too small" in note for note in preview([case], load_stock("letter-80")).notes)
    assert not any("lot" in note for note in preview([case], ROLL).notes if "bars" not in note)
    core = CoreTag("BRD-0001-LONG-NUMBER", "Board", "SERIAL-0123456789-ABCDEF", "VAN-3")
    assert "serial SERIAL-0123456789-ABCDEF" in " ".join(words_of(pdf_of([core], load_stock("a4-21"))).split())


def test_every_label_that_cannot_be_printed_is_named_at_once() -> None:
    labels = [*BINS, BinLabel("A" * 60), *BINS, BinLabel("B" * 60)]
    with pytest.raises(Refused, match=r"A{39}….* shorten it\. Label B{39}…"):
        preview(labels, load_stock("roll-2x1"))
    many = [BinLabel(letter * 60) for letter in "ABCDEFG"]
    with pytest.raises(Refused, match="And 3 more labels like these"):
        preview(many, load_stock("roll-2x1"))


def test_a_mark_is_a_letter_that_prints() -> None:
    assert words_of(pdf_of([BinLabel("A-01-01-1", zone="🥤")], SHEET)).split() == ["A", "A-01-01-1"]


def test_every_caution_travels_with_the_item() -> None:
    cautions = (Caution("Unplug first", "Keep the plug in sight."), Caution("Two people"), Caution("Static"))
    for name in stock_names():
        stock = load_stock(name)
        words = " ".join(words_of(pdf_of([ItemLabel("DECK-1", "Cooling deck", cautions=cautions)], stock)).split())
        notes = preview([ItemLabel("DECK-1", "Cooling deck", cautions=cautions)], stock).notes
        all_there = all(caution.word.upper() in words for caution in cautions)
        assert all_there or any("not every caution has room" in note for note in notes), name
        assert "UNPLUG FIRST" in words
    assert "Keep the plug in sight." in words_of(pdf_of([ItemLabel("D-1", "Deck", cautions=cautions)], ROLL))


def test_signal_words_are_followed_by_what_the_danger_is() -> None:
    cautions = (
        Caution("DANGER", "Mains voltage. Unplug the machine."),
        Caution("NOTE", "Static kills this part. Wrist strap on bare metal."),
        Caution("NOTE", "Money, keys or a secured reader: signed out to one named person."),
    )
    assert heading_of(cautions) == "DANGER: ELECTRICITY · STATIC · MONEY, KEYS OR A…"
    words = " ".join(
        words_of(pdf_of([ItemLabel("PSU-1", "Supply", cautions=cautions)], load_stock("letter-6"))).split()
    )
    assert all(caution.text in words for caution in cautions)


@pytest.mark.parametrize(
    ("text", "sign"),
    [
        ("Element stays hot for minutes and runs on mains electricity.", "hot"),
        ("Mains voltage. Let it cool.", "electricity"),
        ("Fingers: gears close with force.", "crush"),
        ("Change the gasket.", "general"),
        ("Multiple shots.", "general"),
    ],
)
def test_a_sign_is_for_what_the_sentence_speaks_of_first(text: str, sign: str) -> None:
    assert pictogram_for("WARNING", text) == sign


def test_words_never_run_into_each_other_on_the_smallest_label() -> None:
    """The title stays readable: nothing of the cautions is printed at its height."""
    cautions = tuple(Caution("WARNING", f"{what} here.") for what in ("Glass", "Mains", "Heavy", "Sharp", "Static"))
    stock = load_stock("a4-65")
    label = ItemLabel("340-5038", "Display module", "LH", "the hinge side as seen from the front", cautions)
    page = pypdfium2.PdfDocument(pdf_of([label], stock))[0].get_textpage()
    rows = [page.get_rect(n) for n in range(page.count_rects())]
    title = next(rect for rect in rows if page.get_text_bounded(*rect).strip() == "340-5038")
    others = [rect for rect in rows if rect != title]
    assert others and all(rect[3] <= title[1] + 0.5 for rect in others)
    assert any("not every caution has room" in note for note in preview([label], stock).notes)


def test_a_case_shows_date_and_lot_so_that_nobody_mistakes_them() -> None:
    case = CaseLabel("CAN-1", "Cola", "L24B117", date(2026, 3, 5), 24)
    words = words_of(pdf_of([case], SHEET))
    assert all(text in words for text in ("05 MAR 2026", "L24B117", "24 a case", "BEST BEFORE"))
    assert "NO DATE" in words_of(pdf_of([CaseLabel("CAN-1", "Cola", "L1")], SHEET))


def test_a_core_tag_has_room_to_write() -> None:
    words = words_of(pdf_of([CoreTag("BRD-1", "Board", "88213", "VAN-3")], ROLL))
    assert all(text in words for text in ("CORE", "88213", "VAN-3", "Fault", "Date / by"))


def test_a_long_description_leaves_a_core_tag_a_line_to_write_on() -> None:
    tag = CoreTag("BRD-1", "Display module for the drinks column, Cascade 54, revision C", "88213", "Netherlane depot")
    assert not any("no room for a line" in note for note in preview([tag], SHEET).notes)


def test_a_drawer_names_its_van() -> None:
    words = words_of(pdf_of([DrawerLabel("VAN-3", "D2", "Spacers")], SHEET))
    assert "D2" in words and "VAN-3" in words


def test_a_label_never_carries_a_quantity_in_stock() -> None:
    from dataclasses import fields

    for kind in (BinLabel, DrawerLabel, ItemLabel, CoreTag):
        assert not {field.name for field in fields(kind)} & {"quantity", "stock", "on_hand"}


def test_a_roll_without_colour_prints_black_only() -> None:
    pdf = pypdfium2.PdfDocument(pdf_of([BinLabel("A-1"), CautionTag("Hot", "Wait.")], load_stock("roll-4x2")))
    for page in pdf:
        assert {
            colour
            for _, colour in page.render(scale=1.5).to_pil().getcolors(1 << 20) or []
            if max(colour) != min(colour)
        } == set()


def test_stock_of_any_fineness_prints_readable_symbols() -> None:
    from dataclasses import replace

    for dots in (11.811, 12.0, 23.622):
        fine: LabelStock = replace(load_stock("roll-2x1"), dots_per_mm=dots)
        dpi = round(dots * 25.4)
        assert len(read(pdf_of([BinLabel("A-03-07-2")], fine), dpi)) == 2
