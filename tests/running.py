"""A ledger of its own in other processes, as a club runs it: gunicorn, collected static files, a folder of its own.

For what cannot be shown by a server inside the test: that it is stopped, started again, and of another release.
"""

import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
START_S = 60
# How `session_of` finds its line among what a busy machine's processes print.
_MARK = "session="


class RunningLedger:
    """`prepare()` once, then `start()` and `stop()` as often as wanted. The port stays the same."""

    def __init__(self, var: Path, *, port: int | None = None) -> None:
        self.var, self.port = var, port or free_port()
        self.process: subprocess.Popen[bytes] | None = None

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def prepare(self) -> None:
        """Tables, reference and static files. Whatever is there stays."""
        self.manage("migrate", "--verbosity", "0")
        self.manage("load_reference")
        self.manage("collectstatic", "--noinput", "--verbosity", "0")

    def manage(self, *arguments: str) -> str:
        """Run a command of manage.py; raises with what it said where it fails."""
        done = subprocess.run(
            [sys.executable, "manage.py", *arguments],
            cwd=ROOT,
            env=self._environment(),
            capture_output=True,
            text=True,
        )
        assert done.returncode == 0, f"manage.py {arguments[0]} failed: {done.stdout}{done.stderr}"
        return done.stdout

    def python(self, lines: str) -> str:
        """Run lines of Python inside this ledger."""
        return self.manage("shell", "--no-imports", "-c", lines)

    def session_of(self, sign_in_name: str, password: str = "chestnut-rain-41") -> str:
        """The session cookie of that member, who is made a plain member first where there is none."""
        said = self.python(
            "from ledger.people.models import Member, Role\n"
            "from importlib import import_module\n"
            "from django.conf import settings\n"
            "from django.contrib.auth import SESSION_KEY, BACKEND_SESSION_KEY, HASH_SESSION_KEY\n"
            f"name = {sign_in_name!r}\n"
            "member = Member.objects.filter(sign_in_name=name).first() or Member.objects.create_member(\n"
            f"    name, {password!r}, full_name='Ada Thorne', collector_code='AT', role=Role.MEMBER)\n"
            "session = import_module(settings.SESSION_ENGINE).SessionStore()\n"
            "session[SESSION_KEY] = str(member.pk)\n"
            "session[BACKEND_SESSION_KEY] = 'django.contrib.auth.backends.ModelBackend'\n"
            "session[HASH_SESSION_KEY] = member.get_session_auth_hash()\n"
            "session.save()\n"
            f"print({_MARK!r} + session.session_key)\n"
        )
        found = re.search(rf"{_MARK}(\w+)", said)
        assert found, said
        return found.group(1)

    def start(self) -> None:
        assert self.process is None, "it runs already"
        self.process = subprocess.Popen(
            [
                *(sys.executable, "-m", "gunicorn", "-c", "python:ledger.serving"),
                *("--bind", f"127.0.0.1:{self.port}", "--log-level", "error", "ledger.wsgi"),
            ],
            cwd=ROOT,
            env=self._environment(),
            start_new_session=True,
        )
        end = time.monotonic() + START_S
        while time.monotonic() < end:
            try:
                with urllib.request.urlopen(f"{self.address}/phone/no-signal/", timeout=5):
                    return
            except OSError:
                time.sleep(0.1)
        self.stop()
        raise AssertionError(f"no answer from {self.address} within {START_S} s")

    def warm(self, *paths: str, session: str = "") -> None:
        """Ask for these pages until every process has answered: what a process does once is no part of a measurement."""
        for path in paths * 12:
            request = urllib.request.Request(
                self.address + path, headers={"Cookie": f"ledger_session={session}"}
            )
            with urllib.request.urlopen(request, timeout=START_S) as answer:
                answer.read()

    def stop(self, *, hard: bool = False) -> None:
        """End it; *hard* is as a power cut would."""
        if self.process is None:
            return
        if hard:
            os.killpg(self.process.pid, signal.SIGKILL)  # its workers with it
        else:
            self.process.send_signal(signal.SIGTERM)
        self.process.wait(timeout=30)
        self.process = None

    def _environment(self) -> dict[str, str]:
        clean = {
            name: value for name, value in os.environ.items() if not name.startswith(("LEDGER_", "DATABASE_"))
        }
        return clean | {"LEDGER_VAR": str(self.var), "DJANGO_SETTINGS_MODULE": "ledger.settings"}

    def __enter__(self) -> "RunningLedger":
        self.start()
        return self

    def __exit__(self, *_: object) -> None:
        self.stop()


def free_port() -> int:
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        port: int = listener.getsockname()[1]
        return port
