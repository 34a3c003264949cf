"""The seal: any changed byte is refused. Canonical form after RFC 8785, its SHA-256 computed here with the standard library alone."""

import json
from hashlib import sha256

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curewright.record.seal import canonical, opened, seal_of, sealed_text
from curewright.terms.errors import FileError

DOCUMENT = {"b": [1, None, True, "é \u0001"], "a": {"z": "1.5", "y": -3}}


def test_canonical_form_is_that_of_rfc_8785() -> None:
    # RFC 8785 § 3.2.2.2 and 3.2.3: sorted members, no blanks, control characters as lower-case \u00xx, all else as it is in UTF-8.
    assert canonical(DOCUMENT) == '{"a":{"y":-3,"z":"1.5"},"b":[1,null,true,"é \\u0001"]}'.encode()


def test_seal_is_the_sha256_of_the_rest() -> None:
    document = json.loads(sealed_text(DOCUMENT))
    digest = document.pop("sha256")
    assert (
        digest
        == sha256(json.dumps(document, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()).hexdigest()
    )
    assert digest == seal_of(DOCUMENT)


def test_read_back() -> None:
    assert opened(sealed_text(DOCUMENT)) == {**DOCUMENT, "sha256": seal_of(DOCUMENT)}


@given(st.data())
def test_any_changed_byte_is_refused(data: st.DataObject) -> None:
    raw = sealed_text(DOCUMENT).encode("latin-1")
    index = data.draw(st.integers(0, len(raw) - 1))
    other = data.draw(st.integers(0, 127).filter(lambda byte: byte != raw[index]))
    with pytest.raises(FileError):
        opened((raw[:index] + bytes([other]) + raw[index + 1 :]).decode("latin-1"), "old.json")


@pytest.mark.parametrize(
    "change",
    [
        lambda text: text.replace("\n", "\r\n"),
        lambda text: text + " ",
        lambda text: text.rstrip("\n"),
        lambda text: "\ufeff" + text,
    ],
)
def test_blanks_and_line_ends_are_bytes_too(change) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(FileError):
        opened(change(sealed_text(DOCUMENT)))


def test_a_key_written_twice_is_refused() -> None:
    text = sealed_text(DOCUMENT)
    with pytest.raises(FileError, match="not what was sealed"):
        opened(text.replace('"z": "1.5",', '"z": "1.6",\n  "z": "1.5",'))


@pytest.mark.parametrize("text", ["", "[]", "{}", "{", '{"sha256": 5}', '{"a": 1.5, "sha256": ""}', "null"])
def test_what_is_no_sealed_file(text: str) -> None:
    with pytest.raises(FileError) as refused:
        opened(text, "old.json")
    assert "old.json" in str(refused.value)
    assert "To do" in str(refused.value)


def test_binary_fractions_have_no_place() -> None:
    with pytest.raises(TypeError):
        sealed_text({"a": [{"b": 0.1}]})


DOCUMENTS = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
    max_leaves=30,
)


@given(st.dictionaries(st.text().filter(lambda name: name != "sha256"), DOCUMENTS))
def test_the_text_is_that_of_the_standard_library(document: dict[str, object]) -> None:
    sealed = {**document, "sha256": seal_of(document)}
    assert sealed_text(document) == json.dumps(sealed, indent=1, ensure_ascii=False) + "\n"
