"""Names apart from records. A record holds a person's token, the SHA-256 of a random salt and the name.

Without the salt a token says nothing about the name, however short a list of names is tried. To forget
someone is to remove name and salt; the chain stays as it is.
"""

from __future__ import annotations

import hashlib
import unicodedata
from collections.abc import Mapping

from msgspec import Struct

from generator.errors import OnionskinError

LONGEST_NAME = 120


class Person(Struct, frozen=True):
    """`salt` and `name` are None once the person is forgotten."""

    token: str
    salt: str | None
    name: str | None


def token_of(salt: str, name: str) -> str:
    """The token that stands for a name: 64 hexadecimal digits."""
    return hashlib.sha256(f"{salt}\n{name}".encode()).hexdigest()


def opens(person: Person) -> bool:
    """Whether the name kept beside a token is the one the token was made from."""
    return person.salt is not None and person.name is not None and token_of(person.salt, person.name) == person.token


def tidy(name: str) -> str:
    """The name as it is kept. Raises OnionskinError for what cannot be one."""
    kept = " ".join(unicodedata.normalize("NFC", name).split())
    if not kept or len(kept) > LONGEST_NAME or any(unicodedata.category(sign)[0] == "C" for sign in kept):
        raise OnionskinError(f"{name[:60]!r} cannot stand for a person; write 1 to {LONGEST_NAME} signs of plain text")
    return kept


def find(people: Mapping[str, Person], name: str) -> Person | None:
    """Who is known by this text; capitals and spaces do not count."""
    wanted = tidy(name).casefold()
    known = (person for person in people.values() if person.name is not None)
    return next((person for person in known if str(person.name).casefold() == wanted), None)


def person_of(people: Mapping[str, Person], name: str, salt: str) -> Person:
    """The person known by this text, else a new one made with `salt`."""
    kept = tidy(name)
    return find(people, kept) or Person(token_of(salt, kept), salt, kept)
