"""What each command adds to the register as it finds it, or why it refuses."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct

from generator.errors import OnionskinError, near
from generator.register.book import Addition, Book
from generator.register.changes import contents_digest
from generator.register.entries import Begin, Forgetting, Refresher, SignOff, SlipTaken, Use, Withdrawal
from generator.register.people import Person, find, person_of
from generator.register.slip import Slip
from generator.register.verify import doubts


class Stamp(Struct, frozen=True, kw_only=True):
    """When something is written down, and two random salts for people named for the first time."""

    day: datetime.date
    entered: str
    salts: tuple[str, str]

    @property
    def date(self) -> str:
        """The day as entries hold it."""
        return self.day.isoformat()


class CourseThen(Struct, frozen=True, kw_only=True):
    """The course at the time: its revision, and the text of what it was made of."""

    revision: str
    contents: str

    @property
    def digest(self) -> str:
        """The digest of the contents."""
        return contents_digest(self.contents)

    @property
    def kept(self) -> Mapping[str, str]:
        """The contents as they go into the register."""
        return {self.digest: self.contents}


def begin(workshop: str, register_id: str, stamp: Stamp) -> Addition:
    """The first record of a new register."""
    return Addition(entry=Begin(register_id=register_id, workshop=workshop, date=stamp.date, entered=stamp.entered))


def sign_off(book: Book, person: str, signed_by: str, machine: str, level: str, asked: Sequence[str],
             passed: Sequence[str], course: CourseThen, stamp: Stamp) -> Addition:  # fmt: skip
    """The practical, whole or in part. Raises OnionskinError for a second record of the same, or one's own."""
    learner, signer = _two(book, person, signed_by, stamp)
    entry = SignOff(person=learner.token, signed_by=signer.token, machine=machine, level=level, asked=tuple(asked),
                    passed=tuple(act for act in asked if act in passed), course=course.revision,
                    contents=course.digest, date=stamp.date, entered=stamp.entered)  # fmt: skip
    same, doubted = entry.model_dump(exclude={"entered", "course", "contents"}), doubts(book)
    for number, other in book.sign_offs():
        if number not in doubted and other.model_dump(exclude={"entered", "course", "contents"}) == same:
            raise OnionskinError(f"record {number} already says exactly this; nothing was written")
    return Addition(entry=entry, people=(learner, signer), contents=course.kept)


def refresher(book: Book, person: str, signed_by: str, machine: str, course: CourseThen, stamp: Stamp) -> Addition:
    """A short refresher. Raises OnionskinError where there is no sign-off on this machine to refresh."""
    learner, signer = _two(book, person, signed_by, stamp)
    own = [entry for _, entry in book.sign_offs() if entry.person == learner.token and entry.machine == machine]
    if all(entry.missing for entry in own):
        raise OnionskinError(f"there is no sign-off on '{machine}' to refresh; record the practical first")
    entry = Refresher(person=learner.token, signed_by=signer.token, machine=machine, course=course.revision,
                      contents=course.digest, date=stamp.date, entered=stamp.entered)  # fmt: skip
    return Addition(entry=entry, people=(signer,), contents=course.kept)


def use(book: Book, person: str, machine: str, stamp: Stamp) -> Addition:
    """A run of the machine by someone the register knows."""
    return Addition(
        entry=Use(person=known(book.named, person).token, machine=machine, date=stamp.date, entered=stamp.entered)
    )


def slip(book: Book, person: str, taken: Slip, stamp: Stamp) -> Addition:
    """A learner's results. Raises OnionskinError where this person's record holds this slip already."""
    learner, doubted = person_of(book.named, person, stamp.salts[0]), doubts(book)
    for number, other in holding(book, taken.digest):
        if other.person == learner.token and number not in doubted:
            raise OnionskinError(f"record {number} already holds this slip; nothing was written")
    entry = SlipTaken(person=learner.token, slip=taken.digest, course=taken.course, results=taken.results,
                      drills=taken.drills, date=taken.made, entered=stamp.entered)  # fmt: skip
    return Addition(entry=entry, people=(learner,))


def holding(book: Book, digest: str) -> Iterator[tuple[int, SlipTaken]]:
    """Records of the slip with this digest, whosever; a slip holds no name that its digest would cover."""
    for number, entry in book.counting():
        if isinstance(entry, SlipTaken) and entry.slip == digest:
            yield number, entry


def withdraw(book: Book, number: int, signed_by: str, reason: str, stamp: Stamp) -> Addition:
    """Takes a record out of the count. Raises OnionskinError where there is none to take out."""
    entry = book.entries.get(number)
    if entry is None:
        raise OnionskinError(f"there is no record {number}")
    if not isinstance(entry, SignOff | Refresher | Use | SlipTaken):
        raise OnionskinError(f"record {number} is a {entry.kind}; that cannot be withdrawn")
    if number in book.withdrawn:
        raise OnionskinError(f"record {number} is withdrawn already")
    signer = person_of(book.named, signed_by, stamp.salts[0])
    taken = Withdrawal(
        number=number, reason=_reason(reason, ()), signed_by=signer.token, date=stamp.date, entered=stamp.entered
    )
    return Addition(entry=taken, people=(signer,))


def forget(book: Book, person: str, reason: str, stamp: Stamp) -> Addition:
    """Removes a name and keeps the reason, which may not hold the name. A name put in by hand is removed too."""
    found = known({**book.named, **book.people}, person)
    if not re.fullmatch("[0-9a-f]{64}", str(found.token)):
        raise OnionskinError(f"the id beside '{person}' was changed by hand, so no record can say that it is forgotten")
    entry = Forgetting(
        person=found.token, reason=_reason(reason, str(found.name).split()), date=stamp.date, entered=stamp.entered
    )
    return Addition(entry=entry, forget=found.token)


def known(people: Mapping[str, Person], name: str) -> Person:
    """Who of `people` is known by this text. Raises OnionskinError, with the nearest one known."""
    found = find(people, name)
    if found:
        return found
    names = [str(person.name) for person in people.values() if person.name]
    raise OnionskinError(f"nobody in the register is called '{name}'{near(name, names)}")


def _two(book: Book, person: str, signed_by: str, stamp: Stamp) -> tuple[Person, Person]:
    learner = person_of(book.named, person, stamp.salts[0])
    signer = person_of({**book.named, learner.token: learner}, signed_by, stamp.salts[1])
    if learner.token == signer.token:
        raise OnionskinError("nobody signs for themselves; --signed-by is the one who looked on")
    return learner, signer


def _reason(text: str, names: Sequence[str]) -> str:
    """A reason long enough to mean something, without a word of the name it is to outlive."""
    said = " ".join(text.split())
    if not 3 <= len(said) <= 400:
        raise OnionskinError("--reason: write why, in 3 to 400 letters")
    words = set(re.findall(r"\w+", said.casefold()))
    if any(part in words for name in names for part in re.findall(r"\w{3,}", name.casefold())):
        raise OnionskinError("--reason: it holds the name that is to be forgotten; write it without")
    return said
