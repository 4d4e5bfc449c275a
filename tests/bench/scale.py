"""A ledger of a million finds held against one of ten thousand: medians of alternating rounds, and their ratio.

    python -m tests.bench.scale --small 10000 --large 1000000 --rounds 11 [--write] [--only search]
    python -m tests.bench.scale --large 1000000 --rounds 1 --archive [--write]

Makes both ledgers where they are missing, in LEDGER_VAR/scale (and on the PostgreSQL of DATABASE_URL, in databases of
their own); minutes for a million finds. `--write` keeps the report in fixtures/reports/scale.md. Not a test.
"""

import argparse
import json
import os
import platform
import statistics
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

from tests.bench import scale_export

ROOT = Path(__file__).resolve().parents[2]
REPORT = ROOT / "fixtures" / "reports" / "scale.md"
# What is asked of a million: at most three times the time at ten thousand, and under 300 ms.
MOST_RATIO, MOST_MS = 3.0, 300.0


@dataclass(frozen=True, slots=True)
class Row:
    """Medians in ms of one question at the small and at the large ledger: by the wall's clock, and of the processor."""

    name: str
    small: float
    large: float
    small_cpu: float
    large_cpu: float

    @property
    def ratio(self) -> float:
        return self.large / self.small

    @property
    def is_beyond(self) -> bool:
        return self.large > MOST_MS or self.ratio > MOST_RATIO


class Ledger:
    """One ledger with its worker process."""

    def __init__(self, many: int) -> None:
        self.many = many
        self.environment = dict(os.environ)
        var = Path(os.environ.get("LEDGER_VAR", "var/bench")).resolve()
        url = os.environ.get("DATABASE_URL", "")
        self.kind = "PostgreSQL" if url.startswith("postgres") else "SQLite"
        folder = var / f"scale-{self.kind.lower()}-{many}"
        folder.mkdir(parents=True, exist_ok=True)
        self.environment["LEDGER_VAR"] = str(folder)
        self.took = folder / "took.json"
        if url:
            self.environment["DATABASE_URL"] = self._database(url)

    def _database(self, url: str) -> str:
        parts = urlsplit(url)
        name = f"scale_{self.many}"
        import psycopg

        with psycopg.connect(url, autocommit=True) as known:
            if not known.execute("SELECT 1 FROM pg_database WHERE datname = %s", [name]).fetchone():
                known.execute(f'CREATE DATABASE "{name}"')
                self.took.unlink(missing_ok=True)
        return urlunsplit(parts._replace(path=f"/{name}"))

    def make(self) -> dict[str, float]:
        """Fill it where that was not done before; the seconds it took."""
        if not self.took.exists():
            sys.stderr.write(f"Making a ledger of {self.many:,} finds on {self.kind}\n")
            load = [sys.executable, "-m", "tests.bench.scale_load", str(self.many), "--took", str(self.took)]
            subprocess.run(load, env=self.environment, cwd=ROOT, check=True)
        took: dict[str, float] = json.loads(self.took.read_text())
        return took

    def start(self) -> list[str]:
        worker = [sys.executable, "-m", "tests.bench.scale_worker"]
        self.process = subprocess.Popen(
            worker, env=self.environment, cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )
        return self._read().split("\t")

    def _read(self) -> str:
        assert self.process.stdout is not None
        line = self.process.stdout.readline()
        if not line:
            raise SystemExit("A worker has ended; what it said stands above.")
        return line.rstrip("\n")

    def ask(self, name: str, number: int) -> tuple[float, float]:
        """Milliseconds by the clock on the wall, and of the processor."""
        assert self.process.stdin is not None
        self.process.stdin.write(f"{name}\t{number}\n")
        self.process.stdin.flush()
        wall, cpu = self._read().split("\t")
        return float(wall), float(cpu)


def measured(small: Ledger, large: Ledger, rounds: int, only: str) -> list[Row]:
    names = [name for name in large.start() if only in name]
    known = set(small.start())
    rows = []
    for grouped in names:
        if grouped not in known:
            continue
        name = grouped.partition(":")[2]
        times: list[tuple[float, float, float, float]] = []
        for number in range(rounds + 2):
            one, other = small.ask(name, number), large.ask(name, number)
            if number >= 2:  # the first ones compile, and read from the disk
                times.append((one[0], other[0], one[1], other[1]))
        row = Row(name, *(statistics.median(each) for each in zip(*times, strict=True)))
        sys.stderr.write(
            f"{name:50} {row.small:8.1f} {row.large:8.1f} {row.ratio:6.2f}{' <' if row.is_beyond else '  '} "
            f"processor {row.small_cpu:8.1f} {row.large_cpu:8.1f}\n"
        )
        rows.append(row)
    return rows


def report(small: Ledger, large: Ledger, took: dict[str, float], rows: list[Row], rounds: int) -> str:
    lines = [
        f"## {large.kind}",
        "",
        f"{large.many:,} finds with {10 * large.many:,} readings against {small.many:,}; medians of {rounds} alternating "
        f"rounds in one run, whole answers of the running program (Python {platform.python_version()}) by the clock, and "
        f"the processor's time of the same. The rows took {took['rows_s']:.0f} s to make, their "
        f"index {took['index_s']:.0f} s.",
        "",
        f"| what | {small.many:,} (ms) | {large.many:,} (ms) | ratio | processor {small.many:,} | {large.many:,} |",
        "| --- | ---: | ---: | ---: | ---: | ---: |",
    ]
    lines += [
        f"| {row.name} | {row.small:.1f} | {row.large:.1f} | {row.ratio:.2f}{' **' if row.is_beyond else ''} "
        f"| {row.small_cpu:.1f} | {row.large_cpu:.1f} |"
        for row in rows
    ]
    beyond = sum(row.is_beyond for row in rows)
    lines += ["", f"Beyond three times or {MOST_MS:.0f} ms, marked **: {beyond} of {len(rows)}.", ""]
    return "\n".join(lines)


def main() -> None:
    given = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    given.add_argument("--small", type=int, default=10_000)
    given.add_argument("--large", type=int, default=1_000_000)
    given.add_argument("--rounds", type=int, default=11)
    given.add_argument("--only", default="", help="only what has this in its name")
    given.add_argument("--archive", action="store_true", help="only the archive of the large ledger")
    given.add_argument("--write", action="store_true", help="keep the report in fixtures/reports/scale.md")
    asked = given.parse_args()
    if asked.archive:
        _archive(Ledger(asked.large), asked.rounds, write=asked.write)
        return
    small, large = Ledger(asked.small), Ledger(asked.large)
    small.make()
    took = large.make()
    said = report(small, large, took, measured(small, large, asked.rounds, asked.only), asked.rounds)
    if not asked.only:
        said += "\n" + "\n".join(scale_export.lines_of(scale_export.told_of(large.environment)))
    sys.stdout.write(said + "\n")
    if asked.write:
        _write(large.kind, said)


def _archive(large: Ledger, rounds: int, *, write: bool) -> None:
    """Only the archive, whose paragraph is the last of its part of the report."""
    large.make()
    lines = scale_export.lines_of(scale_export.told_of(large.environment, rounds=rounds))
    sys.stdout.write("\n".join(lines) + "\n")
    if write:
        written = REPORT.read_text() if REPORT.exists() else ""
        _, _, part = written.partition(f"## {large.kind}\n")
        before = part.partition("\n## ")[0].partition("\nThe archive of ")[0]
        _write(large.kind, f"## {large.kind}\n{before.rstrip()}\n\n" + "\n".join(lines))


def _write(kind: str, said: str) -> None:
    """Put the part of this database in its place; the other's stays."""
    head = (
        "# How a ledger keeps its pace as it grows\n\n"
        "Made by `make bench-scale`; the ledgers are drawn by seed (tests/bench/scale_rows.py). "
        "What grows is read by indexes,\nso that a page takes about as long as in a small club.\n\n"
    )
    parts = {"SQLite": "", "PostgreSQL": ""}
    if REPORT.exists():
        for part in REPORT.read_text().split("\n## ")[1:]:
            parts[part.partition("\n")[0]] = "## " + part.rstrip("\n") + "\n"
    parts[kind] = said.rstrip("\n") + "\n"
    REPORT.write_text(head + "\n".join(part for part in parts.values() if part))


if __name__ == "__main__":
    main()
