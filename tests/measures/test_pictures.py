"""Pictures: well-formed, to scale, and safe with any title."""

from __future__ import annotations

import re
from datetime import date
from xml.etree import ElementTree

import pytest

from toeroom.book import Book
from toeroom.measured_feet import feet_from_words
from toeroom.measures.lift_profiles import inside_profile, outside_profile, place
from toeroom.measures.papers import papers_report
from toeroom.measures.sizes import RULES
from toeroom.pictures.lift_profile import lift_profile_lines, lift_profile_svg
from toeroom.pictures.paper_timeline import paper_timeline_lines, paper_timeline_svg
from toeroom.pictures.size_rule import PER_MM, size_rule_lines, size_rule_svg
from toeroom.sizing import size_report

SVG = "{http://www.w3.org/2000/svg}"
HOSTILE = "<script>alert('x')</script> & \" \x1b[31m"
PAPERS = {
    "physician_visit": date(2026, 5, 10),
    "foot_exam": date(2026, 5, 12),
    "certification_signed": date(2026, 5, 20),
    "order_signed": date(2026, 5, 20),
}


def texts(svg: str) -> list[str]:
    return [node.text or "" for node in ElementTree.fromstring(svg).iter(f"{SVG}text")]


@pytest.fixture
def pictures(book: Book) -> list[str]:
    feet = {"left": ["262mm", "ball length=200mm"], "right": ["258mm"]}
    return [
        size_rule_svg(size_report(feet_from_words(feet, book.vocabulary)), HOSTILE),
        lift_profile_svg(outside_profile(14), side="left", where="sole", title=HOSTILE),
        paper_timeline_svg(papers_report(PAPERS, date(2026, 6, 1)), HOSTILE),
    ]


def test_any_title_stays_text(pictures: list[str]) -> None:
    for picture in pictures:
        root = ElementTree.fromstring(picture)
        assert not list(root.iter(f"{SVG}script"))
        assert "\x1b" not in picture
        assert texts(picture)[0] == HOSTILE.replace("\x1b", " ")
        assert root.find(f"{SVG}title") is not None
        assert root.find(f"{SVG}desc") is not None


def test_everything_lies_inside_the_picture(pictures: list[str]) -> None:
    for picture in pictures:
        root = ElementTree.fromstring(picture)
        wide, high = float(root.attrib["width"]), float(root.attrib["height"])
        for node in root.iter():
            for key, most in (
                ("x", wide),
                ("x1", wide),
                ("x2", wide),
                ("y", high),
                ("y1", high),
                ("y2", high),
            ):
                assert 0 <= float(node.attrib.get(key, 0)) <= most, node.attrib


def test_feet_are_drawn_to_scale(book: Book) -> None:
    report = size_report(feet_from_words({"left": ["262mm"], "right": ["258mm"]}, book.vocabulary))
    bars = re.findall(r"<rect x='[\d.]+' y='[\d.]+' width='([\d.]+)' height='26'", size_rule_svg(report))
    assert float(bars[0]) - float(bars[1]) == pytest.approx(4 * PER_MM)
    shown = texts(size_rule_svg(report))
    assert {"262 mm", "258 mm", "shoe inside 272 mm to 282 mm"} <= set(shown)
    assert all(rule.label in shown for rule in RULES.values())


def test_the_terminal_shows_the_same(book: Book) -> None:
    report = size_report(feet_from_words({"left": ["262mm"], "right": ["258mm"]}, book.vocabulary))
    lines = size_rule_lines(report)
    assert lines[0].endswith("272 mm to 282 mm")
    assert lines[1].count("=") > lines[2].count("=")


def test_lift_heights_are_to_one_scale() -> None:
    points = re.search(
        r"<polygon points='([^']+)'", lift_profile_svg(outside_profile(40), side="left", where="sole")
    )
    assert points is not None
    heel, _, ball, toe, *_ = (250 - float(pair.split(",")[1]) for pair in points[1].split())
    assert heel == pytest.approx(2 * ball)
    assert toe == 0
    assert (
        lift_profile_lines(outside_profile(14), side="right", where="sole")[1]
        == "heel        14 mm ##############"
    )
    assert "inside" in lift_profile_lines(inside_profile(8), side="left", where=place(8).where)[0]


def test_a_paper_out_of_order_is_hatched_and_named() -> None:
    bad = papers_report({**PAPERS, "order_signed": date(2026, 5, 1)}, date(2026, 6, 1))
    good = papers_report(PAPERS, date(2026, 6, 1))
    assert paper_timeline_svg(bad).count("url(#hatch)") == 1
    assert paper_timeline_svg(good).count("url(#hatch)") == 0
    assert "no day satisfies all papers" in texts(paper_timeline_svg(bad))
    assert "hand over from 2026-06-01 to 2026-08-20" in texts(paper_timeline_svg(good))
    assert "xxx" in paper_timeline_lines(bad)[3]
    assert "xxx" not in "".join(paper_timeline_lines(good))


def test_no_paper_at_all_is_shown_too() -> None:
    nothing = papers_report({}, date(2026, 6, 1))
    assert texts(paper_timeline_svg(nothing)).count("not there") == 4
    assert all("not there" in line for line in paper_timeline_lines(nothing)[:4])
