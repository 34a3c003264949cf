"""What every test may ask for: outside data, and how many examples the laws are tried on."""

from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from curewright.jobs.demo import write_demo

ROOT = Path(__file__).resolve().parents[1]

# `fixed` gives every run the same examples; `long` (make laws-long) looks for new ones and prints how to see a failure again.
# The first example of a law may compile a kernel: neither a deadline nor "too slow" says anything about the law.
settings.register_profile("fixed", derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile(
    "long", max_examples=2000, deadline=None, print_blob=True, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("fixed")


@pytest.fixture(scope="session")
def shared_data() -> Path:
    """The folder of outside data beside the repository; tests that need it are skipped where it is missing."""
    folder = ROOT.parent / "shared" / "data"
    if not folder.is_dir():
        pytest.skip("no ../shared/data beside the repository: what outside data would prove is not proved here")
    return folder


@pytest.fixture(scope="session")
def demo_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's files, written once: only for tests that leave them as they are."""
    folder = tmp_path_factory.mktemp("demo")
    write_demo(folder)
    return folder
