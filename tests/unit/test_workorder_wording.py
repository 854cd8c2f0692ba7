"""Words and figures on paper: true minus signs, nothing hidden, nothing said over and over."""

import json
import unicodedata

import pytest
import typst
from hypothesis import given
from hypothesis import strategies as st

from limbwright.core.findings import Finding, Severity
from limbwright.core.sources import Confidence, Origin, Source
from limbwright.core.wording import signed
from limbwright.make.workorder.typeset import Column, compiled, page_settings, shown, table
from limbwright.make.workorder.wording import (
    _DRAWN,
    SourceList,
    finding_text,
    number,
    printable,
    quarter_turns,
    remedy_text,
    said_once,
    short,
    unit_word,
    with_minus,
)
from order_sheets import undrawn_glyphs

NASTY = '#[ ] $x$ "q" \\ /* */ // @a <b> `c` *d* _e_ ~ = - + { } #include "x" #panic()'


@pytest.mark.parametrize(
    ("value", "digits", "text"),
    [(-3.25, 1, "−3.2"), (-0.04, 1, "0.0"), (None, 1, "–"), (12.0, 0, "12"), (0.0, 2, "0.00")],
)
def test_numbers_bear_a_true_minus_and_nothing_is_never_negative(value, digits, text):
    assert number(value, digits) == text


@pytest.mark.parametrize(
    ("value", "text"),
    [(11672.3, "11672"), (24.61, "24.6"), (0.2219, "0.22"), (4.0, "4"), (100.0, "100"), (0.0, "0")],
)
def test_short_numbers_keep_about_three_figures(value, text):
    assert short(value) == text


@pytest.mark.parametrize(
    ("value", "digits", "text"),
    [(4.6, 0, "+5"), (-8.68, 1, "−8.7"), (-0.3, 0, "0"), (0.04, 1, "0.0")],
)
def test_a_change_has_a_true_sign_and_what_rounds_to_nothing_has_none(value, digits, text):
    assert signed(value, digits) == text


@pytest.mark.parametrize(("unit", "sign"), [("degC", "°C"), ("deg", "°"), ("mm", "mm")])
def test_units_are_signs_and_no_keys(unit, sign):
    assert unit_word(unit) == sign


@pytest.mark.parametrize(
    ("turns", "text"),
    [
        (0.25, "1/4 turn"),
        (1.0, "1 turn"),
        (-1.25, "1 1/4 turns"),
        (0.0, "0 turns"),
        (2.5, "2 1/2 turns"),
    ],
)
def test_turns_are_told_in_quarters(turns, text):
    assert quarter_turns(turns) == text


def test_only_hyphens_that_mean_minus_become_a_minus():
    said = "stands at -3.2 degrees (-1 mm), K2 0.4-0.7, P-5, re-made"
    assert with_minus(said) == "stands at −3.2 degrees (−1 mm), K2 0.4-0.7, P-5, re-made"


def test_signs_that_no_font_draws_are_named_and_signs_that_steer_text_are_dropped():
    assert printable("Žofie Ω ж") == "Žofie Ω ж"
    assert printable("漢") == "[U+6F22]"
    assert printable("a\u202eb\u200bc\x00d\ne") == "abcd e"
    # A letter and its accent apart are drawn as the one letter that they are.
    assert printable("e\u0301") == "é"


@given(st.text(max_size=60))
def test_printable_text_holds_nothing_unseen(text):
    assert all(unicodedata.category(char) not in ("Cc", "Cf") for char in printable(text))


@given(st.lists(st.text(max_size=40), min_size=20, max_size=20))
def test_the_typesetter_reads_any_text_as_it_is(texts):
    """Its own reading of our source gives the text back: nothing is run, nothing is lost."""
    texts = [*texts, NASTY, "*/ #[", '"', "\\"]
    items = ", ".join(f'([{shown(text)}]).at("text", default: "")' for text in texts)
    assert json.loads(typst.eval(b"", f"({items},)")) == [printable(text) for text in texts]


def test_hostile_text_is_typeset_everywhere_it_may_stand():
    source = page_settings(NASTY, [NASTY, NASTY], NASTY) + table(
        [Column(NASTY), Column("n", numeric=True)], [[NASTY, "1"], ["*/", "#"]]
    )
    assert compiled(source, {}).startswith(b"%PDF")


def test_every_sign_that_counts_as_drawn_has_a_glyph():
    signs = [chr(code) for low, high in _DRAWN for code in range(low, high + 1)]
    text = " ".join(sign for sign in signs if printable(sign) == sign)
    regular, bold = shown(text), f"#strong[{shown(text)}]"
    settings = page_settings("t", ["s"], "c")
    assert undrawn_glyphs(compiled(f"{settings}{regular}\n\n{bold}", {})) == 0


def test_a_missing_glyph_would_be_noticed():
    assert undrawn_glyphs(compiled('#"\u6f22";', {})) == 1


def test_sentences_that_many_say_are_said_once():
    texts = [f"Place {n}. Not a conformity test." for n in range(3)] + ["Alone. Only here."]
    marked, marks = said_once(texts)
    assert marked == ["Place 0. [a]", "Place 1. [a]", "Place 2. [a]", "Alone. Only here."]
    assert marks == {"[a]": "Not a conformity test."}


def test_a_place_is_named_unless_the_sentence_names_it():
    def said(text, where):
        return finding_text(Finding("prove", "x", Severity.NOTE, text, where=where))

    assert said("Holds -2 N.", "distal_plate") == "Distal plate: Holds −2 N."
    assert said("The fibular head bears.", "fibular_head") == "The fibular head bears."


def test_each_source_has_one_number():
    first, second = (
        Source(Origin.PUBLISHED, text, Confidence.HIGH) for text in ("One 2001", "Two 2002")
    )
    sources = SourceList()
    assert [sources.mark(s) for s in (first, second, first, None)] == ["[1]", "[2]", "[1]", "–"]
    assert sources.texts == ("One 2001", "Two 2002")


def test_what_would_change_a_finding_is_said_only_where_something_is_known_to():
    told = Finding("prove", "plate", Severity.WARNING, "Weak.", remedy="a plate of -1 mm more")
    assert remedy_text(told) == "Would change it: a plate of −1 mm more."
    assert remedy_text(Finding("prove", "plate", Severity.NOTE, "Weak.")) == ""
