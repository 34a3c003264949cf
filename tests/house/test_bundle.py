"""The offline bundle: what is put into it for each platform, and what its installer refuses. ``make bundle ARGS=--try`` installs one."""

import hashlib
import importlib.util
import json
import os
import sys
import sysconfig
import zipfile
from pathlib import Path

import pytest

from tests.conftest import ROOT
from tools import bundle

HASH = "sha256:" + "0" * 64
LISTED = f"""# Made by somebody
colorama==0.4.6 ; sys_platform == 'win32' \\
    --hash={HASH} \\
    --hash={HASH}
numpy==2.4.0 \\
    --hash={HASH}
old==1.0 ; python_full_version < '3.12' \\
    --hash={HASH}
"""
HERE = {
    "platform": sysconfig.get_platform().replace("-", "_"),
    "python": [f"{sys.version_info[0]}.{sys.version_info[1]}"],
}


def installer():
    spec = importlib.util.spec_from_file_location("offline_install", ROOT / "tools" / "offline" / "install.py")
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture
def made(tmp_path: Path) -> Path:
    """A bundle for this machine, with one wheel that is none."""
    return a_bundle(tmp_path / "bundle")


def a_bundle(folder: Path) -> Path:
    (folder / "wheels").mkdir(parents=True)
    (folder / "wheels" / "a-1-py3-none-any.whl").write_bytes(b"wheel")
    (folder / "bundle.json").write_text(json.dumps(HERE), encoding="utf-8")
    bundle.copy_installer(folder)
    bundle.write_sums(folder)
    return folder


@pytest.mark.parametrize(
    "platform,python,pins",
    [
        ("win_amd64", "3.11", ["colorama==0.4.6", "numpy==2.4.0", "old==1.0"]),
        ("win_amd64", "3.13", ["colorama==0.4.6", "numpy==2.4.0"]),
        ("linux_x86_64", "3.11", ["numpy==2.4.0", "old==1.0"]),
        ("linux_x86_64", "3.12", ["numpy==2.4.0"]),
    ],
)
def test_a_list_is_asked_for_the_platform_that_the_bundle_is_for(platform, python, pins):
    text = bundle.needed(LISTED, platform, python)
    assert [line.split()[0] for line in text.splitlines()] == pins
    assert all(f"--hash={HASH}" in line for line in text.splitlines())


def test_every_package_of_the_locked_list_is_taken_up_once():
    text = (ROOT / "requirements" / "run.txt").read_text(encoding="utf-8")
    assert len(bundle.entries(text)) == text.count("==") - text.count(" == '")
    assert all(hashes for _, _, hashes in bundle.entries(text))


def test_a_line_that_is_no_pin_stops_the_bundle():
    with pytest.raises(ValueError, match="not a line of a hashed list"):
        bundle.entries("numpy>=2\n")


def test_a_whole_bundle_for_this_machine_passes(made):
    install = installer()
    install.check_machine(made)
    install.check_files(made)


@pytest.mark.parametrize(
    "damage,words",
    [
        (lambda made: (made / "wheels" / "a-1-py3-none-any.whl").write_bytes(b"Wheel"), "a-1-py3-none-any.whl is not as it was"),
        (lambda made: (made / "install.cmd").unlink(), "install.cmd is missing"),
        (lambda made: (made / "wheels" / "b-1-py3-none-any.whl").write_bytes(b"x"), "b-1-py3-none-any.whl does not belong"),
    ],
)  # fmt: skip
def test_a_bundle_that_was_changed_is_not_installed(made, damage, words):
    damage(made)
    install = installer()
    with pytest.raises(install.NotInstalledError, match=words):
        install.check_files(made)


@pytest.mark.parametrize("other", [{"platform": "win_arm64"}, {"python": ["3.9"]}])
def test_another_machine_is_told_what_the_bundle_is_for(made, other):
    (made / "bundle.json").write_text(json.dumps(HERE | other), encoding="utf-8")
    install = installer()
    with pytest.raises(install.NotInstalledError, match="the bundle is for Python"):
        install.check_machine(made)


def test_a_folder_that_holds_something_else_is_left_alone(made, tmp_path):
    target = tmp_path / "reports"
    target.mkdir()
    (target / "cure.txt").write_text("mine", encoding="utf-8")
    install = installer()
    with pytest.raises(install.NotInstalledError, match="holds something else"):
        install.install(made, target)
    assert (target / "cure.txt").read_text(encoding="utf-8") == "mine"


def test_pip_is_kept_off_the_network_and_off_the_settings_of_the_machine(made, tmp_path, monkeypatch):
    monkeypatch.setenv("PIP_EXTRA_INDEX_URL", "somewhere else")
    monkeypatch.setenv("PYTHONPATH", "somewhere else")
    probe = tmp_path / "python"  # stands in for an interpreter: shows what it was called with, and fails
    probe.write_text(
        '#!/bin/sh\necho "$@" "[$PIP_EXTRA_INDEX_URL$PYTHONPATH$PIP_CONFIG_FILE]"\nexit 1\n', encoding="utf-8"
    )
    probe.chmod(0o755)
    install = installer()
    with pytest.raises(install.NotInstalledError) as stop:
        install.pip(probe, made, "requirements.txt")
    for word in ("--no-index", "--require-hashes", "--only-binary :all:", f"[{os.devnull}]"):
        assert word in str(stop.value)


def test_what_windows_reads_has_its_line_ends_and_plain_letters(made):
    for name in ("install.cmd", "README.txt"):
        content = (made / name).read_bytes()
        assert content.isascii()
        assert content.count(b"\n") == content.count(b"\r\n") > 0
    assert b"\r" not in (made / "install.sh").read_bytes()


def test_the_same_contents_give_the_same_bundle(made, tmp_path):
    again = a_bundle(tmp_path / "later" / "bundle")
    one, other = (bundle.zipped(folder, tmp_path / f"{i}.zip").read_bytes() for i, folder in enumerate((made, again)))
    assert hashlib.sha256(one).hexdigest() == hashlib.sha256(other).hexdigest()


def test_what_is_told_by_another_way_is_the_hash_of_the_sums(made, tmp_path):
    archive = bundle.zipped(made, tmp_path / "3.zip")
    assert bundle.sums_of(archive) == hashlib.sha256((made / "SHA256SUMS").read_bytes()).hexdigest()
    with zipfile.ZipFile(archive) as opened:
        assert f"{made.name}/wheels/a-1-py3-none-any.whl" in opened.namelist()


def test_its_own_wheel_holds_every_file_of_the_package_and_no_other(tmp_path):
    into = tmp_path / "wheels"
    into.mkdir()
    with zipfile.ZipFile(bundle.own_wheel(into)) as wheel:
        packed = {name for name in wheel.namelist() if name.startswith("curewright/")}
    source = ROOT / "src"
    there = {file.relative_to(source).as_posix() for file in source.rglob("*") if file.is_file()}
    assert packed == {name for name in there if "__pycache__" not in name and ".egg-info/" not in name}
