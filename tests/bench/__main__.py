"""All benchmarks, one after the other; each prints its figures as a ratio within its own run."""

import subprocess
import sys

for name in ("bench_log_find", "bench_checks", "bench_labels"):
    subprocess.run([sys.executable, "-m", f"tests.bench.{name}"], check=True)
