"""Docs against code: each check is a function that yields one sentence per thing that does not agree. Add a check to CHECKS.

A check asks for nothing until the code it is about exists; from then on the page has to.
"""

import ast
import doctest
import importlib
import re
import subprocess
import sys
import unicodedata
from collections.abc import Callable, Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
PACKAGE = Path("src", "curewright")
CHANGE_KINDS = ("verdict", "number", "format", "added", "fixed", "removed")


# ------------------------------------------------------------------------------------------------------------- the checks
def requirement_pages(root: Path) -> Iterator[str]:
    """Every requirement kind has its page docs/requirements/<kind>.md, and every page there is about a kind."""
    if not (root / PACKAGE / "terms" / "requirement.py").is_file():
        return
    kinds = getattr(importlib.import_module("curewright.terms.requirement"), "KINDS", {})
    pages = {page.stem for page in (root / "docs" / "requirements").glob("*.md")} - {"README", "index"}
    wanted = {slug(kind): kind for kind in kinds}
    for name in sorted(wanted.keys() - pages):
        yield f"docs/requirements/{name}.md is missing: the requirement '{wanted[name]}' has no page"
    for name in sorted(pages - wanted.keys()):
        yield f"docs/requirements/{name}.md is about no requirement kind in KINDS of terms/requirement.py"


def format_pages(root: Path) -> Iterator[str]:
    """Every JSON schema in the package has its page docs/formats/<name>.md, and every page there a schema."""
    schemas = {file.name.removesuffix(".schema.json").removesuffix(".json"): file for file in package_schemas(root)}
    pages = {page.stem for page in (root / "docs" / "formats").glob("*.md")} - {"README", "index"}
    for name in sorted(schemas.keys() - pages):
        yield f"docs/formats/{name}.md is missing: {schemas[name].relative_to(root)} has no page"
    for name in sorted(pages - schemas.keys()) if schemas else ():
        yield f"docs/formats/{name}.md has no schema src/curewright/**/schemas/{name}.json"


def links(root: Path) -> Iterator[str]:
    """Links inside the repository lead to a file that exists, and to a heading that is in it."""
    for page in markdown(root):
        for number, target in link_targets(page):
            path, _, anchor = target.partition("#")
            goal = page if not path else (root / path.lstrip("/") if path.startswith("/") else page.parent / path)
            where = f"{page.relative_to(root)}:{number}"
            if not goal.exists():
                yield f"{where}: the link '{target}' leads nowhere"
            elif anchor and goal.suffix == ".md" and anchor not in headings(goal):
                yield f"{where}: {goal.name} has no heading '#{anchor}'"


def examples(root: Path) -> Iterator[str]:
    """Examples written as >>> in the docs come out as written."""
    for page in markdown(root):
        text = "".join(f"{line if inside else ''}\n" for _, line, inside in code_lines(page))
        test = doctest.DocTestParser().get_doctest(text, {}, str(page.relative_to(root)), str(page), 0)
        if not test.examples:
            continue
        said: list[str] = []
        doctest.DocTestRunner(verbose=False, optionflags=doctest.NORMALIZE_WHITESPACE).run(test, out=said.append)
        if said:
            yield "".join(said).strip()


def commands(root: Path) -> Iterator[str]:
    """Lines of the docs' code blocks that begin with make or curewright name a target or a command that exists."""
    targets = make_targets(root)
    known = curewright_commands(root)
    for page in markdown(root):
        for number, line, inside in code_lines(page):
            words = line.strip().removeprefix("$ ").split() if inside else []
            if len(words) < 2 or words[0].rpartition("/")[2] not in ("make", "curewright"):
                continue
            program, called = words[0].rpartition("/")[2], words[1]
            if program == "make" and "=" not in called and called not in targets:
                yield f"{page.relative_to(root)}:{number}: the Makefile has no target '{called}'"
            if program == "curewright" and known is not None and called[0] not in "-[<" and called not in known:
                yield f"{page.relative_to(root)}:{number}: there is no command 'curewright {called}'"


def glossary(root: Path) -> Iterator[str]:
    """Every public noun of terms/ (a class that is no error) stands in docs/glossary.md, with or without blanks and hyphens."""
    page = root / "docs" / "glossary.md"
    words = page.read_text(encoding="utf-8").lower().replace("-", " ").split() if page.is_file() else []
    text = " ".join(words)
    for file in sorted((root / PACKAGE / "terms").glob("*.py")):
        if file.stem == "errors":
            continue
        for noun in public_classes(file):
            spaced = " ".join(re.findall(r"[A-Z][a-z0-9]*|[A-Z]+(?![a-z])", noun)).lower()
            if not re.search(rf"\b({re.escape(noun.lower())}|{re.escape(spaced)})(s|es)?\b", text):
                yield f"docs/glossary.md does not explain {noun} ('{spaced}') of {file.relative_to(root)}"


def change_notes(root: Path) -> Iterator[str]:
    """Change notes are named changes/<slug>.<kind>.md, with a kind that changes/README.md lists."""
    for note in sorted((root / "changes").glob("*")):
        if note.name != "README.md" and not re.fullmatch(rf"[a-z0-9-]+\.({'|'.join(CHANGE_KINDS)})\.md", note.name):
            yield f"changes/{note.name} is not named <slug>.<kind>.md, kind one of {', '.join(CHANGE_KINDS)}"


def decisions(root: Path) -> Iterator[str]:
    """Decisions are numbered once each, and say what was chosen, what it costs and what would change our mind."""
    seen: set[str] = set()
    for page in sorted((root / "docs" / "decisions").glob("*.md")):
        number, _, _ = page.name.partition("-")
        if not re.fullmatch(r"\d{4}", number) or number in seen:
            yield f"docs/decisions/{page.name} needs a number of four digits that no other decision has"
        seen.add(number)
        for part in ("Chosen", "Cost", "What would change our mind"):
            if part.lower() not in page.read_text(encoding="utf-8").lower():
                yield f"docs/decisions/{page.name} does not say: {part}"


CHECKS: tuple[Callable[[Path], Iterator[str]], ...] = (
    requirement_pages,
    format_pages,
    links,
    examples,
    commands,
    glossary,
    change_notes,
    decisions,
)


# ------------------------------------------------------------------------------------------------------ what they look at
def slug(kind: str) -> str:
    """A kind's name as a file's name: 'leak check' is leak-check."""
    return re.sub(r"[^a-z0-9]+", "-", kind.lower()).strip("-")


def package_schemas(root: Path) -> list[Path]:
    """The JSON schemas that lie in the package."""
    return sorted((root / PACKAGE).rglob("schemas/*.json"))


def markdown(root: Path) -> list[Path]:
    """Every page of the repository that a reader may open; what the demo and the tools write is not looked at."""
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard", "*.md"],
        cwd=root,
        capture_output=True,
        check=False,
    )
    if listed.returncode == 0:
        return sorted(root / name for name in listed.stdout.decode().split("\0") if name and (root / name).is_file())
    return sorted([*root.glob("*.md"), *(root / "docs").rglob("*.md"), *(root / "changes").glob("*.md")])


def code_lines(page: Path) -> Iterator[tuple[int, str, bool]]:
    """Number, text and whether it lies in a fenced block, for each line of a page; fences themselves count as outside."""
    fence = ""
    for number, line in enumerate(page.read_text(encoding="utf-8").splitlines(), start=1):
        mark = re.match(r"\s*(`{3,}|~{3,})", line)
        if mark and (not fence or mark[1].startswith(fence)):
            fence = "" if fence else mark[1]
            yield number, line, False
        else:
            yield number, line, bool(fence)


def link_targets(page: Path) -> Iterator[tuple[int, str]]:
    """Line and target of each link or picture that leads to a place in the repository."""
    for number, line, inside in code_lines(page):
        if inside:
            continue
        line = re.sub(r"`[^`]*`", "", line)
        for target in re.findall(r"\]\(\s*<?([^)\s>]+)", line) + re.findall(r"^\[[^\]]+\]:\s*(\S+)", line):
            if not re.match(r"[a-z][a-z0-9+.-]*:", target):
                yield number, target


def headings(page: Path) -> set[str]:
    """The anchors of a page's headings."""
    found: set[str] = set()
    for _, line, inside in code_lines(page):
        heading = re.match(r"#{1,6}\s+(.*?)\s*#*$", line) if not inside else None
        if heading:
            plain = re.sub(r"\[([^\]]*)\]\([^)]*\)", r"\1", heading[1]).lower()
            kept = "".join(c for c in plain if c in " -_" or unicodedata.category(c)[0] in "LN")
            anchor = kept.replace(" ", "-")
            times = sum(a == anchor or re.fullmatch(rf"{re.escape(anchor)}-\d+", a) is not None for a in found)
            found.add(f"{anchor}-{times}" if times else anchor)
    return found


def make_targets(root: Path) -> set[str]:
    """The Makefile's targets."""
    makefile = root / "Makefile"
    return (
        set(re.findall(r"^([a-z][a-z-]*):", makefile.read_text(encoding="utf-8"), re.MULTILINE))
        if makefile.is_file()
        else set()
    )


def curewright_commands(root: Path) -> set[str] | None:
    """The commands of the command line; None before there is one."""
    if not (root / PACKAGE / "cli" / "main.py").is_file():
        return None
    import click

    groups = [
        value
        for value in vars(importlib.import_module("curewright.cli.main")).values()
        if isinstance(value, click.Group)
    ]
    return {name for group in groups for name in group.commands}


def public_classes(file: Path) -> list[str]:
    """Names of the public classes that a module defines."""
    tree = ast.parse(file.read_text(encoding="utf-8"))
    return [node.name for node in tree.body if isinstance(node, ast.ClassDef) and not node.name.startswith("_")]


def main() -> int:
    """Print what does not agree; 1 if there is anything."""
    found = [problem for check in CHECKS for problem in check(ROOT)]
    print("\n".join(found) or f"docs: {len(CHECKS)} checks, all agree with the code")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
