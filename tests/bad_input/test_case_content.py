"""Case files whose content cannot be used: each is refused in one line that helps."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

Refusal = Callable[[Path], str]
"""Plans a file and gives the one line that refused it; the fixtures are in conftest."""


class Row(NamedTuple):
    """A malformed case, the line (from 1) its fault is named on, and words of the message."""

    text: str
    line: int
    words: tuple[str, ...]


UNKNOWN_WORDS = {
    "top key misspelt": Row("case: a\nmesures: {}\n", 2, ("mesures", "'measures'")),
    "side misspelt": Row("case: a\nlefft: {bunion: yes}\n", 2, ("lefft", "'left'")),
    "both is no side": Row("case: a\nboth: {bunion: yes}\n", 2, ("'both'",)),
    "finding misspelt": Row(
        "case: a\nleft:\n  callus: no\n  open_wond: yes\n", 4, ("open_wond", "'open_wound'")
    ),
    "finding with a dash": Row("case: a\nleft: {sensation-lost: yes}\n", 2, ("'sensation_lost'",)),
    "finding with a space": Row("case: a\nleft: {open wound: yes}\n", 2, ("'open_wound'",)),
    "finding in capitals": Row("case: a\nleft: {Bunion: yes}\n", 2, ("'bunion'",)),
    "person finding misspelt": Row("case: a\nperson: {diabetis: yes}\n", 2, ("'diabetes'",)),
    "measure misspelt": Row("case: a\nmeasures: {left: {foot_lenght_mm: 260}}\n", 2, ("'foot_length_mm'",)),
    "measure in another unit": Row(
        "case: a\nmeasures: {left: {foot_length_cm: 26}}\n", 2, ("'foot_length_mm'",)
    ),
    "side of measures misspelt": Row("case: a\nmeasures: {rigth: {foot_length_mm: 260}}\n", 2, ("'right'",)),
    "choice misspelt": Row("case: a\nchoices: {size_sytem: uk}\n", 2, ("'size_system'",)),
    "date misspelt": Row("case: a\ndates: {physican_visit: 2026-09-01}\n", 2, ("'physician_visit'",)),
    "training key misspelt": Row("case: a\ntraining: {grad: simple}\n", 2, ("'grade'",)),
    "nothing like it": Row("case: a\nleft: {zzzzqq: yes}\n", 2, ("zzzzqq", "not known")),
    "a key without a name": Row("case: a\nleft: {'': yes}\n", 2, ("not known",)),
    "a key of a thousand letters": Row(f"case: a\nleft: {{? {'x' * 1000} : yes}}\n", 2, ("xxx",)),
    "a key that would colour the terminal": Row(
        'case: a\nleft: {"\\e[31mbunion": yes}\n', 2, ("[31mbunion",)
    ),
    "a key that would break the line": Row('case: a\nleft: {"bun\\nion": yes}\n', 2, ("bun ion",)),
    "a key that would turn the text round": Row('case: a\nleft: {"\\u202ebunion": yes}\n', 2, ("bunion",)),
    "a merge key with nothing to merge": Row("case: a\nleft: {<<: {bunion: yes}}\n", 2, ("<<",)),
}

WRONG_PLACE = {
    "foot finding on the person": Row("case: a\nperson: {bunion: yes}\n", 2, ("'bunion'", "left or right")),
    "person finding on a foot": Row("case: a\nleft: {diabetes: yes}\n", 2, ("'diabetes'", "person")),
    "finding at the top": Row("case: a\nopen_wound: yes\n", 2, ("'open_wound'", "left or right")),
    "measure among findings": Row("case: a\nleft: {foot_length_mm: 260}\n", 2, ("measures",)),
    "foot measure on the person": Row(
        "case: a\nmeasures: {person: {foot_length_mm: 260}}\n", 2, ("left or right",)
    ),
    "person measure on a foot": Row(
        "case: a\nmeasures: {left: {leg_difference_mm: 8}}\n", 2, ("measures, person",)
    ),
    "measure without a side": Row(
        "case: a\nmeasures: {foot_length_mm: 260}\n", 2, ("measures, left or right",)
    ),
    "choice on the person": Row("case: a\nperson: {short_leg: left}\n", 2, ("choices",)),
    "date at the top": Row("case: a\nphysician_visit: 2026-09-01\n", 2, ("dates",)),
    "as_of among the dates": Row("case: a\ndates: {as_of: 2026-09-01}\n", 2, ("'as_of'",)),
    "plan item stated": Row("case: a\nleft: {extra_depth_shoe: yes}\n", 2, ("plan", "never states")),
    "plan items at the top": Row("case: a\nitems: []\n", 2, ("'items'",)),
    "derived state of a foot stated": Row("case: a\nleft: {no_fitting_today: no}\n", 2, ("never states",)),
    "derived state of the person stated": Row("case: a\nperson: {ulcer_risk: '0'}\n", 2, ("never states",)),
    "calculated value stated": Row("case: a\nmeasures: {left: {toe_room_mm: 12}}\n", 2, ("'toe_room_mm'",)),
}

NOT_YES_NO_UNKNOWN = {
    word: Row(f"case: a\nleft:\n  bunion: {word}\n", 3, ("'bunion'", "yes, no or unknown"))
    for word in (
        "on",
        "off",
        "y",
        "n",
        "ja",
        "1",
        "0",
        "yess",
        "maybe",
        "not yes",
        "'yes '",
        "",
        "~",
        "null",
        "''",
        "[yes, no]",
        "{is: yes}",
        "|\n    yes",
    )
}

NUMBERS = {
    word: Row(f"case: a\nmeasures:\n  left:\n    foot_length_mm: {word}\n", 4, ("'foot_length_mm'",))
    for word in (
        "NaN",
        ".nan",
        "inf",
        "-.inf",
        "1e3",
        "2.6e2",
        "0x104",
        "0o404",
        "1_000",
        "2_60",
        "260mm",
        "260 mm",
        "260,5",
        "about 260",
        "260-262",
        "260.",
        ".5",
        "--260",
        "'260 '",
        "'260\\n'",
        "yes",
        "",
        "~",
        "''",
        "[260]",
        "{mm: 260}",
        "2600000000000",
        "260.0000000001",
        "149.99",
        "350.01",
        "-260",
        "0",
    )
}

UNIT_SLIPS = {
    "centimetres": Row("case: a\nmeasures: {left: {foot_length_mm: 26.2}}\n", 2, ("centimetres", "262")),
    "inches": Row("case: a\nmeasures: {left: {foot_length_mm: 10.5}}\n", 2, ("inches", "266.7")),
    "ball width in centimetres": Row(
        "case: a\nmeasures: {right: {ball_width_mm: 10.4}}\n", 2, ("centimetres", "104")
    ),
    "range is named": Row("case: a\nmeasures: {left: {toe_pressure_mmhg: 251}}\n", 2, ("0 to 250",)),
    "temperature in Fahrenheit": Row("case: a\nmeasures: {left: {skin_temp_c: 88}}\n", 2, ("15 to 45",)),
}

DATES = {
    word: Row(f"case: a\ndates:\n  foot_exam: {word}\n", 3, ("'foot_exam'",))
    for word in (
        "2026-02-29",
        "2100-02-29",
        "2026-02-30",
        "2026-04-31",
        "2026-13-01",
        "2026-00-10",
        "2026-01-00",
        "0000-01-01",
        "1899-12-31",
        "9999-12-31",
        "26-01-01",
        "2026-1-1",
        "01.02.2026",
        "01/02/2026",
        "20260201",
        "2026-W05-1",
        "2026-02-01T10:00:00",
        "2026-02-01 10:00",
        "today",
        "yes",
        "",
        "[2026-02-01]",
        "{year: 2026}",
    )
}

DUPLICATES = {
    "case twice": Row("case: a\ncase: b\n", 2, ("'case'", "second time", "line 1")),
    "a side twice": Row("case: a\nleft: {bunion: yes}\nleft: {callus: yes}\n", 3, ("'left'", "line 2")),
    "two values for a finding": Row(
        "case: a\nleft: {bunion: yes, bunion: no}\n", 2, ("'bunion'", "second time")
    ),
    "the same value twice": Row("case: a\nleft:\n  bunion: yes\n  bunion: yes\n", 4, ("'bunion'", "line 3")),
    "quoted and plain": Row("case: a\nleft: {bunion: yes, 'bunion': no}\n", 2, ("'bunion'",)),
    "a measure twice": Row(
        "case: a\nmeasures:\n  left: {foot_length_mm: 260, foot_length_mm: 262}\n", 3, ("'foot_length_mm'",)
    ),
    "a side of measures twice": Row("case: a\nmeasures: {left: {}, left: {}}\n", 2, ("'left'",)),
    "a choice twice": Row("case: a\nchoices: {short_leg: left, short_leg: right}\n", 2, ("'short_leg'",)),
    "a date twice": Row(
        "case: a\ndates: {delivered: 2026-01-01, delivered: 2026-01-02}\n", 2, ("'delivered'",)
    ),
    "as_of twice": Row("case: a\nas_of: 2026-01-01\nas_of: 2026-01-01\n", 3, ("'as_of'",)),
}

LAUGHS = "a: &a [x, x, x]\n" + "".join(
    f"{chr(98 + n)}: &{chr(98 + n)} [*{chr(97 + n)}, *{chr(97 + n)}, *{chr(97 + n)}]\n" for n in range(20)
)

YAML_TRICKS = {
    "an anchor": Row("case: a\nleft: &foot {bunion: yes}\n", 2, ("anchors",)),
    "an alias": Row("case: a\nleft: &foot {bunion: yes}\nright: *foot\n", 2, ("anchors",)),
    "an alias to nothing": Row("case: a\nright: *foot\n", 2, ("aliases",)),
    "a merge key": Row("case: a\nleft: &f {bunion: yes}\nright: {<<: *f}\n", 2, ("anchors",)),
    "an anchor on a word": Row("case: &x a\n", 1, ("anchors",)),
    "a list that holds itself": Row("&me [*me]\n", 1, ("anchors",)),
    "a billion laughs": Row(LAUGHS, 1, ("anchors",)),
    "an object to build": Row("case: a\nnotes: !!python/object/apply:os.system ['true']\n", 2, ("tag",)),
    "an object to build at the top": Row("!!python/object:toeroom.case.Case {id: a}\n", 1, ("tag",)),
    "a name to import": Row("case: a\nnotes: !!python/name:os.system\n", 2, ("tag",)),
    "a text tag": Row("case: a\nleft: {bunion: !!str yes}\n", 2, ("tag",)),
    "a truth tag": Row("case: a\nleft: {bunion: !!bool yes}\n", 2, ("tag",)),
    "a tag of one's own": Row("case: a\nleft: {bunion: !foot yes}\n", 2, ("tag",)),
    "a second document": Row("case: a\n---\ncase: b\n", 2, ("second document",)),
    "a second document that is empty": Row("case: a\n---\n", 2, ("second document",)),
    "a tab for an indent": Row("case: a\nleft:\n\tbunion: yes\n", 3, ("not valid YAML",)),
    "a bracket left open": Row("case: a\nleft: {bunion: yes\n", 3, ("not valid YAML",)),
    "a quote left open": Row('case: a\ntitle: "no end\n', 3, ("not valid YAML",)),
    "a colon too many": Row("case: a\nleft: bunion: yes\n", 2, ("not valid YAML",)),
    "an indent that slips": Row("case: a\nleft:\n  bunion: yes\n callus: yes\n", 4, ("not valid YAML",)),
    "a key that is a list": Row("? [case]\n: a\n", 1, ("key",)),
    "a key that is a mapping": Row("case: a\nleft: {{bunion: yes}: yes}\n", 2, ("key",)),
    "an unknown escape": Row('case: a\ntitle: "\\q"\n', 2, ("not valid YAML",)),
    "a directive of another version": Row("%YAML 3.0\n---\ncase: a\n", 1, ("not valid YAML",)),
    "thirty-one lists deep": Row("case: a\nleft: " + "[" * 31 + "]" * 31 + "\n", 2, ("nested",)),
    "fifty thousand lists deep": Row("case: a\nleft: " + "[" * 50_000 + "\n", 2, ("nest",)),
    "thirty thousand mappings deep": Row("case: a\nleft: " + "{a: " * 30_000 + "\n", 2, ("nest",)),
    "fifty thousand dashes deep": Row("- " * 50_000 + "\n", 1, ("nest",)),
    "fifty thousand keys deep": Row("? " * 50_000 + "\n", 1, ("key",)),
}

WRONG_TYPES = {
    "an empty file": Row("", 1, ("not a case",)),
    "blank lines only": Row("\n\n  \n", 1, ("not a case",)),
    "a comment only": Row("# nothing yet\n", 1, ("not a case",)),
    "three dashes only": Row("---\n", 2, ("not a case",)),
    "a list": Row("- case: a\n", 1, ("not a case",)),
    "a word": Row("hello\n", 1, ("not a case",)),
    "a number": Row("42\n", 1, ("not a case",)),
    "null": Row("null\n", 1, ("not a case",)),
    "JSON that is cut off": Row('{"case": "a", "left": {"bunion": "yes"', 2, ("not valid YAML",)),
    "a side that is a list": Row("case: a\nleft: [bunion]\n", 2, ("'left'",)),
    "a side that is a word": Row("case: a\nleft: bunion\n", 2, ("'left'",)),
    "measures that are a number": Row("case: a\nmeasures: 260\n", 2, ("'measures'",)),
    "a side of measures that is a number": Row("case: a\nmeasures: {left: 260}\n", 2, ("'left'",)),
    "choices that are a word": Row("case: a\nchoices: left\n", 2, ("'choices'",)),
    "dates that are a list": Row("case: a\ndates: [2026-01-01]\n", 2, ("'dates'",)),
    "training that is a word": Row("case: a\ntraining: simple\n", 2, ("'training'",)),
    "a title that is a list": Row("case: a\ntitle: [a, b]\n", 2, ("'title'",)),
    "a title with a colon": Row("case: a\ntitle: {bunion: left}\n", 2, ("'title'",)),
    "notes that are a list": Row("case: a\nnotes:\n  - one\n", 2, ("'notes'",)),
    "a choice that is not offered": Row("case: a\nchoices: {short_leg: both}\n", 2, ("left, right",)),
    "a size system that is not offered": Row("case: a\nchoices: {size_system: us}\n", 2, ("us_men",)),
    "a choice in capitals": Row("case: a\nchoices: {short_leg: LEFT}\n", 2, ("left, right",)),
    "a choice left empty": Row("case: a\nchoices: {short_leg: }\n", 2, ("left, right",)),
    "a choice that is a list": Row("case: a\nchoices: {short_leg: [left, right]}\n", 2, ("left, right",)),
    "a grade that is not offered": Row("case: a\ntraining: {grade: easy}\n", 2, ("simple, middling, hard",)),
    "as_of that does not exist": Row("case: a\nas_of: 2026-11-31\n", 2, ("as_of", "does not exist")),
    "as_of left empty": Row("case: a\nas_of:\n", 2, ("as_of",)),
    "as_of in words": Row("case: a\nas_of: 25 November 2026\n", 2, ("as_of", "year-month-day")),
}

CASE_IDS = {
    word or "nothing": Row(f"case: {word}\n", 1, ("id",))
    for word in (
        "",
        "''",
        "~",
        "../up",
        "a/b",
        "'a\\b'",
        "/etc/passwd",
        "..",
        "a.yaml",
        "two words",
        "a_b",
        "-a",
        "a-",
        "a:b",
        "'a\tb'",
        '"a\\nb"',
        '"a\\0b"',
        "naïve",
        "日本",
        "x" * 65,
        "[a]",
        "{a: b}",
        "'*'",
        "$(id)",
    )
} | {"no id at all": Row("title: a case without an id\n", 1, ("no id", "case:"))}

TABLES = {
    "unknown": UNKNOWN_WORDS,
    "place": WRONG_PLACE,
    "yes-no": NOT_YES_NO_UNKNOWN,
    "number": NUMBERS,
    "unit": UNIT_SLIPS,
    "date": DATES,
    "twice": DUPLICATES,
    "yaml": YAML_TRICKS,
    "type": WRONG_TYPES,
    "id": CASE_IDS,
}

ROWS = [
    pytest.param(row, id=f"{table}-{name if len(name) <= 40 else name[:37] + '...'}")
    for table, rows in TABLES.items()
    for name, row in rows.items()
]

BY_PROCESS = [
    UNKNOWN_WORDS["finding misspelt"],
    WRONG_PLACE["plan item stated"],
    NOT_YES_NO_UNKNOWN["on"],
    NUMBERS["NaN"],
    DATES["2026-02-29"],
    DUPLICATES["two values for a finding"],
    YAML_TRICKS["a billion laughs"],
    YAML_TRICKS["an object to build"],
    YAML_TRICKS["fifty thousand lists deep"],
    WRONG_TYPES["an empty file"],
]


def written(row: Row, folder: Path) -> Path:
    path = folder / "malformed.yaml"
    path.write_bytes(row.text.encode())
    return path


@pytest.mark.parametrize("row", ROWS)
def test_refused_in_one_line_that_names_place_and_mend(row: Row, tmp_path: Path, refused: Refusal) -> None:
    line = refused(written(row, tmp_path))
    assert f"line {row.line}:" in line
    for word in row.words:
        assert word in line


@pytest.mark.parametrize("row", BY_PROCESS, ids=lambda row: row.text[:24])
def test_refused_by_a_process(row: Row, tmp_path: Path, refused_by_process: Refusal) -> None:
    line = refused_by_process(written(row, tmp_path))
    for word in row.words:
        assert word in line


def test_the_fault_of_a_foot_names_the_nearest_word_of_a_foot(tmp_path: Path, refused: Refusal) -> None:
    """The nearest word is one that may stand in that place: not `length_doubt`, which is the person's."""
    line = refused(written(Row("case: a\nmeasures: {left: {length_mm: 260}}\n", 2, ()), tmp_path))
    assert "'foot_length_mm'" in line or "'ball_length_mm'" in line
