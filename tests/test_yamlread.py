"""Reading hand-written files: what plain words mean, where everything stands, and what is refused."""

from __future__ import annotations

import contextlib
import json
import os
import string
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from generator import yamlread
from generator.errors import InputFaults
from generator.yamlread import LARGEST_BYTES, read_document, read_json, read_yaml

DEMO = Path(__file__).parent.parent / "content" / "demo"

# The core schema's rules, YAML 1.2.2 section 10.3.2, https://yaml.org/spec/1.2.2/#1032-tag-resolution
# (second-hand: read in a published grammar that cites the section). All that no rule names is text.
MEANINGS = [
    ("null", None), ("~", None), ("", None), ("true", True), ("False", False), ("TRUE", True),
    ("0", 0), ("-19", -19), ("+12", 12), ("0.", 0.0), (".5", 0.5), ("-0.0", -0.0), ("12e03", 12000.0),
    ("-2E+05", -200000.0), ("1e-3", 0.001), ("1.0e3", 1000.0),
    ("yes", "yes"), ("no", "no"), ("on", "on"), ("off", "off"), ("y", "y"), ("12:30", "12:30"),
    ("1:30:00", "1:30:00"), ("2024-01-01", "2024-01-01"), ("6.5 mm", "6.5 mm"), ("1/4 in", "1/4 in"),
    ("1.2.3", "1.2.3"), ("e3", "e3"), ("=", "="),
]  # fmt: skip


def faults(text: str) -> list[str]:
    with pytest.raises(InputFaults) as caught:
        read_yaml(text, "f.yml")
    return [str(fault) for fault in caught.value.faults]


@pytest.mark.parametrize(("text", "meaning"), MEANINGS)
def test_plain_words_mean_what_yaml_1_2_says(text: str, meaning: Any) -> None:
    """A plain word has the value YAML 1.2 and the browser give it, and the very type."""
    value = read_yaml(f"a: {text}", "f.yml").data["a"]
    assert (value, type(value)) == (meaning, type(meaning))


@pytest.mark.parametrize("text", ["'true'", '"12"', "'010'", "'~'"])
def test_quoted_words_stay_text(text: str) -> None:
    """Quotes make text of anything."""
    assert read_yaml(f"a: {text}", "f.yml").data["a"] == text[1:-1]


@pytest.mark.parametrize(
    ("text", "mend"),
    [
        ("010", "write 10, or quote it"),
        ("-007", "write -7, or quote it"),
        ("0o10", "write plain digits, or quote it"),
        ("0x1F", "write plain digits, or quote it"),
        ("1_000", "write plain digits, or quote it"),
        (".inf", "write a number, or unknown"),
        ("-.INF", "write a number, or unknown"),
        (".nan", "write a number, or unknown"),
        ("1e999", "larger than any number"),
        ("9" * 5000, "too long for a number"),
        ("0" * 5000, "starts with a zero"),
    ],
)
def test_numbers_with_two_readings_are_refused_with_the_mend(text: str, mend: str) -> None:
    """A spelling that programs read differently is refused where it stands, with what to write instead."""
    (fault,) = faults(f"b: 1\na: {text}\n")
    assert fault.startswith("f.yml:2:4: ")
    assert mend in fault


def test_keys_are_always_the_text_that_is_written() -> None:
    """yes, 1 and null are names when they stand before a colon."""
    assert read_yaml("yes: a\n1: b\nnull: c\n", "f.yml").data == {"yes": "a", "1": "b", "null": "c"}


def test_every_key_and_value_has_its_place() -> None:
    """Lines and columns count from 1, in block and flow style, and from first_line on."""
    document = read_yaml("a:\n  b: 1\n  c: [x, {d: 2}]\n", "f.yml", first_line=10)
    assert document.keys[("a", "c")] == (12, 3)
    assert document.values[("a", "c", 1, "d")] == (12, 14)
    assert document.place(("a", "b")) == (11, 6)


def test_what_is_not_there_is_placed_at_what_surrounds_it() -> None:
    """A missing setting is pointed at through its parent."""
    document = read_yaml("a:\n  b: 1\n", "f.yml")
    assert document.place(("a", "x", "y")) == document.place(("a",)) == (2, 3)


def test_every_fault_of_a_file_is_told_at_once() -> None:
    """One reading names all faults in the order of the file."""
    told = faults("a: 010\nb: &x 1\nc: *x\nd: !!str 5\n<<: {}\na: 2\n")
    assert [fault.split(":")[1] for fault in told] == ["1", "2", "3", "4", "5", "6"]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("a: 1\nb: 2\na: 3\n", "f.yml:3:1: 'a' is written twice, first on line 1; keep one"),
        ("a: {x: 1, x: 2}", "f.yml:1:11: 'x' is written twice, first on line 1; keep one"),
        ("a: &here 1", "f.yml:1:4: '&here' marks a value for use elsewhere; take the mark away"),
        ("&k a: 1", "f.yml:1:1: '&k' marks a value for use elsewhere; take the mark away"),
        ("a: !!python/name:os.system x", "is a type mark; take it away"),
        ("a: {<<: {b: 1}}", "f.yml:1:5: '<<' copies settings from elsewhere; write them out"),
        ("? [a, b]\n: 1", "f.yml:1:3: a name must be plain text, not a list or a group"),
        ("a: 1\n---\nb: 2\n", "f.yml:2:1: a second document starts here ('---'); a file holds one"),
        ("a:\n\tb: 1", "f.yml:2:1: a tab; write spaces instead"),
        ("a: x\x07y", "f.yml:1:5: a control character (code 7); delete it"),
        ("a: x\x9fy", "f.yml:1:5: a control character (code 159); delete it"),
        ("# nothing\n", "f.yml: holds only comments; it says nothing"),
        ("a: b: c", "f.yml:1:5: a second ':' on a line"),
        ("a: 'x\n", "a quote is opened here and never closed"),
        ("a: [1, 2\nb: 3\n", "f.yml:2:2: "),
        ("a: @b", "f.yml:1:4: this character cannot start a value; put the text in quotes"),
        ("a:\n  b: 1\n c: 2\n", "the indentation does not match the lines above"),
    ],
)
def test_what_a_person_would_not_mean_is_refused(text: str, says: str) -> None:
    """Copies, marks, tags, doubles and broken syntax are refused in words, with line and column."""
    assert says in "\n".join(faults(text))


def test_nesting_has_a_floor() -> None:
    """Twenty levels are read; what is deeper is refused, however deep."""
    assert read_yaml("[" * 20 + "]" * 20, "f.yml").data
    for depth in (22, 5_000, 300_000):
        assert "nested deeper than 20 levels" in faults("[" * depth + "]" * depth)[0]


def test_an_alias_bomb_is_refused_where_it_starts() -> None:
    """Shared references never reach the rest of the program."""
    bomb = "a: &a [x, x]\n" + "".join(f"{b}: &{b} [*{a}, *{a}]\n" for a, b in zip("abcdefgh", "bcdefghi", strict=True))
    assert len(faults(bomb)) == 1 + 8 + 16


@pytest.mark.parametrize(
    ("raw", "says"),
    [
        (b"", "is empty"),
        (b"  \n\n", "is empty"),
        (b"\x7fELF\0\0", "is not a text file in UTF-8"),
        ("a: 1".encode("utf-16"), "is not a text file in UTF-8"),
        (b"a: 1\nb: caf\xe9\n", ":2:7: this is not UTF-8 text; save the file as UTF-8"),
        (b"a: " + b"x" * LARGEST_BYTES, "is larger than 1 MB"),
    ],
)
def test_files_that_are_not_small_utf_8_text_are_refused(tmp_path: Path, raw: bytes, says: str) -> None:
    """Empty, binary, wrongly encoded and huge files get one clear sentence."""
    path = tmp_path / "f.yml"
    path.write_bytes(raw)
    with pytest.raises(InputFaults, match=says):
        read_document(path)


def test_files_that_cannot_be_opened_are_faults(tmp_path: Path) -> None:
    """A missing file, a folder and a pipe are told apart, and nothing waits for a pipe."""
    with pytest.raises(InputFaults, match="there is no such file"):
        read_document(tmp_path / "none.yml")
    with pytest.raises(InputFaults, match="is a folder"):
        read_document(tmp_path)
    os.mkfifo(tmp_path / "pipe.yml")
    with pytest.raises(InputFaults, match="is a device or pipe"):
        read_document(tmp_path / "pipe.yml")


def test_a_byte_order_mark_and_windows_line_ends_are_read(tmp_path: Path) -> None:
    """A file saved by a plain Windows editor is as good as any."""
    path = tmp_path / "f.yml"
    path.write_bytes(b"\xef\xbb\xbfa: 1\r\nb: x y\r\n")
    assert read_document(path).data == {"a": 1, "b": "x y"}


def test_json_is_read_as_json_with_places(tmp_path: Path) -> None:
    """1e-7 is a number, tabs may indent, and every value has its line."""
    path = tmp_path / "f.json"
    path.write_text('{\n\t"a": 1e-7,\n\t"b": ["x", "\\ud83d\\ude00"]\n}\n')
    document = read_document(path)
    assert document.data == {"a": 1e-7, "b": ["x", "\U0001f600"]}
    assert document.place(("b", 0)) == (3, 8)
    assert document.keys[("a",)] == (2, 2)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('{"a": 1,\n "a": 2}', "f.json:2:2: 'a' is written twice, first on line 1; keep one"),
        ('{"a": NaN}', "'NaN' is not a number anything can have"),
        ('{"a": -Infinity}', "'-Infinity' is not a number anything can have"),
        ('{"a": 1e999}', "larger than any number"),
        ('{"a": ' + "9" * 5000 + "}", "too long for a number"),
        ('{"a": 1,}', "this is not JSON"),
        ("[" * 100_000, "nested deeper than 20 levels"),
        ('{"a":' * 30 + "1" + "}" * 30, "nested deeper than 20 levels"),
    ],
)
def test_json_that_is_not_plain_data_is_refused(text: str, says: str) -> None:
    """What JSON readers disagree about is refused as in YAML."""
    with pytest.raises(InputFaults) as caught:
        read_json(text, "f.json")
    assert says in str(caught.value)


@settings(max_examples=150, deadline=None)
@given(st.text(alphabet=string.printable + "&*{}[]:-#é\u2028\U0001f600\x85\ufeff", max_size=80))
def test_any_text_is_read_or_refused(text: str) -> None:
    """No text raises anything but InputFaults."""
    for read in (read_yaml, read_json):
        with contextlib.suppress(InputFaults):
            assert read(text, "f").file == "f"


plain = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**14), 10**14) | st.text(string.ascii_letters + " '\"é", max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text("abcxyz", min_size=1), inner, max_size=3),
    max_leaves=10,
)


@settings(max_examples=100, deadline=None)
@given(plain)
def test_what_json_writes_is_read_back_with_a_place_for_every_value(data: Any) -> None:
    """JSON text gives the same data through both readers, and no value lacks its place."""
    text = json.dumps({"top": data}, ensure_ascii=False)
    as_json, as_yaml = read_json(text, "f.json"), read_yaml(text, "f.yml")
    assert as_json.data == as_yaml.data == {"top": data}
    assert as_json.values == as_yaml.values
    assert ("top",) in as_json.values


def test_the_parser_written_in_python_reads_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where PyYAML comes without its C library, data, places and the floor of nesting are the same."""
    files = sorted(DEMO.rglob("*.yml"))
    fast = [read_document(path) for path in files]
    monkeypatch.setattr(yamlread, "_LOADER", yaml.SafeLoader)
    assert [read_document(path) for path in files] == fast
    assert "nested deeper than 20 levels" in faults("[" * 5_000)[0]
