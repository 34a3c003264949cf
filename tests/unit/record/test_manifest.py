"""The manifest: every file with its digest, sealed, and as its schema says."""

import json
from hashlib import sha256
from importlib import resources

import jsonschema
import pytest

from curewright.record.manifest import BESIDE, filed, manifest, read_manifest
from curewright.record.seal import sealed_text
from curewright.record.verdicts import Document
from curewright.terms.errors import FileError

SCHEMA = json.loads(resources.files("curewright.record").joinpath("schemas", "manifest.schema.json").read_text())
FILES = (filed("load.yaml", "load", b"load: R-1\n"), filed("log.csv", "recording", b"1,2\n", BESIDE))


def test_it_says_of_each_file_what_the_standard_library_says(document: Document) -> None:
    block = manifest(document, FILES, None)["files"][1]
    assert block == {
        "file": "log.csv",
        "role": "recording",
        "sha256": sha256(b"1,2\n").hexdigest(),
        "bytes": 4,
        "where": "container",
    }


@pytest.mark.parametrize("box", [None, filed("recordings.zip", "container", b"PK", BESIDE)])
def test_it_is_as_its_schema_says(document: Document, box: object) -> None:
    text = sealed_text(manifest(document, FILES, box))  # type: ignore[arg-type]
    jsonschema.validate(json.loads(text), SCHEMA)
    assert read_manifest(text)["run"] == "R-1"


def test_a_changed_byte_is_refused(document: Document) -> None:
    text = sealed_text(manifest(document, FILES, None))
    for place in range(0, len(text), 7):
        changed = text[:place] + chr(ord(text[place]) ^ 1) + text[place + 1 :]
        with pytest.raises(FileError):
            read_manifest(changed)


def test_another_format_or_version_is_refused(document: Document) -> None:
    for change in ({"version": 2}, {"format": "something else"}):
        with pytest.raises(FileError, match="expected 'curewright record manifest'") as refused:
            read_manifest(sealed_text(manifest(document, FILES, None) | change))
        assert "To do:" in str(refused.value)
