"""The hashed lists carry no address, pin one version of each package, and agree with one another."""

import re

import pytest

from tests.conftest import ROOT

LISTS = ("pip", "run", "test", "monitors", "fuzz")


def pins(name: str) -> dict[str, str]:
    text = (ROOT / "requirements" / f"{name}.txt").read_text(encoding="utf-8")
    return {f"{m[1]} {m[3]}": m[2] for m in re.finditer(r"^([\w.-]+)==(\S+)(.*)$", text, re.MULTILINE)}


@pytest.mark.parametrize("name", LISTS)
def test_a_list_holds_names_versions_and_hashes_only(name):
    text = (ROOT / "requirements" / f"{name}.txt").read_text(encoding="utf-8")
    for line in text.splitlines():
        assert re.fullmatch(r"#.*|[\w.-]+==\S+( ; [\w .<>!='\"*]+)? \\|    --hash=sha256:[0-9a-f]{64}( \\)?", line), (
            line
        )


@pytest.mark.parametrize("name", LISTS)
def test_the_lists_agree_on_every_version(name):
    whole = pins("test")
    assert {package: version for package, version in pins(name).items() if whole.get(package, version) != version} == {}


def test_the_run_list_holds_what_the_package_asks_for_and_its_build_backend():
    asked = {
        "click",
        "contourpy",
        "matplotlib",
        "numba",
        "numpy",
        "pydantic",
        "python-calamine",
        "rich",
        "ruamel-yaml",
        "setuptools",
        "pip",
    }
    assert asked <= {package.split()[0] for package in pins("run")}
