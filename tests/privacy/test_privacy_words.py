"""Names are found however they are written, and only where they are meant.

The names are invented, and odd on purpose: apostrophes, signs of XML, accents, other scripts, parts of longer names.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pailbook.workbook.privacy.words import Words, folded, plain


@pytest.mark.parametrize(("name", "text"), [
    ("Quillon's Court", "seen at QUILLON’S COURT today"),
    ("Quillon's Court", "Quillons Court"),
    ("Quillon's Court", "quillon_s_court_share"),
    ("Varrowby Hill School", "VarrowbyHillSchool.xlsx"),
    ("Varrowby Hill School", "the Varrowby  Hill\nSchools' tank"),
    ("Bär & Söhne", "bar und Baer, nein: BÄR&SÖHNE!"),
    ("Bär & Söhne", "Ba\u0308r & So\u0308hne"),
    ("Café Zoé", "cafe zoe"),
    ("<Weir>", "at the weir"),
    ('The "Reed" Farm', "the reed farm"),
    ("Straße 5 Teich", "STRASSE 5 TEICH"),
    ("Тихая Заводь", "у ТИХОЙ и ТИХАЯ ЗАВОДЬ"),
    ("静水農園", "昨日静水農園の池を見た"),
    ("静池", "静池の水"),
    ("מים שקטים", "בית מים שקטים"),
    ("Ana", "ask Ana, not Bob"),
    ("Bay 1", "from bay 1 to bay 10"),
    ("  Padded  ", "padded"),
])
def test_found(name: str, text: str) -> None:
    assert Words([name], []).found(text)


@pytest.mark.parametrize(("name", "text"), [
    ("Ana", "a banana"),
    ("Bay 1", "bay 10 and bay 11"),
    ("System 1", "System 10, system 12"),
    ("Weir", "weird"),
    ("T2", "T2"),
    ("池", "池"),
    ("---", "---"),
    ("Court wall", "court and wall"),
])
def test_not_found(name: str, text: str) -> None:
    assert not Words([name], []).found(text)


def test_another_name_within_the_clients_own_is_not_looked_for_there() -> None:
    words = Words(["Pond house", "Hill"], ["Pond house B", "Varrowby Hill School"])
    assert not words.found("Pond house B at Varrowby Hill School")
    assert words.found("from Pond house to Pond house B")
    assert words.found("Varrowby Hill School and Hill")
    assert not words.passed_over


def test_the_clients_own_name_within_anothers_does_not_hide_it() -> None:
    assert Words(["Varrowby Hill School Annex"], ["Varrowby Hill School"]).found("varrowby hill school annex")
    assert not Words(["Varrowby Hill School Annex"], ["Varrowby Hill School"]).found("varrowby hill school")


def test_what_may_be_there_by_chance_is_passed_over_and_listed() -> None:
    words = Words(["T2", "Fish", "Pond", "Marsh"], ["pond"], lambda: "Fish on hand; the pH")
    assert not words.found("fish, T2, pond")
    assert words.found("the marsh")
    assert words.passed_over == {"T2", "Fish", "Pond"}


def test_phrases_of_others_unless_the_client_has_them_too() -> None:
    words = Words(["Marsh"], [], lambda: "pump cleaned in spring")
    words.add_phrases(["a worn seal again", "short", "new pump fitted", "pump cleaned"], ["the new pump, fitted."])
    assert words.found("It was: A worn seal; again")
    assert not words.named("a worn seal again")
    assert not words.found("short, new pump fitted, pump cleaned")


def test_parts_of_names_are_hints() -> None:
    words = Words(["Varrowby Hill School", "Marsh Court"], ["Hill School"], lambda: "court")
    assert words.hinted("Mr. Varrowby called")
    assert not words.hinted("the hill school, the court, varrowbush")


@pytest.mark.parametrize(("one", "other"), [
    ("Quillon's  Court ", "quillon’s court"), ("STRASSE", "straße"), ("ﬁsh farm", "Fish Farm"), (3.0, "3"),
    (None, "  "),
])
def test_names_that_are_the_same(one: object, other: object) -> None:
    assert folded(one) == folded(other)


@given(st.text(min_size=8, max_size=20), st.text(max_size=10), st.text(max_size=10))
def test_a_long_name_is_found_in_any_text_that_has_it(name: str, before: str, after: str) -> None:
    words = Words([name], [])
    if name not in words.passed_over and plain(name):
        assert words.found(f"{before} {name} {after}")
        assert words.found(f"{before} {name.upper().lower()} {after}")
