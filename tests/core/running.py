"""A shop of its own for tests that run whole processes: a data folder, its tables, and a way to ask it things."""

import os
import shutil
import socket
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

BASE = Path(__file__).resolve().parent.parent.parent


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def wait_until(holds: Callable[[], object], *, what: str, seconds: float = 60) -> None:
    deadline = time.monotonic() + seconds
    while time.monotonic() < deadline:
        if holds():
            return
        time.sleep(0.1)
    raise AssertionError(f"not within {seconds} s: {what}")


def alive(pid: int) -> bool:
    """Tell whether a process runs; one that has ended and waits to be reaped does not."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] not in "ZX"
    except FileNotFoundError:
        return False


class OwnShop:
    """Settings and commands of one shop in a folder."""

    def __init__(self, folder: Path, **settings: str) -> None:
        self.folder = folder
        self.environ = {name: value for name, value in os.environ.items() if not name.startswith("WICKLINE_")} | {
            "WICKLINE_ENV_FILE": os.devnull,
            "WICKLINE_DATA_DIR": str(folder),
            **settings,
        }

    def manage(self, *words: str, check: bool = True) -> subprocess.CompletedProcess[str]:
        """Run one of manage.py's commands to its end."""
        return subprocess.run(
            [sys.executable, "manage.py", *words],
            env=self.environ,
            cwd=BASE,
            capture_output=True,
            text=True,
            check=check,
            stdin=subprocess.DEVNULL,
            timeout=120,
        )

    def ask(self, code: str) -> str:
        """Run lines of Python inside the shop and return what they print."""
        return self.manage("shell", "--no-imports", "--verbosity", "0", "-c", code).stdout.strip()

    def count(self, rows: str) -> int:
        """Count rows in the shop's SQLite file, for example "core_duework WHERE state = 'done'"."""
        with closing(sqlite3.connect(self.folder / "wickline.sqlite3", timeout=20)) as file:
            return int(file.execute(f"SELECT count(*) FROM {rows}").fetchone()[0])

    def start(self, *words: str, log: Path) -> subprocess.Popen[bytes]:
        """Start a command that goes on running; its lines go to a file."""
        with log.open("wb") as file:
            return subprocess.Popen(
                list(words), env=self.environ, cwd=BASE, stdin=subprocess.DEVNULL, stdout=file, stderr=file
            )


def copy_tables(made: OwnShop, folder: Path) -> None:
    shutil.copy(made.folder / "wickline.sqlite3", folder / "wickline.sqlite3")
