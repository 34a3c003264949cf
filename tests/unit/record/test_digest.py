"""A PDF that carries the digest of its own bytes: every changed byte is found."""

from hashlib import sha256

import pytest

from curewright.record.digest import EMPTY, MARK, digest_of, with_digest
from curewright.terms.errors import FileError

BARE = (
    b"%PDF-1.7\n/Keywords("
    + EMPTY.encode()
    + b")\nstream\x00\x01\xffwords\n<pdf:Keywords>"
    + EMPTY.encode()
    + b"</pdf:Keywords>\n%%EOF"
)


def test_the_digest_is_that_of_the_file_with_empty_fields() -> None:
    made = with_digest(BARE)
    assert len(made) == len(BARE)
    assert digest_of(made) == sha256(BARE).hexdigest()  # FIPS 180-4, from the standard library
    assert made.count(MARK.encode() + sha256(BARE).hexdigest().encode()) == 2


@pytest.mark.parametrize("bit", range(8))
def test_every_byte_counts(bit: int) -> None:
    made = with_digest(BARE)
    for place in range(len(made)):
        changed = bytearray(made)
        changed[place] ^= 1 << bit
        with pytest.raises(FileError):
            digest_of(bytes(changed))


def test_bytes_added_taken_or_moved_are_found() -> None:
    made = with_digest(BARE)
    others = [made + b"\n", made[:-1], b" " + made, made[:40] + made[41:], made + made, b"", b"%PDF-1.7\n"]
    others += [made[:k] + made[k : k + 2][::-1] + made[k + 2 :] for k in range(len(made) - 1) if made[k] != made[k + 1]]
    for changed in others:
        with pytest.raises(FileError):
            digest_of(changed)


def test_two_digests_that_agree_and_do_not_fit_are_found() -> None:
    forged = BARE.replace(b"0" * 64, b"a" * 64)
    with pytest.raises(FileError, match="do not fit the digest"):
        digest_of(forged)


def test_a_file_without_fields_is_refused_in_words() -> None:
    with pytest.raises(FileError, match="carries no digest") as refused:
        digest_of(b"%PDF-1.7 something else", "other.pdf")
    assert "other.pdf" in str(refused.value)
    assert "To do:" in str(refused.value)


@pytest.mark.parametrize("fields", [0, 1, 3])
def test_a_record_is_not_sealed_with_another_number_of_fields(fields: int) -> None:
    with pytest.raises(AssertionError, match="fields for the digest"):
        with_digest(b"%PDF" + EMPTY.encode() * fields)
