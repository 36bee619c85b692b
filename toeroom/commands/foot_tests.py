"""`toeroom tests CASE`; `circulation`, `filament`, `temperature`, `wound-score`, `joints`, `relief`."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from toeroom.bedside import entry
from toeroom.bedside.circulation import circulation_sheet
from toeroom.bedside.feeling import feeling_sheet
from toeroom.bedside.figures import FigureSheet, sheet_lines
from toeroom.bedside.from_case import case_sheets
from toeroom.bedside.joints import joints_sheet
from toeroom.bedside.relief import relief_sheet
from toeroom.bedside.skin_temperature import temperature_sheet
from toeroom.bedside.wound import Wound, wound_sheet
from toeroom.book import Book, open_book
from toeroom.case import read_case
from toeroom.commands.common import DONE, add_command, show_json
from toeroom.errors import BadInput
from toeroom.measures.wound_scores import INFECTION_SIGNS, REACHES, SYSTEMIC_SIGNS, WAGNER
from toeroom.vocabulary import PERSON, SIDES

YES_NO = {"yes": True, "no": False}


def add(commands: Any) -> None:
    """Declares the commands."""
    tests = add_command(commands, "tests", "the figures of the tests a case states", _case)
    tests.add_argument("cases", nargs="+", metavar="CASE.yaml")
    _add_circulation(commands)
    filament = add_command(commands, "filament", "counts a filament and a toe-touch test", _filament)
    temperature = add_command(
        commands, "temperature", "skin temperature, foot against foot by day", _temperature
    )
    temperature.add_argument("readings", nargs="*", metavar="DAY=LEFT/RIGHTC", help="2026-11-24=31.2/28.9C")
    temperature.add_argument(
        "--usual", default="", metavar="left=0.8C", help="the foot that is always warmer"
    )
    temperature.add_argument("--hot-and-swollen", action="store_true", help="a foot red, hot and swollen")
    joints = add_command(commands, "joints", "what the angles in a clinician's letter are called", _joints)
    for side in SIDES:
        text = f"answers of the {side} foot, a word a site: rwr rrr wrw (r right, w wrong, ? not asked)"
        filament.add_argument(f"--{side}", nargs="+", default=[], metavar="RWR", help=text)
        text = f"toes 1, 3, 5 of the {side} foot: y felt, n not felt, ? not touched"
        filament.add_argument(f"--touch-{side}", default="", metavar="YNY", help=text)
        text = f"{side} foot, degrees: bunion=32 between=14 big-toe-up=20 ankle-up=-2"
        joints.add_argument(f"--{side}", nargs="+", default=[], metavar="ANGLE", help=text)
    joints.add_argument(
        "--mid-range-pain", choices=YES_NO, help="the big toe hurts in the middle of its range"
    )
    _add_wound(commands)
    relief = add_command(commands, "relief", "whether in-shoe pressure relief is shown", _relief)
    relief.add_argument("after", metavar="195kPa", help="peak at the site at risk, in the new shoe")
    relief.add_argument("--before", default="", metavar="280kPa", help="in the shoe worn now")
    relief.add_argument("--sensor", default="", metavar="1cm2", help="area of one sensor")


def _add_circulation(commands: Any) -> None:
    text = "ankle/arm and toe/arm index, their bands and what they leave open"
    circulation = add_command(commands, "circulation", text, _circulation)
    circulation.add_argument("--arms", nargs="+", default=[], metavar="MMHG", help="one or both: 136 140")
    for side in SIDES:
        text = f"{side} foot, mmHg: ankle=84/92 (one or both arteries) toe=62 oxygen=40"
        circulation.add_argument(f"--{side}", nargs="+", default=[], metavar="PRESSURE", help=text)
    circulation.add_argument("--numb", choices=[*SIDES, "both", "neither"], help="where feeling is lost")


def _add_wound(commands: Any) -> None:
    text = "what a clinician stated of a wound, as SINBAD and other scores for a referral note"
    wound = add_command(commands, "wound-score", text, _wound)
    wound.add_argument("--foot", choices=SIDES)
    wound.add_argument("--site", choices=["forefoot", "midfoot", "hindfoot"])
    wound.add_argument("--pulse", choices=["felt", "absent"])
    wound.add_argument("--feeling", choices=["kept", "lost"])
    wound.add_argument("--infected", choices=YES_NO)
    wound.add_argument("--area", default="", metavar="1.0cm2")
    wound.add_argument("--reaches", choices=REACHES, help="how deep")
    wound.add_argument(
        "--signs", nargs="+", choices=[*INFECTION_SIGNS, "none"], help="of infection, as described"
    )
    wound.add_argument(
        "--redness", default="", metavar="1.2cm", help="how far redness reaches from the wound"
    )
    wound.add_argument(
        "--systemic", nargs="+", choices=[*SYSTEMIC_SIGNS, "none"], help="signs of the whole body"
    )
    wound.add_argument(
        "--wagner", type=int, choices=range(len(WAGNER)), help="what a grade in a letter means"
    )


# --- from a case ---------------------------------------------------------------------------------
def _case(options: argparse.Namespace) -> int:
    book = open_book(options.book)
    cases = [read_case(path, book.vocabulary) for path in options.cases]
    for number, case in enumerate(cases):
        sheets = case_sheets(case)
        plan = book.planner.plan(case)
        stopped = [side for side in SIDES if plan.state("no_fitting_today", side)]
        if options.json:
            _show(sheets, book, as_json=True, case=case.id, stopped=stopped)
            continue
        print(("\n" if number else "") + f"case {case.id} · {case.as_of}")
        for side in stopped:
            print(f"STOP  the {side} foot is not fitted today (toeroom plan {options.cases[number]})")
        if sheets:
            _show(sheets, book, as_json=False)
        else:
            print(f"this case states no test\n\n{book.vocabulary.deferral}")
    return DONE


def _show(sheets: Sequence[FigureSheet], book: Book, *, as_json: bool, **more: object) -> None:
    deferral = book.vocabulary.deferral
    if as_json:
        show_json({**more, "tests": [sheet.as_json() for sheet in sheets], "deferral": deferral})
    else:
        print("\n".join([*sheet_lines(sheets), deferral]))


# --- as stated -----------------------------------------------------------------------------------
def _circulation(options: argparse.Namespace) -> int:
    book = open_book(options.book)
    numb = dict.fromkeys(SIDES, None if options.numb is None else options.numb == "both")
    if options.numb in SIDES:
        numb[options.numb] = True
    feet = {
        side: entry.foot_pressures(side, texts, book.vocabulary, numb=numb[side])
        for side in SIDES
        if (texts := getattr(options, side))
    }
    if not feet:
        raise BadInput(
            "no pressure of a foot is stated", mend="toeroom circulation --arms 136 140 --left ankle=84/92"
        )
    arms = entry.arm_pressures(options.arms, book.vocabulary)
    _show([circulation_sheet(arms, feet)], book, as_json=options.json)
    return DONE


def _filament(options: argparse.Namespace) -> int:
    sites = {side: entry.sites(side, words) for side in SIDES if (words := getattr(options, side))}
    left, right = options.touch_left, options.touch_right
    touch = entry.toe_tips(left, right) if left or right else None
    if not sites and touch is None:
        raise BadInput("no answer is stated", mend="toeroom filament --left rwr rrr wrw --right rrr rrr rrr")
    _show([feeling_sheet(sites, touch)], open_book(options.book), as_json=options.json)
    return DONE


def _temperature(options: argparse.Namespace) -> int:
    book = open_book(options.book)
    readings = [entry.reading(text, book.vocabulary, date.today()) for text in options.readings]
    if not readings and not options.hot_and_swollen:
        raise BadInput("no reading is stated", mend="toeroom temperature 2026-11-24=31.2/28.9C")
    days = [reading.day for reading in readings]
    for day in days:
        if days.count(day) > 1:
            raise BadInput(f"two readings on {day}", mend="one a day, at the same spot")
    usual = entry.usual_difference(options.usual) if options.usual else Fraction(0)
    sheet = temperature_sheet(readings, usual, hot_and_swollen=options.hot_and_swollen)
    _show([sheet], book, as_json=options.json)
    return DONE


def _joints(options: argparse.Namespace) -> int:
    pain = YES_NO.get(options.mid_range_pain or "")
    feet = {
        side: entry.foot_angles(side, texts, mid_range_pain=pain)
        for side in SIDES
        if (texts := getattr(options, side))
    }
    if not feet:
        raise BadInput("no angle is stated", mend="toeroom joints --left bunion=32 big-toe-up=20")
    _show([joints_sheet(feet)], open_book(options.book), as_json=options.json)
    return DONE


def _wound(options: argparse.Namespace) -> int:
    area, redness = options.area, options.redness
    wound = Wound(
        None if options.site is None else options.site != "forefoot",
        {"felt": True, "absent": False}.get(options.pulse),
        {"lost": True, "kept": False}.get(options.feeling),
        YES_NO.get(options.infected or ""),
        entry.amount(area, "cm2", "the area", 0, 200) if area else None,
        options.reaches,
        entry.amount(redness, "cm", "the redness", 0, 30) if redness else None,
        _signs(options.signs, "--signs"),
        _signs(options.systemic, "--systemic"),
        options.wagner,
    )
    if wound == Wound():
        raise BadInput(
            "nothing of the wound is stated", mend="toeroom wound-score --site hindfoot --pulse absent"
        )
    sheet = wound_sheet(wound, options.foot or PERSON)
    _show([sheet], open_book(options.book), as_json=options.json)
    return DONE


def _signs(words: Sequence[str] | None, option: str) -> frozenset[str] | None:
    if words is None:
        return None
    if "none" in words and len(words) > 1:
        raise BadInput(f"{option} says none and more", mend="leave one")
    return frozenset(words) - {"none"}


def _relief(options: argparse.Namespace) -> int:
    def kpa(text: str, what: str) -> Fraction:
        return Fraction(entry.amount(text, "kPa", what, Decimal(1), Decimal(2000)))

    before = kpa(options.before, "the pressure before") if options.before else None
    sensor = (
        Fraction(entry.amount(options.sensor, "cm2", "the sensor", Decimal("0.01"), 10))
        if options.sensor
        else None
    )
    sheet = relief_sheet(kpa(options.after, "the pressure"), before, sensor)
    _show([sheet], open_book(options.book), as_json=options.json)
    return DONE
