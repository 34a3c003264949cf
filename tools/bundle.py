"""Make a bundle that installs Curewright without a network: dist/curewright-offline-VERSION-PLATFORM.zip (``make bundle``).

Wheels of the locked list for every Python that is asked for, Curewright's own wheel, the hashed lists, an installer and SHA256SUMS.
Nothing in it is built on the machine where it is installed. ``--try`` installs it here, cut off from the network, and judges the demo.
"""

import argparse
import hashlib
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
import zipfile
from pathlib import Path

from pip._vendor.packaging.markers import Marker

ROOT = Path(__file__).resolve().parents[1]
OFFLINE = ROOT / "tools" / "offline"
PYTHONS = ("3.11", "3.12", "3.13")
# For each platform, as sysconfig names it: the tags of wheels that run there, and what markers in the lists see.
PLATFORMS = {
    "win_amd64": (("win_amd64",), {"sys_platform": "win32", "platform_system": "Windows", "os_name": "nt", "platform_machine": "AMD64"}),
    "linux_x86_64": (
        (*(f"manylinux_2_{minor}_x86_64" for minor in (28, 27, 26, 24, 17, 12, 5)), "manylinux2014_x86_64"),
        {"sys_platform": "linux", "platform_system": "Linux", "os_name": "posix", "platform_machine": "x86_64"},
    ),
}  # fmt: skip


def main() -> None:
    """Make the bundles that were asked for."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--for", dest="platforms", nargs="+", choices=PLATFORMS, default=list(PLATFORMS))
    words.add_argument("--python", nargs="+", choices=PYTHONS, default=list(PYTHONS))
    words.add_argument(
        "--try", dest="tried", action="store_true", help="install it here without a network and judge the demo"
    )
    asked = words.parse_args()
    for platform in asked.platforms:
        made = bundle(platform, asked.python, ROOT / "dist")
        print(
            f"{made.relative_to(ROOT)}: {made.stat().st_size / 1e6:.0f} MB; SHA256SUMS has the SHA-256 {sums_of(made)}"
        )
        if asked.tried and platform == this_platform():
            try_it(made)


def this_platform() -> str:
    """The platform of this machine, as the bundles are named."""
    import sysconfig

    return sysconfig.get_platform().replace("-", "_")


def bundle(platform: str, pythons: list[str], into: Path) -> Path:
    """The zip file of one platform."""
    with tempfile.TemporaryDirectory() as scratch:
        wheels = Path(scratch) / "wheels"
        wheels.mkdir()
        own = own_wheel(wheels)
        for python in pythons:
            download(platform, python, wheels, Path(scratch))
        name = f"curewright-offline-{own.name.split('-')[1]}-{platform}"
        folder = Path(scratch) / name
        folder.mkdir()
        wheels.rename(folder / "wheels")
        write_lists(folder, own.name)
        (folder / "bundle.json").write_text(
            json.dumps({"platform": platform, "python": pythons}) + "\n", encoding="utf-8"
        )
        copy_installer(folder)
        write_sums(folder)
        return zipped(folder, into / f"{name}.zip")


def own_wheel(into: Path) -> Path:
    """Curewright's own wheel, made without a network from a copy of the sources: a folder that was built in keeps what is gone since."""
    copy = into.with_name("sources")
    shutil.copytree(ROOT / "src", copy / "src", ignore=shutil.ignore_patterns("__pycache__", "*.egg-info"))
    for name in ("pyproject.toml", "README.md", "LICENSE"):
        shutil.copyfile(ROOT / name, copy / name)
    pip("wheel", "--no-deps", "--no-build-isolation", "--no-index", "--wheel-dir", str(into), str(copy))
    (wheel,) = into.glob("curewright-*.whl")
    return wheel


def entries(text: str) -> list[tuple[str, str, list[str]]]:
    """Each entry of a hashed list: ``name==version``, its marker ('' for none), its hashes."""
    found: list[tuple[str, str, list[str]]] = []
    for line in text.splitlines():
        if match := re.fullmatch(r"([\w.-]+==\S+)(?: ; (.+?))? \\", line):
            found.append((match[1], match[2] or "", []))
        elif match := re.fullmatch(r"    --hash=(sha256:[0-9a-f]{64})( \\)?", line):
            found[-1][2].append(match[1])
        elif line.strip() and not line.startswith("#"):
            raise ValueError(f"not a line of a hashed list: {line}")
    return found


def needed(text: str, platform: str, python: str) -> str:
    """The entries of a hashed list that another platform and Python need, without markers: pip itself would ask this machine."""
    target = {**PLATFORMS[platform][1], "python_version": python, "python_full_version": f"{python}.0"}
    target |= {"implementation_name": "cpython", "platform_python_implementation": "CPython", "extra": ""}
    lines = []
    for pin, marker, hashes in entries(text):
        if not marker or Marker(marker).evaluate(target):
            lines.append(" ".join([pin, *(f"--hash={one}" for one in hashes)]))
    return "\n".join(lines) + "\n"


def download(platform: str, python: str, into: Path, scratch: Path) -> None:
    """The wheels of the locked list for one platform and Python; a package without a wheel stops it."""
    listed = scratch / f"{platform}-{python}.txt"
    listed.write_text(
        needed((ROOT / "requirements" / "run.txt").read_text(encoding="utf-8"), platform, python), encoding="utf-8"
    )
    tags = [word for tag in PLATFORMS[platform][0] for word in ("--platform", tag)]
    version = python.replace(".", "")
    abis = ["--implementation", "cp", "--abi", f"cp{version}", "--abi", "abi3", "--abi", "none"]
    which = [*tags, "--python-version", python, *abis, "--only-binary", ":all:", "--no-deps"]
    pip("download", "--require-hashes", *which, "--dest", str(into), "-r", str(listed))


def pip(*words: str) -> None:
    """Run this environment's pip."""
    subprocess.run(
        [sys.executable, "-m", "pip", words[0], "--quiet", "--disable-pip-version-check", *words[1:]], check=True
    )


def write_lists(folder: Path, own: str) -> None:
    """The hashed lists as they are, markers and all, and Curewright's own wheel with its hash."""
    digest = hashlib.sha256((folder / "wheels" / own).read_bytes()).hexdigest()
    name, version = own.split("-")[:2]
    listed = (ROOT / "requirements" / "run.txt").read_text(encoding="utf-8")
    (folder / "requirements.txt").write_text(
        listed + f"{name}=={version} \\\n    --hash=sha256:{digest}\n", encoding="utf-8"
    )
    shutil.copyfile(ROOT / "requirements" / "pip.txt", folder / "pip.txt")


def copy_installer(folder: Path) -> None:
    """The installer and its two callers; what Windows reads has its line ends."""
    for name in ("install.py", "install.sh"):
        shutil.copyfile(OFFLINE / name, folder / name)
    shutil.copyfile(ROOT / "LICENSE", folder / "LICENSE.txt")
    for name in ("install.cmd", "README.txt"):
        text = (OFFLINE / name).read_text(encoding="ascii")
        (folder / name).write_bytes(text.replace("\n", "\r\n").encode("ascii"))


def write_sums(folder: Path) -> None:
    """SHA256SUMS of all files."""
    files = sorted(file for file in folder.rglob("*") if file.is_file())
    lines = [
        f"{hashlib.sha256(file.read_bytes()).hexdigest()}  {file.relative_to(folder).as_posix()}" for file in files
    ]
    (folder / "SHA256SUMS").write_text("\n".join(lines) + "\n", encoding="utf-8", newline="\n")


def zipped(folder: Path, into: Path) -> Path:
    """The folder as a zip file, files in order and with one date: the same contents give the same bytes."""
    into.parent.mkdir(exist_ok=True)
    with zipfile.ZipFile(into, "w") as archive:
        for file in sorted(file for file in folder.rglob("*") if file.is_file()):
            entry = zipfile.ZipInfo(f"{folder.name}/{file.relative_to(folder).as_posix()}", (1980, 1, 1, 0, 0, 0))
            entry.external_attr = 0o644 << 16
            kind = zipfile.ZIP_STORED if file.suffix == ".whl" else zipfile.ZIP_DEFLATED
            archive.writestr(entry, file.read_bytes(), kind)
    return into


def sums_of(made: Path) -> str:
    """The SHA-256 of a bundle's SHA256SUMS: what is told by another way than the bundle."""
    with zipfile.ZipFile(made) as archive:
        (name,) = (name for name in archive.namelist() if name.endswith("/SHA256SUMS"))
        return hashlib.sha256(archive.read(name)).hexdigest()


def try_it(made: Path) -> None:
    """Unpack and install the bundle in a temporary folder, cut off from the network as far as this machine allows; judge the demo."""
    with tempfile.TemporaryDirectory() as scratch:
        with zipfile.ZipFile(made) as archive:
            archive.extractall(scratch)
        target = Path(scratch) / "where it goes"
        cut_off = ["unshare", "--net", "--map-root-user"]
        apart = cut_off if subprocess.run([*cut_off, "true"], capture_output=True).returncode == 0 else []
        if not apart:
            print("this machine does not let a process be cut off from the network: only pip is told to stay off it")
        environment = {name: value for name, value in os.environ.items() if name not in ("PYTHONPATH", "VIRTUAL_ENV")}
        environment |= {"PYTHON": sys.executable, "CUREWRIGHT_CACHE": str(Path(scratch) / "cache")}
        subprocess.run(
            [*apart, "sh", str(Path(scratch) / made.stem / "install.sh"), str(target)], check=True, env=environment
        )
        demo = [str(target / "bin" / "curewright"), "demo", str(Path(scratch) / "demo")]
        code = subprocess.run([*apart, *demo], env=environment, stdout=subprocess.DEVNULL, cwd=scratch).returncode
        if code not in (0, 10, 11, 12):  # the demo's verdicts are not all "met", as it means to show
            raise SystemExit(f"the installed program ended with {code}")
        print(f"installed from the bundle, without a network: the demo is judged (exit code {code})")


if __name__ == "__main__":
    main()
