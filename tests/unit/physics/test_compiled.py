"""Compiled kernels: kept between processes, never stale, plain when asked, and still working where nothing can be written.

Each case runs fresh interpreters on a small copied package of two files, a helper and its caller, as a user's machine would.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import textwrap
from typing import TYPE_CHECKING

import pytest

from curewright.physics import compiled as module

if TYPE_CHECKING:
    from pathlib import Path

HELPER = """
from curewright.physics.compiled import compiled
def _step(x):
    return x + {step}
step = compiled("float64(float64)")(_step)
"""
CALLER = """
from curewright.physics.compiled import compiled
from curewright.physics.helper import step
def _sum_of_steps(x):
    total = 0.0
    for i in range(x.size):
        total += step(x[i])
    return total
sum_of_steps = compiled("float64(float64[::1])")(_sum_of_steps)
"""
ASK = """
import json, numpy as np
from curewright.judge import caller
before = getattr(caller.sum_of_steps, "overloads", ())
made_at_import = len(before)
value = caller.sum_of_steps(np.ones(3))
stats = getattr(caller.sum_of_steps, "stats", None)
print(json.dumps({
    "value": value,
    "made at import": made_at_import,
    "plain": caller.sum_of_steps is caller._sum_of_steps,
    "hits": sum(stats.cache_hits.values()) if stats else 0,
    "misses": sum(stats.cache_misses.values()) if stats else 0,
}))
"""


@pytest.fixture
def package(tmp_path: Path) -> Path:
    """A package of two kernels beside a copy of the module under test."""
    root = tmp_path / "site" / "curewright"
    for folder in ("physics", "judge"):
        (root / folder).mkdir(parents=True)
        (root / folder / "__init__.py").touch()
    (root / "__init__.py").touch()
    shutil.copy(module.__file__, root / "physics" / "compiled.py")
    (root / "physics" / "helper.py").write_text(HELPER.format(step="1.0"))
    (root / "judge" / "caller.py").write_text(CALLER)
    return root


def ask(package: Path, **environment: str) -> dict[str, object]:
    """What a fresh interpreter says of the caller kernel."""
    settings = {key: value for key, value in os.environ.items() if not key.startswith(("CUREWRIGHT_", "NUMBA_"))}
    settings |= {
        "PYTHONPATH": str(package.parent),
        "CUREWRIGHT_CACHE": str(package.parent.parent / "cache"),
        **environment,
    }
    answer = subprocess.run(
        [sys.executable, "-c", textwrap.dedent(ASK)], env=settings, capture_output=True, text=True, check=True
    )
    return json.loads(answer.stdout)  # type: ignore[no-any-return]


def test_the_second_process_loads_what_the_first_compiled(package: Path) -> None:
    first, second = ask(package), ask(package)
    assert (first["value"], first["hits"], first["misses"]) == (6.0, 0, 1)
    assert (second["value"], second["hits"], second["misses"]) == (6.0, 1, 0)


def test_nothing_is_compiled_or_loaded_before_it_is_called(package: Path) -> None:
    assert [ask(package)["made at import"] for _ in range(2)] == [0, 0]


def test_a_kernel_takes_what_its_signature_takes_and_refuses_the_rest(monkeypatch: pytest.MonkeyPatch) -> None:
    """The first call decides nothing: whatever it is given, the code is that of the one signature (left to itself, the compiler would
    make code for whole numbers here).
    """
    monkeypatch.delenv("CUREWRIGHT_UNCOMPILED", raising=False)
    twice = module.compiled("float64(float64)")(_double_of_any)
    assert twice(10**6) == 2e6
    assert type(twice(3)) is float
    with pytest.raises(TypeError, match="No matching definition"):
        twice("3")
    refused = module.compiled("float64(float64)")(_double_of_any)
    with pytest.raises(TypeError, match="No matching definition"):
        refused("3")


def test_code_that_cannot_be_typed_is_told_at_the_first_call_and_by_set_up(monkeypatch: pytest.MonkeyPatch) -> None:
    from numba.core.errors import TypingError

    monkeypatch.delenv("CUREWRIGHT_UNCOMPILED", raising=False)
    monkeypatch.setattr(module, "_KERNELS", [])
    wrong = module.compiled("float64(float64)")(_length_of_a_number)
    with pytest.raises(TypingError):
        wrong(1.0)
    with pytest.raises(TypingError):
        module.make_all()


def test_an_edited_helper_leaves_no_stale_code_in_its_caller(package: Path) -> None:
    assert ask(package)["value"] == 6.0
    helper = package / "physics" / "helper.py"
    times = helper.stat()
    helper.write_text(HELPER.format(step="2.0"))
    os.utime(helper, ns=(times.st_atime_ns, times.st_mtime_ns))  # same size, same time stamp: only the text tells
    assert ask(package)["value"] == 9.0
    helper.write_text(HELPER.format(step="1.0"))
    back = ask(package)
    assert (back["value"], back["hits"]) == (6.0, 1), "the earlier text finds its own code again"


def test_plain_functions_when_asked(package: Path) -> None:
    answer = ask(package, CUREWRIGHT_UNCOMPILED="1")
    assert (answer["value"], answer["plain"]) == (6.0, True)
    assert not (package.parent.parent / "cache").exists()
    assert ask(package, CUREWRIGHT_UNCOMPILED="0")["plain"] is False


def test_a_folder_that_cannot_be_written_is_never_replaced_by_one_beside_the_source(package: Path) -> None:
    blocked = package.parent.parent / "blocked"
    blocked.write_text("a file where a folder should be")
    answer = ask(package, CUREWRIGHT_CACHE=str(blocked))
    assert (answer["value"], answer["plain"]) == (6.0, False)
    assert not list(package.rglob("*.nbi")), "no code kept beside the source"


def test_the_cache_follows_the_users_own_setting(package: Path) -> None:
    elsewhere = package.parent.parent / "standard"
    answer = ask(package, CUREWRIGHT_CACHE="", XDG_CACHE_HOME=str(elsewhere))
    assert answer["value"] == 6.0
    assert list((elsewhere / "curewright" / "machine-code").glob("*/**/*.nbi"))


def test_division_by_zero_is_inf_and_the_order_of_a_sum_is_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("CUREWRIGHT_UNCOMPILED", raising=False)

    def ratio_plus(a: float, b: float, c: float) -> float:
        return a / b + c - c

    ratio = module.compiled("float64(float64, float64, float64)")(ratio_plus)
    assert ratio(1.0, 0.0, 0.0) == float("inf")
    assert ratio(1.0, 1.0, 1e16) == 0.0, "fast-math would cancel c and give 1"


def test_the_compilers_own_setting_is_left_as_it_was(monkeypatch: pytest.MonkeyPatch) -> None:
    import numba

    monkeypatch.delenv("CUREWRIGHT_UNCOMPILED", raising=False)
    before = numba.config.CACHE_DIR
    assert module.compiled("int64(int64)")(_double)(2) == 4
    assert before == numba.config.CACHE_DIR


def _double(x: int) -> int:
    return 2 * x


def _double_of_any(x: float) -> float:
    return x + x


def _length_of_a_number(x: float) -> float:
    return len(x)  # type: ignore[arg-type]


def test_the_compiler_leaves_scipy_alone_and_usable() -> None:
    """The compiler would import scipy's linear algebra, 0.1 s that no kernel needs; whoever needs it later still gets it."""
    script = (
        "import sys, curewright.judge.kernels.logic\n"
        "before = any(name.startswith('scipy.linalg') for name in sys.modules)\n"
        "import numpy as np, scipy.linalg.cython_blas\n"
        "from scipy.linalg import solve\n"
        "print(before, solve(np.array([[2.0]]), np.array([4.0]))[0])"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["False", "2.0"]
