"""Install Curewright from this folder, without a network: python install.py [FOLDER]

Checks every file of the bundle against SHA256SUMS, makes a virtual environment in FOLDER (curewright in your local application
folder, or ~/.local/share/curewright, where none is named), puts the wheels of this bundle into it by their hashes, compiles
what is compiled once, and says where the command is. Nothing else on the machine is changed; to remove it, delete the folder.
"""

import hashlib
import json
import os
import subprocess
import sys
import sysconfig
import venv
from pathlib import Path

BUNDLE = Path(__file__).resolve().parent


def main(arguments: list[str]) -> int:
    """Install; 0 when done, 1 with a message of what to do when it cannot be."""
    target = Path(arguments[0]).absolute() if arguments else usual_folder()
    try:
        for step in (check_machine, check_files):
            step(BUNDLE)
        install(BUNDLE, target)
    except NotInstalledError as error:
        print(f"not installed: {error}", file=sys.stderr)
        return 1
    print(f"Installed. The command is\n\n    {command(target)}\n\nTry it: {command(target).name} demo")
    return 0


class NotInstalledError(Exception):
    """Why it cannot be installed, and what to do."""


def usual_folder() -> Path:
    """Where it goes when nobody says where."""
    if os.name == "nt":
        return Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local") / "Curewright"
    return Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share") / "curewright"


def command(target: Path) -> Path:
    """The command inside an environment."""
    return target / "Scripts" / "curewright.exe" if os.name == "nt" else target / "bin" / "curewright"


def check_machine(bundle: Path) -> None:
    """This Python on this machine is one that the bundle has wheels for."""
    made_for = json.loads((bundle / "bundle.json").read_text(encoding="utf-8"))
    here = {"python": "{}.{}".format(*sys.version_info), "platform": sysconfig.get_platform().replace("-", "_")}
    if here["python"] not in made_for["python"] or here["platform"] != made_for["platform"]:
        raise NotInstalledError(
            f"this is Python {here['python']} on {here['platform']}; the bundle is for Python {', '.join(made_for['python'])} on "
            f"{made_for['platform']} (64 bit). Install one of these, or ask for a bundle that was made for this machine."
        )


def check_files(bundle: Path) -> None:
    """Every file of the bundle is there and whole, and no wheel lies here that does not belong to it."""
    listed = {}
    for line in (bundle / "SHA256SUMS").read_text(encoding="utf-8").splitlines():
        expected, name = line.split("  ", 1)
        listed[name] = expected
    for name, expected in listed.items():
        file = bundle / name
        if not file.is_file():
            raise NotInstalledError(f"{name} is missing. Copy the whole bundle again.")
        if hashlib.sha256(file.read_bytes()).hexdigest() != expected:
            raise NotInstalledError(f"{name} is not as it was when the bundle was made. Copy the whole bundle again.")
    for wheel in sorted((bundle / "wheels").iterdir()):
        if f"wheels/{wheel.name}" not in listed:
            raise NotInstalledError(f"wheels/{wheel.name} does not belong to this bundle. Copy the whole bundle again.")


def install(bundle: Path, target: Path) -> None:
    """A new environment in ``target`` with the wheels of the bundle."""
    if target.exists() and not (target / "pyvenv.cfg").is_file() and any(target.iterdir()):
        raise NotInstalledError(f"{target} holds something else. Name an empty folder: install {target}-2")
    try:
        venv.EnvBuilder(with_pip=True, clear=True).create(target)
    except (OSError, subprocess.CalledProcessError) as error:
        raise NotInstalledError(
            f"no environment can be made in {target} ({error}). Name a folder that you may write."
        ) from None
    python = command(target).with_name("python.exe" if os.name == "nt" else "python")
    for name in ("pip.txt", "requirements.txt"):  # the newer pip first
        pip(python, bundle, name)
    quiet(python, ["-m", "curewright.jobs.warm"], "Curewright is installed, but could not prepare itself")


def pip(python: Path, bundle: Path, name: str) -> None:
    """Install one list by its hashes from the wheels beside it, and from nowhere else."""
    options = ["--no-index", "--find-links", str(bundle / "wheels"), "--require-hashes", "--only-binary", ":all:"]
    words = ["-m", "pip", "install", "--quiet", "--disable-pip-version-check", "--no-cache-dir", *options]
    quiet(python, [*words, "-r", str(bundle / name)], "pip could not install the wheels")


def quiet(python: Path, words: list[str], otherwise: str) -> None:
    """Run Python with settings of this machine left out that could lead pip elsewhere; its words are shown if it fails."""
    left_out = ("PIP_", "PYTHON")
    environment = {name: value for name, value in os.environ.items() if not name.startswith(left_out)}
    environment |= {"PIP_CONFIG_FILE": os.devnull, "PYTHONUTF8": "1"}
    done = subprocess.run(
        [str(python), *words], env=environment, capture_output=True, text=True, encoding="utf-8", errors="replace"
    )
    if done.returncode:
        raise NotInstalledError(f"{otherwise}:\n{done.stdout}{done.stderr}")


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
