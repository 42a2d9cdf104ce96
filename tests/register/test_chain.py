"""The chain of records: what it shows when a register was changed behind its back."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from generator.course_parts import Part
from generator.errors import OnionskinError
from generator.register.book import Book
from generator.register.chain import Row, breaks, head_fault, head_of, next_row, read_head
from generator.register.changes import changes, parts_of
from generator.register.entries import body_of, entry_of
from generator.register.people import Person, token_of
from generator.register.verify import compared, findings
from tests.register.make import THEN, days, forgets, grown, refreshes, runs, signs, withdraws

BOOK = grown(
    signs("Ash"), runs("Ash", days(3)), signs("Birch"), refreshes("Ash", days(9)), withdraws(3), forgets("Birch")
)
NUMBERS = st.integers(0, len(BOOK.rows) - 1)


def ids(book: Book) -> list[str]:
    return [finding.id for finding in findings(book)]


def first_break(rows: list[Row]) -> tuple[int, str] | None:
    return next(breaks(rows), None)


def with_rows(rows: list[Row]) -> Book:
    return Book(rows, BOOK.people, BOOK.contents)


def rechained(rows: list[Row]) -> list[Row]:
    """All digests made anew, as someone would who knows how."""
    made: list[Row] = []
    for row in rows:
        made.append(next_row(made, row.body))
    return made


def test_a_register_that_nobody_touched_is_whole() -> None:
    """Every kind of record chains, reads back as itself and gives no finding."""
    assert findings(BOOK) == ()
    assert {type(entry).__name__ for entry in BOOK.entries.values()} == {
        "Begin", "SignOff", "Use", "Refresher", "Withdrawal", "Forgetting"}  # fmt: skip
    assert all(body_of(entry) == row.body for row, entry in zip(BOOK.rows, BOOK.entries.values(), strict=True))


@settings(deadline=None)
@given(NUMBERS, st.data())
def test_any_changed_letter_of_any_record_is_found_at_that_record_or_the_next(at: int, data: st.DataObject) -> None:
    """One letter of a text or digest changed, and the first broken record is named."""
    row = BOOK.rows[at]
    part = data.draw(st.sampled_from(["body", "digest", "before"]))
    text = getattr(row, part)
    place = data.draw(st.integers(0, len(text) - 1))
    other = data.draw(st.characters(codec="ascii").filter(lambda sign: sign != text[place]))
    rows = list(BOOK.rows)
    rows[at] = replace(row, **{part: text[:place] + other + text[place + 1 :]})
    broken = first_break(rows)
    assert broken is not None
    assert broken[0] == at + 1
    assert ids(with_rows(rows))[0] == "record-broken"


@settings(deadline=None)
@given(st.integers(0, len(BOOK.rows) - 2))
def test_a_record_taken_out_of_the_middle_is_missed(at: int) -> None:
    """The numbers and the chain both show the gap."""
    rows = [row for place, row in enumerate(BOOK.rows) if place != at]
    broken = first_break(rows)
    assert broken is not None
    assert broken[0] == at + 1
    renumbered = [replace(row, number=place) for place, row in enumerate(rows, 1)]
    assert first_break(renumbered) is not None


@settings(deadline=None)
@given(st.permutations(range(len(BOOK.rows))).filter(lambda order: list(order) != sorted(order)))
def test_records_in_another_order_are_found(order: list[int]) -> None:
    """Swapped records do not chain, whether they keep their numbers or get new ones."""
    rows = [replace(BOOK.rows[old], number=new) for new, old in enumerate(order, 1)]
    assert first_break(rows) is not None


@settings(deadline=None)
@given(st.integers(1, len(BOOK.rows)))
def test_only_a_head_kept_elsewhere_shows_a_tail_cut_off(cut: int) -> None:
    """The shorter chain is whole in itself, and every head printed before the cut still fits; a later one does not."""
    shorter = list(BOOK.rows[:-cut])
    assert first_break(shorter) is None
    later = head_fault(shorter, head_of(BOOK.rows))
    assert later is not None
    assert "cut off" in later
    assert head_fault(BOOK.rows, head_of(shorter)) is None


@settings(deadline=None)
@given(NUMBERS)
def test_only_a_head_kept_elsewhere_shows_a_chain_made_anew(at: int) -> None:
    """Someone who changes a record and makes all digests after it anew is found by any head from there on."""
    rows = list(BOOK.rows)
    rows[at] = replace(rows[at], body=rows[at].body.replace("2026", "2025"))
    forged = rechained(rows)
    assert first_break(forged) is None
    for count in range(at + 1, len(rows) + 1):
        assert head_fault(forged, head_of(BOOK.rows[:count])) is not None


def test_a_head_reads_back_as_people_copy_it() -> None:
    """Capitals, spaces and missing hyphens do not matter; the count and 16 digits do."""
    head = head_of(BOOK.rows)
    for text in (str(head), str(head).upper(), str(head).replace("-", ""), f" {str(head).replace('-', ' - ')} "):
        assert head_fault(BOOK.rows, read_head(text)) is None
    for text in (
        "",
        "7",
        "7:",
        "7:12",
        ":0123456789abcdef",
        "x:0123456789abcdef",
        "7:0123456789abcdeg",
        f"{'9' * 5000}:0123456789abcdef",
    ):
        with pytest.raises(OnionskinError, match="is not a head"):
            read_head(text)


def test_a_head_of_another_register_does_not_fit() -> None:
    """Two registers with the same people and days have different heads, since each begins with its own number."""
    other = grown(signs("Ash"), runs("Ash", days(3)))
    assert head_fault(BOOK.rows, head_of(other.rows)) is not None


def test_text_that_no_command_writes_is_found_though_it_chains() -> None:
    """A record of unknown kind, a second beginning and a withdrawal of what is not there yet are named."""
    forged = [*BOOK.rows, next_row(BOOK.rows, '{"kind":"gift"}')]
    assert ids(with_rows(forged)) == ["record-unreadable"]
    assert ids(with_rows([*BOOK.rows, next_row(BOOK.rows, BOOK.rows[0].body)])) == ["record-misplaced"]
    withdrawal = BOOK.rows[5].body.replace('"number":3', '"number":99')
    assert ids(with_rows([*BOOK.rows, next_row(BOOK.rows, withdrawal)])) == ["record-misplaced"]


def test_an_emptied_register_is_not_whole() -> None:
    """A file without records is a finding, not a fine answer."""
    assert ids(Book()) == ["register-empty"]


def test_what_lies_in_a_cell_as_something_else_than_text_is_a_break() -> None:
    """SQLite keeps any type in any column; the check does not fall over it."""
    odd = replace(BOOK.rows[1], body=b"\xff")  # type: ignore[arg-type]
    assert first_break([BOOK.rows[0], odd]) == (2, "is broken: it holds something that is not text")


def test_a_changed_removed_or_returned_name_is_found() -> None:
    """Names lie apart from the chain, and it still tells when one is not what it was."""
    ash = next(person for person in BOOK.people.values() if person.name == "Ash")
    birch = next(token for token, person in BOOK.people.items() if person.name is None)

    def with_person(person: Person) -> Book:
        return Book(BOOK.rows, {**BOOK.people, person.token: person}, BOOK.contents)

    assert ids(with_person(replace(ash, name="Oak"))) == ["name-changed"]
    assert ids(with_person(replace(ash, name=None, salt=None))) == ["name-removed"]
    assert ids(with_person(Person(birch, "1", "Birch"))) == ["name-changed"]
    without = {token: person for token, person in BOOK.people.items() if token != ash.token}
    assert ids(Book(BOOK.rows, without, BOOK.contents)) == ["name-removed"]


def test_a_name_that_belongs_to_no_record_is_found() -> None:
    """A row put in by hand, or parted from its record by another id, which then lacks its name."""
    stray = Person(token_of("1", "Oak"), "1", "Oak")
    assert ids(Book(BOOK.rows, {**BOOK.people, stray.token: stray}, BOOK.contents)) == ["name-stray"]
    ash = next(person for person in BOOK.people.values() if person.name == "Ash")
    moved = {token: person for token, person in BOOK.people.items() if token != ash.token} | {"x": ash}
    assert ids(Book(BOOK.rows, moved, BOOK.contents)) == ["name-removed", "name-stray"]


def test_only_a_name_that_opens_its_token_is_ever_shown() -> None:
    """A changed name, a lost one, and one that was to be forgotten are told apart, and none of them is somebody."""
    ash = next(person for person in BOOK.people.values() if person.name == "Ash")
    for people, says in (({**BOOK.people, ash.token: replace(ash, name="Oak")}, "(name changed"),
                         ({}, "(name lost")):  # fmt: skip
        book = Book(BOOK.rows, people, BOOK.contents)
        assert book.said(ash.token) == f"{says} {ash.token[:8]})"
        assert not {"Ash", "Oak"} & {person.name for person in book.named.values()}
    back = grown(signs("Birch"))
    again = Book(back.after(forgets("Birch")(back)).rows, back.people, back.contents)
    assert [again.said(entry.person) for _, entry in again.sign_offs()][0].startswith("(forgotten ")


def test_every_break_is_named_not_only_the_first() -> None:
    """Two changed records and a missing one are three findings at their numbers."""
    rows = [replace(row, body=row.body + " ") if row.number in (2, 5) else row for row in BOOK.rows if row.number != 3]
    said = {finding.line: finding.says for finding in findings(with_rows(rows))}
    assert "text was changed" in said[2]
    assert "Record 3 is missing: the next one there is has number 4" in said[3]
    assert "does not follow" in said[4]
    assert "text was changed" in said[5]


def test_contents_that_are_no_contents_text_tell_no_changes() -> None:
    """A text put in by hand breaks no page; that it is wrong is a finding already."""
    for text in ("x", "[]", "null", '{"a":1}', '{"a":["b"]}', ""):
        assert parts_of(text) == {}
    assert changes({}, {"lesson:chip-load": Part("Chip load", "aaaaaaaaaaaa")}, "wren") == ()


def test_a_name_put_back_after_it_was_forgotten_is_found() -> None:
    """An older copy of the names laid over a newer register shows."""
    before = grown(signs("Birch"))
    after = Book([*before.rows], before.people, before.contents)
    addition = forgets("Birch")(after)
    rows = [*after.rows, next_row(after.rows, body_of(addition.entry))]
    assert ids(Book(rows, before.people, before.contents)) == ["name-back"]


def test_changed_contents_of_the_course_are_found() -> None:
    """What someone was taught cannot be rewritten afterwards."""
    assert ids(Book(BOOK.rows, BOOK.people, {THEN.digest: THEN.contents + " "})) == ["contents-changed"]
    assert ids(Book(BOOK.rows, BOOK.people, {})) == ["contents-changed"]


def test_two_copies_are_compared_record_by_record() -> None:
    """Copies that went different ways share a beginning and tell how long it is."""
    rows = list(BOOK.rows)
    mine, theirs = [*rows, next_row(rows, rows[2].body)], [*rows, next_row(rows, rows[1].body)]
    assert compared(rows, rows) == (7, 0, 0)
    assert compared(rows, rows[:4]) == (4, 3, 0)
    assert compared(mine, theirs) == (7, 1, 1)


@settings(deadline=None)
@given(st.text(max_size=300) | st.binary(max_size=30) | st.none() | st.integers())
def test_no_text_makes_the_reading_of_a_record_fall_over(body: object) -> None:
    """Whatever lies in a record is an entry or none."""
    assert entry_of(body) is None


def test_a_token_says_nothing_about_a_name() -> None:
    """The same name with another salt has another token, and the record holds neither name nor salt."""
    assert token_of("1", "Ash") != token_of("2", "Ash")
    text = "".join(row.body for row in BOOK.rows)
    assert "Ash" not in text
    assert all(str(person.salt) not in text for person in BOOK.people.values() if person.salt)
