"""Machine code for plain functions, kept on disk so that the next process starts at once, and never stale.

Use by assignment at module level, with one explicit signature, so that tests and mutation see the plain function::

    def _largest(x): ...

    largest = compiled("float64(float64[::1])")(_largest)

The code is made, or loaded from where it was kept, when a kernel is first called or first asked for by another one that is being
compiled: a command uses a fifth of the kernels that it imports, and loading one takes 4 ms. :func:`make_all` makes every one.

The folder of kept code is named by everything that machine code depends on: the text of every source file that a kernel can
draw on (an edited helper or constant would otherwise live on inside its callers), the versions of the compiler, of NumPy and of
Python, and the processor. It lies under ``CUREWRIGHT_CACHE``, else under the user's cache folder. A folder that cannot be written
only costs the time of compiling. With ``CUREWRIGHT_UNCOMPILED=1`` functions stay as they are.

No fast-math: sums keep their order, so the same input gives the same bits. ``error_model='numpy'``: division by zero gives
inf or nan as in NumPy, no exception. ``nogil``: threads of whoever calls run side by side.
"""

from __future__ import annotations

import importlib
import os
import sys
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable

Function = TypeVar("Function")

PACKAGE = Path(__file__).resolve().parents[1]
SOURCE_FOLDERS = (
    "physics",
    "judge/kernels",
    "read/kernels",
)  # kernels live here and import only from here (a house test sees to it)
OPTIONS: dict[str, Any] = {"nogil": True, "error_model": "numpy", "fastmath": False, "boundscheck": False}


def compiled(signature: str) -> Callable[[Function], Function]:
    """A wrapper that turns a plain module-level function into machine code for one signature (Numba's notation).

    Compiles, or loads what was kept, at the first call, which raises what the compiler raises on code it cannot type.
    """

    def compile_it(function: Function) -> Function:
        return function if uncompiled() else _machine_code(signature, function)

    return compile_it


def uncompiled() -> bool:
    """Whether the environment asks for plain functions (``CUREWRIGHT_UNCOMPILED``), for coverage and mutation tests."""
    return os.environ.get("CUREWRIGHT_UNCOMPILED", "") not in ("", "0")


def make_all() -> int:
    """Compiles, or loads what was kept, every kernel that is imported and waits for its first call; how many are imported."""
    for kernel in _KERNELS:
        kernel.make()
    return len(_KERNELS)


_KERNELS: list[Any] = []  # in the order of their import


def multiply_add() -> Callable[[float, float, float], float]:
    """A function of a, b and c for use in kernels: a b + c rounded once, the same bits on every machine; plain where nothing is compiled.

    One instruction on processors since 2013, with half the wait of a product and a sum. Older ones work it out.
    """
    return _plainly if uncompiled() else _rounded_once()


def _plainly(a: float, b: float, c: float) -> float:
    return a * b + c


@cache
def _rounded_once() -> Any:
    number, extending = _compiler().float64, importlib.import_module("numba.extending")

    def multiply_and_add(_typing: Any, a: Any, b: Any, c: Any) -> Any:  # noqa: ARG001 - the compiler counts them
        return number(number, number, number), lambda _context, builder, _signature, numbers: builder.fma(*numbers)

    return extending.intrinsic(multiply_and_add)


def _machine_code(signature: str, function: Function) -> Function:
    _compiler()
    kernel = _kernel_class()(function, targetoptions={"nopython": True, **OPTIONS})
    kernel.signature = signature
    _KERNELS.append(kernel)
    return kernel  # type: ignore[no-any-return]


def array_at(dtype: Any) -> Any:
    """A function of (address, length) for kernels that take many arrays at once as a table of their addresses.

    It gives the array of that kind which begins there. Whoever hands over an address keeps its array, contiguous and of that kind,
    until the kernel is done.
    """
    return _plain_array_at(dtype) if uncompiled() else _compiled_array_at(dtype)


def _plain_array_at(dtype: Any) -> Any:

    import numpy as np

    kind = np.ctypeslib.as_ctypes_type(dtype)
    return lambda address, length: np.ctypeslib.as_array((kind * int(length)).from_address(int(address)))


def _compiled_array_at(dtype: Any) -> Any:
    numba = _compiler()
    from numba.core import cgutils, types
    from numba.extending import intrinsic

    def pointer(_typing: Any, address: Any) -> Any:
        def code(_context: Any, builder: Any, _signature: Any, values: Any) -> Any:
            return builder.inttoptr(values[0], cgutils.voidptr_t)

        return types.voidptr(address), code

    to_pointer: Any = intrinsic(pointer)
    carray = numba.carray

    def found(address: Any, length: Any) -> Any:
        return carray(to_pointer(address), (length,), dtype)

    return numba.njit(**OPTIONS)(found)


@cache
def _kernel_class() -> Any:
    """The compiler's own callable, but made for its one signature when it is first needed instead of for whatever it is called with."""
    from numba.core.compiler_lock import global_compiler_lock
    from numba.core.registry import CPUDispatcher

    class Kernel(CPUDispatcher):
        signature: str
        _can_compile: bool

        def make(self) -> None:
            with global_compiler_lock:  # of two threads that ask at once, one makes it
                if self._can_compile:
                    self._kept()
                    self.compile(self.signature)
                    self.disable_compile()

        def _kept(self) -> None:
            folder, config = cache_folder(), _compiler().config
            if folder is not None:
                before, config.CACHE_DIR = config.CACHE_DIR, str(folder)  # read once, here
                try:
                    self.enable_caching()
                finally:
                    config.CACHE_DIR = before

        def _compile_for_args(self, *_args: Any, **_named: Any) -> Any:
            self.make()
            return self  # which is then called, and finds its one signature

        def get_call_template(self, args: Any, named: Any) -> Any:
            self.make()
            return super().get_call_template(args, named)

    return Kernel


@cache
def _compiler() -> Any:
    """The compiler, imported when the first kernel asks for it (0.2 s that a plain command does not need).

    Where scipy is installed, the compiler imports its linear algebra (another 0.1 s and more) to have BLAS at hand. No kernel
    uses it, so it is kept from finding it; scipy itself stays as usable as before.
    """
    blas = "scipy.linalg.cython_blas"
    hidden = blas not in sys.modules
    if hidden:
        sys.modules[blas] = None  # type: ignore[assignment]  # an import of it fails until it is taken out again
    try:
        import numba
        import numba.np.arraymath  # asks for BLAS when it is imported, and never again
    finally:
        if hidden:
            del sys.modules[blas]
    return numba


@cache
def cache_folder() -> Path | None:
    """Where this program version's machine code is kept on this machine; None where nothing can be written.

    Checked by writing, because the compiler would silently fall back on a folder beside the source, which is not keyed.
    """
    try:
        folder = _cache_root() / "machine-code" / key()
        folder.mkdir(parents=True, exist_ok=True)
        probe = folder / f".probe-{os.getpid()}"
        probe.write_bytes(b"")
        probe.unlink()
    except (OSError, RuntimeError):
        return None
    return folder


def _cache_root() -> Path:
    if chosen := os.environ.get("CUREWRIGHT_CACHE"):
        return Path(chosen)
    if standard := os.environ.get("XDG_CACHE_HOME"):
        return Path(standard) / "curewright"
    return Path.home() / ".cache" / "curewright"


@cache
def key() -> str:
    """32 hexadecimal digits for sources, compiler and processor together."""
    digest = sha256()
    for part in (*_sources(), *_toolchain()):
        digest.update(len(part).to_bytes(8, "big"))
        digest.update(part)
    return digest.hexdigest()[:32]


def _sources() -> tuple[bytes, ...]:
    """Name and text of every source file that machine code may come from, in a fixed order."""
    files = sorted(file for folder in SOURCE_FOLDERS for file in (PACKAGE / folder).rglob("*.py"))
    return tuple(part for file in files for part in (file.relative_to(PACKAGE).as_posix().encode(), file.read_bytes()))


def _toolchain() -> tuple[bytes, ...]:
    import llvmlite  # type: ignore[import-untyped]
    import numba
    import numpy as np
    from llvmlite import binding

    names = (numba.__version__, llvmlite.__version__, np.__version__, sys.version)
    processor = (binding.get_default_triple(), binding.get_host_cpu_name(), binding.get_host_cpu_features().flatten())
    return tuple(text.encode() for text in (*names, *processor))
