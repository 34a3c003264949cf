"""The examples that stand on the pages of docs/formats."""

import re
from pathlib import Path

DOCS = Path(__file__).resolve().parents[3] / "docs" / "formats"


def example(page: str, kind: str) -> str:
    """The first example of a page, ``yaml`` or ``csv``."""
    found = re.search(rf"^```{kind}\n(.*?)^```", (DOCS / f"{page}.md").read_text(encoding="utf-8"), re.M | re.S)
    assert found, f"docs/formats/{page}.md has no {kind} example"
    return found[1]
