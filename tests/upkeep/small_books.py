"""A small book as files, and edits of it: for what merges books."""

from __future__ import annotations

from toeroom.upkeep.merging import Files

FIT = """# Words of the owner above the file.
topic: Fit
defaults:
  about: foot
  stage: advise
  author: toeroom
  reviewed: 2026-11-25
  review_by: 2027-11-25
rules:
  # --- width ------------------------------------------------------------
  - id: bunion-width
    title: A bunion gets width
    when: [bunion]
    then: {advise: [extra_width]}
    source: [common-practice]
    pages: [bunion]
    examples:
      fires: {left: {bunion: yes}}
      silent: {left: {bunion: no}}

  - id: bump-stretch
    title: A bump gets a stretch
    when:
      - any of: [bunion, tailors_bunion]
      - shoe_narrow   # said by the fitter
    then: {advise: [spot_stretch]}
    source: [common-practice]
    pages: [bunion]
    examples:
      fires: {left: {bunion: yes, shoe_narrow: yes}}
      silent: {left: {bunion: yes}}
"""
SOCKS = """topic: Socks
defaults:
  about: foot
  stage: advise
  step: 2
  source: [from-memory]
  author: toeroom
  reviewed: 2026-11-25
  review_by: 2027-11-25
rules:
  - id: damp-socks
    title: Damp feet get socks that wick
    when: [damp_feet]
    then: {advise: [wicking_socks]}
    pages: [choosing-socks]
    examples:
      fires: {left: {damp_feet: yes}}
      silent: {left: {damp_feet: no}}
"""
PAGE = """---
id: bunion
title: "Bunion: width"
shelf: feet
words: [hallux valgus]
findings: [bunion]
items: [extra_width]
sources:
  - {key: common-practice, at: "all", grade: common practice}
author: toeroom
reviewed: 2026-11-25
review_by: 2027-11-25
status: active
---
The first line says it in short.

## What you see

A bump at the big toe.

## What to do

Width, and a yielding upper.
"""
SOURCES = """sources:
  common-practice:
    title: "Common practice"
    kind: trade

  from-memory:
    title: "From memory"
    kind: text
"""
VOCABULARY = """findings:
  bunion:
    label: Bunion
  tailors_bunion:
    label: Tailor's bunion
measures:
  foot_mm:
    label: Foot length
"""
BOOK: Files = {
    "rules/fit.yaml": FIT.encode(),
    "rules/socks.yaml": SOCKS.encode(),
    "rules/vocabulary.yaml": VOCABULARY.encode(),
    "kb/sources.yaml": SOURCES.encode(),
    "kb/feet/bunion.md": PAGE.encode(),
    "cases_demo/one.yaml": b"case: one\nleft: {bunion: yes}\n",
}


def edited(book: Files, file: str, old: str, new: str) -> Files:
    """The book with `old`, which must be there, become `new` in a file."""
    text = book[file].decode()
    assert old in text, (file, old)
    return {**book, file: text.replace(old, new, 1).encode()}


def rule_text(rule_id: str, more: str = "") -> str:
    """A rule of one's own, as it is appended to a file."""
    return f"""
  - id: {rule_id}
    title: A rule called {rule_id}
    when: [bunion]
    then: {{advise: [deep_toe_box]}}
    source: [common-practice]
    pages: [bunion]
{more}    examples:
      fires: {{left: {{bunion: yes}}}}
      silent: {{left: {{bunion: no}}}}
"""
