"""What stands on single papers, against cases made for it."""

from __future__ import annotations

from tests.papers.conftest import demo_paper, paper_of
from toeroom.book import Book
from toeroom.papers.templates import folders
from toeroom.papers.words import read_words

US = """case: a
as_of: 2026-11-25
person: {us_medicare: yes, diabetes: yes}
"""


def test_a_paper_that_lapses_before_the_hand_over_is_not_in_order() -> None:
    text = demo_paper("papers-with-a-lapse", "fitting-sheet").markdown
    assert "| Physician visit | 28 May 2026 | 28 November 2026 | lapses 10 days before" in text
    assert "| Certifying statement | 20 September 2026 | 20 December 2026 | yes |" in text


def test_a_paper_that_is_not_there_is_not_in_order() -> None:
    text = paper_of(US, "fitting-sheet").markdown
    assert "| Physician visit | ____________ | ____________ | not there |" in text


def test_the_lift_stands_in_figures_and_in_the_drawing() -> None:
    paper = demo_paper("leg-length-14-mm", "work-order")
    assert "| right | 14 mm | 7 mm | 0 mm |" in paper.markdown
    assert paper.drawn == ("lift",)
    assert all(f">{height} mm<" in paper.drawings["lift"].svg for height in (14, 7, 0))


def test_the_apex_is_read_off_in_millimetres() -> None:
    text = demo_paper("ulcer-just-healed", "work-order").markdown
    # 290 mm: 52 % is 150.8, 57 % is 165.3 (domain-fitting 6, check 1); best counts of Preece et al., Table 2.
    assert "| 290 mm | 151 mm | 165 mm | 180 mm | 194 mm |" in text
    assert "| Metatarsal heads 2 to 4 | 87 | 13 | 0 | 0 |" in text
    assert "Prescriber's figures: apex ______ mm" in text


def test_abnormalities_stand_with_what_accommodates_them() -> None:
    text = demo_paper("papers-with-a-lapse", "fitting-sheet").markdown
    row = next(line for line in text.splitlines() if line.startswith("| Hammer toe | left |"))
    assert "deep toe box" in row
    stopped = demo_paper("open-wound-on-the-sole", "fitting-sheet").markdown
    assert "held back: soft, padded upper; no seam that can rub |" in stopped


def test_a_fit_check_stands_as_figures() -> None:
    block = "fit_check: {day: 2026-11-25, by: KB, left: {room_mm: 13, heel_lift_mm: 4}}\n"
    text = paper_of(US + block, "fitting-sheet").markdown
    assert "Checked 25 November 2026 by KB" in text
    row = next(line for line in text.splitlines() if line.startswith("| Room in front"))
    assert row.startswith("| Room in front of the longest toe (mm) | 13 mm | ________ | left: holds")


def test_the_urgent_referral_says_to_whom_and_when() -> None:
    text = demo_paper("hot-swollen-foot", "referral-note").markdown
    assert "| Hot swollen foot: seen today | right | foot service | today, by phone |" in text
    assert "Skin temperature: left 29.6 °C, right 33.4 °C." in text


def test_codes_are_known_ones(book: Book) -> None:
    import re

    from toeroom.measures import yearly_units

    known = {yearly_units.DEPTH, yearly_units.CUSTOM, *yearly_units.INSERTS, *yearly_units.MODIFICATIONS}
    words = read_words(folders(book.folder, None), book.vocabulary)
    codes = {code for entry in words.values() for code in re.findall(r"A\d{4}", entry.code)}
    assert codes
    assert codes <= known


def test_what_a_clinician_decides_accommodates_nothing() -> None:
    text = demo_paper("toe-gone-and-poor-supply", "fitting-sheet").markdown
    rows = [line for line in text.splitlines() if "compression only once cleared" in line]
    assert rows
    assert all("seen to by a clinician: compression only once cleared" in row for row in rows)


def test_what_is_done_at_once_comes_before_a_visit() -> None:
    text = demo_paper("open-wound-on-the-sole", "wearer-sheet").markdown
    assert text.index("Walk as little as you can") < text.index("see to hard skin and nails")
