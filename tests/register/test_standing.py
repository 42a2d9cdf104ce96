"""How long a sign-off lasts. Days are given, no clock is read."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from generator.model.workshop import Level, Workshop
from generator.register.book import Book
from generator.register.standing import Lasting, Standing, State, lasting_of, levels_of, standings, unfinished
from tests.register.make import Decide, days, grown, refreshes, runs, signs, withdraws

PLAIN = Workshop(name="Shed", levels=(Level(id="beside", name="Beside"), Level(id="solo", name="Alone")))


def standing(day: date, *steps: Decide, workshop: Workshop = PLAIN) -> Standing | None:
    """Ash's standing on wren on a day."""
    book = grown(*steps)
    held = [
        item for item in standings(book, workshop, day) if book.said(item.person) == "Ash" and item.machine == "wren"
    ]
    return held[0] if held else None


def state(day: date, *steps: Decide, workshop: Workshop = PLAIN) -> State | None:
    found = standing(day, *steps, workshop=workshop)
    return found.state if found else None


@pytest.mark.parametrize(("after", "wanted"), [(0, "fine"), (182, "fine"), (183, "refresher"), (364, "refresher"),
                                               (365, "practical"), (5000, "practical")])  # fmt: skip
def test_without_a_run_a_refresher_comes_after_183_days_and_the_whole_after_365(after: int, wanted: str) -> None:
    """183 days is near the 6.5 months after which half the gain in accuracy is gone (Tatel and Ackerman, Psychological
    Bulletin, 2025, abstract); beyond 365 the loss was largest (Arthur and others, 1998, abstract). Our proposal."""
    assert state(days(after), signs("Ash")) == wanted


def test_three_years_end_a_sign_off_however_much_it_was_used() -> None:
    """1,095 days is the stricter end of the HSE woodworking page's three to five years."""
    steps = [signs("Ash"), *(runs("Ash", days(at)) for at in range(100, 1095, 100))]
    assert state(days(1094), *steps) is State.FINE
    ended = standing(days(1095), *steps)
    assert ended is not None
    assert (ended.state, ended.since) == (State.PRACTICAL, days(1095))
    assert "used or not" in ended.why


def test_a_run_moves_the_refresher_away() -> None:
    """The days count from the last use, not from the sign-off."""
    assert state(days(300), signs("Ash"), runs("Ash", days(150))) is State.FINE
    assert state(days(150 + 183), signs("Ash"), runs("Ash", days(150))) is State.REFRESHER


def test_a_run_on_another_machine_or_by_another_person_counts_for_nothing() -> None:
    """A sign-off belongs to one person and one machine."""
    steps = [signs("Ash"), signs("Birch"), runs("Birch", days(150)), runs("Ash", days(150), machine="heron")]
    assert state(days(200), *steps) is State.REFRESHER


def test_a_run_does_not_bring_back_what_had_lapsed_before_it() -> None:
    """Whoever cut without the refresher still owes it; after a whole year without a run, the practical."""
    assert state(days(201), signs("Ash"), runs("Ash", days(200))) is State.REFRESHER
    assert state(days(401), signs("Ash"), runs("Ash", days(400))) is State.PRACTICAL
    assert state(days(366), signs("Ash"), runs("Ash", days(365))) is State.PRACTICAL
    owed = standing(days(201), signs("Ash"), runs("Ash", days(200)))
    assert owed is not None
    assert owed.since == days(183)
    twice = standing(days(400), signs("Ash"), runs("Ash", days(190)), runs("Ash", days(390)))
    assert twice is not None
    assert twice.since == days(183)


def test_a_refresher_clears_itself_and_not_the_practical() -> None:
    """A refresher in time puts the idle days back; one after a year without a run is not enough."""
    assert state(days(250), signs("Ash"), refreshes("Ash", days(240))) is State.FINE
    assert state(days(210), signs("Ash"), runs("Ash", days(200)), refreshes("Ash", days(205))) is State.FINE
    assert state(days(401), signs("Ash"), refreshes("Ash", days(400))) is State.PRACTICAL


def test_the_order_of_entry_does_not_matter_only_the_days_do() -> None:
    """A run written down late counts on its own day."""
    late = [signs("Ash"), runs("Ash", days(340)), runs("Ash", days(170))]
    assert state(days(341), *late) is State.FINE


def held(book: Book, day: date, machines: list[str] | None = None) -> list[tuple[str, str, str]]:
    """Person, level and state of every standing."""
    found = standings(book, PLAIN, day, machines)
    return [(book.said(item.person), item.level.id, item.state.value) for item in found]


def test_a_new_practical_replaces_an_old_one_that_has_lapsed() -> None:
    """After a lapse the latest complete sign-off on a machine alone says where someone stands."""
    book = grown(signs("Ash"), signs("Ash", level="beside", day=days(450)))
    assert held(book, days(500)) == [("Ash", "beside", "fine")]


def test_a_later_sign_off_at_another_level_leaves_an_earlier_one_that_holds_in_sight() -> None:
    """Both are told, the later one first, and the earlier one says that it was not ended; a withdrawal ends it."""
    book = grown(signs("Ash"), signs("Ash", level="beside", day=days(50)))
    assert held(book, days(60)) == [("Ash", "beside", "fine"), ("Ash", "solo", "fine")]
    last, earlier = standings(book, PLAIN, days(60))
    assert (last.later, earlier.later) == (None, 3)
    assert "the later sign-off at 'beside' (record 3) has not ended it" in earlier.why
    assert held(book.after(withdraws(2)(book)), days(60)) == [("Ash", "beside", "fine")]


def test_the_same_level_again_is_one_standing() -> None:
    """A practical repeated at its level takes the place of the first."""
    assert held(grown(signs("Ash"), signs("Ash", day=days(50))), days(60)) == [("Ash", "solo", "fine")]


def test_a_level_or_machine_the_workshop_does_not_have_any_more_is_not_valid() -> None:
    """What it was worth is not known any more, so it is worth nothing, however fresh, and both losses are named."""
    book = grown(signs("Ash", level="single"), signs("Birch", machine="old-wren"))
    assert [state for _, _, state in held(book, days(1), ["wren"])] == ["not-valid"] * 2
    level, machine = standings(book, PLAIN, days(1), ["wren"])
    assert "no level 'single' any more (it has beside, solo)" in level.why
    assert "no machine 'old-wren' any more" in machine.why
    assert level.since is None
    both = next(standings(grown(signs("Ash", machine="old-wren", level="single")), PLAIN, days(1), ["wren"]))
    assert "'old-wren'" in both.why
    assert "'single'" in both.why


STEPS: list[Decide] = [signs("Ash"), signs("Birch", by="second"), runs("Ash", days(9)), signs("Cedar", day=days(10)),
                       refreshes("Birch", days(20)), signs("Dogwood", day=days(30)), withdraws(5),
                       signs("Elm", day=days(40))]  # fmt: skip
WHOLE = grown(*STEPS)


@settings(deadline=None)
@given(st.integers(1, len(WHOLE.rows) - 1), st.sampled_from(["body", "digest", "before", "gone"]), st.data())
def test_a_broken_record_leaves_nothing_valid_that_it_could_have_said_or_withdrawn(
    at: int, part: str, data: st.DataObject
) -> None:
    """Whatever letter is changed or record taken out: sign-offs up to there are not valid, and no state gets better."""
    rows = list(WHOLE.rows)
    if part == "gone":
        assume(at < len(rows) - 1)  # that the end is cut off only a head on paper shows
        del rows[at]
    else:
        text = getattr(rows[at], part)
        place = data.draw(st.integers(0, len(text) - 1))
        other = data.draw(st.characters(codec="ascii").filter(lambda sign: sign != text[place]))
        rows[at] = replace(rows[at], **{part: text[:place] + other + text[place + 1 :]})
    fine = {number for number in range(2, len(WHOLE.rows) + 1) if number > at + 1}
    for day in (days(41), days(200), days(400)):
        before = {item.number: item.state for item in standings(WHOLE, PLAIN, day)}
        for item in standings(Book(rows, WHOLE.people, WHOLE.contents), PLAIN, day):
            if item.number not in fine or item.number not in before:
                assert item.state is State.NOT_VALID
            else:
                assert item.state in (before[item.number], State.NOT_VALID)


def test_a_sign_off_after_a_broken_record_counts() -> None:
    """A workshop goes on from the break: who signs anew is valid again, even on the same day as before."""
    rows = [*WHOLE.rows]
    rows[3] = replace(rows[3], body=rows[3].body.replace("wren", "crow"))
    broken = Book(rows, WHOLE.people, WHOLE.contents)
    assert ("Birch", "solo", "not-valid") in held(broken, days(41))
    anew = broken.after(signs("Birch", by="second")(broken))
    assert ("Birch", "solo", "fine") in held(anew, days(41))


def test_a_name_that_was_changed_or_lost_is_no_holder() -> None:
    """Neither the new name nor the old one may go on by the record, and who was signed by a changed name neither."""
    ash, second = (next(who for who in WHOLE.people.values() if who.name == name) for name in ("Ash", "second"))
    for who in (replace(ash, name="M-666"), replace(ash, name=None, salt=None)):
        book = Book(WHOLE.rows, {**WHOLE.people, ash.token: who}, WHOLE.contents)
        states = {name: state for name, _, state in held(book, days(41))}
        assert not {"Ash", "M-666"} & set(states)
        assert [state for name, state in states.items() if name.startswith("(name ")] == ["not-valid"]
    book = Book(WHOLE.rows, {**WHOLE.people, second.token: replace(second, name="third")}, WHOLE.contents)
    assert {name for name, _, state in held(book, days(41)) if state == "not-valid"} == {"Birch"}


def test_a_part_of_the_practical_gives_no_standing_and_takes_none_away() -> None:
    """With an act missing there is no sign-off; an earlier whole one stays as it is."""
    part = signs("Ash", level="solo", day=days(20), passed=("p01", "p03"))
    assert standing(days(30), part) is None
    found = standing(days(30), signs("Ash", level="beside"), part)
    assert found is not None
    assert found.level.id == "beside"


def test_what_is_unfinished_is_named_until_it_is_settled() -> None:
    """A part stays on the list until a later whole practical on the same machine."""
    part = signs("Ash", passed=("p01",))
    assert [entry.missing for _, entry in unfinished(grown(part))] == [("p02", "p03")]
    assert not list(unfinished(grown(part, signs("Ash", day=days(7)))))
    assert list(unfinished(grown(part, signs("Ash", machine="heron", day=days(7)))))


def test_a_withdrawn_record_does_not_count() -> None:
    """After an incident a sign-off is taken out of the count; an earlier one then counts again, and has to be named."""
    assert standing(days(5), signs("Ash"), signs("Ash", day=days(4)), withdraws(3)) is not None
    assert standing(days(5), signs("Ash"), withdraws(2)) is None
    assert state(days(200), signs("Ash"), runs("Ash", days(150)), withdraws(3)) is State.REFRESHER


def test_nothing_after_the_day_asked_for_is_counted() -> None:
    """Asked for a day in the past, the answer is that of the day."""
    assert standing(days(-1), signs("Ash")) is None
    assert state(days(190), signs("Ash"), runs("Ash", days(191))) is State.REFRESHER


@settings(deadline=None)
@given(
    st.lists(st.tuples(st.sampled_from(["run", "refresher"]), st.integers(0, 1200)), max_size=8), st.integers(0, 1300)
)
def test_more_use_never_makes_things_worse_and_time_alone_never_better(
    events: list[tuple[str, int]], after: int
) -> None:
    """Whatever the record, waiting a day longer does not improve a standing."""
    steps: list[Decide] = [signs("Ash")]
    steps += [(runs if kind == "run" else refreshes)("Ash", days(at)) for kind, at in events]
    gravity = [State.FINE, State.REFRESHER, State.PRACTICAL]
    quiet = all(at <= after for _, at in events)
    now, later = state(days(after), *steps), state(days(after + 1), *steps)
    assert now is not None
    assert later is not None
    if quiet:
        assert gravity.index(later) >= gravity.index(now)
    refreshed = state(days(after), *steps, refreshes("Ash", days(after)))
    assert refreshed is not None
    assert gravity.index(refreshed) <= gravity.index(now)


def test_the_due_day_is_the_first_day_that_is_due() -> None:
    """On the day named it is due, the day before it is not."""
    found = standing(days(10), signs("Ash"))
    assert found is not None
    assert found.since == days(183)
    assert state(days(183), signs("Ash")) is State.REFRESHER


def level(**given: object) -> Lasting:
    texts = {key: f"{value} days" for key, value in given.items()}
    made = Level.model_validate({"id": "solo", "name": "Alone", **texts})
    return lasting_of(Workshop(name="Shed", levels=(made,)), "solo")


@pytest.mark.parametrize(("given", "wanted"), [
    ({}, (183, 365, 1095)),
    ({"idle": 90, "full": 183, "cap": 365}, (90, 183, 365)),
    ({"cap": 100}, (100, 100, 100)),
    ({"full": 120}, (120, 120, 1095)),
    ({"idle": 400}, (400, 400, 1095)),
    ({"idle": 2000}, (2000, 2000, 2000)),
    ({"idle": 30, "cap": 200}, (30, 200, 200)),
])  # fmt: skip
def test_a_workshop_s_own_days_come_first_and_ours_fill_in(given: dict[str, int], wanted: tuple[int, int, int]) -> None:
    """A step the workshop leaves out takes our days, never longer than a longer step it gives."""
    found = level(**given)
    assert (found.idle, found.full, found.cap) == wanted


def test_a_level_that_is_gone_from_the_workshop_lasts_no_day() -> None:
    """Our days are for levels the workshop has; without any there is one of ours."""
    found = lasting_of(PLAIN, "old-level")
    assert (found.idle, found.full, found.cap) == (0, 0, 0)
    bare = Workshop(name="Shed")
    assert levels_of(bare) == {"signed-off": "Signed off"}
    assert lasting_of(bare, "signed-off") == Lasting("signed-off", "Signed off", 183, 365, 1095)


def test_the_workshop_s_days_are_used() -> None:
    """A workshop with 90 days asks after 90 days."""
    made = Level.model_validate(
        {"id": "solo", "name": "Alone", "idle": "90 days", "full": "183 days", "cap": "365 days"}
    )
    shop = Workshop(name="Shed", levels=(made,))
    assert state(days(89), signs("Ash"), workshop=shop) is State.FINE
    assert state(days(90), signs("Ash"), workshop=shop) is State.REFRESHER


def test_an_empty_book_has_no_standings() -> None:
    """Nothing in, nothing out."""
    assert not list(standings(Book(), PLAIN, days(0)))
