"""A private copy of the shop on a free port, with the demo's people and library but no units."""

import os
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from urllib.error import URLError
from urllib.request import urlopen

from django.conf import settings

from shop.core.supervisor import end_with_parent

_WAIT_S = 90
_LAST_WORDS = 1500
_MANAGE = [sys.executable, str(settings.BASE_DIR / "manage.py")]


class NotStarted(Exception):
    """The copy did not come up; the text says what it said last."""


@dataclass(frozen=True, slots=True)
class Shop:
    """A running shop: where it is, and, where it is on this machine, its messages and its settings."""

    address: str
    mail: Path | None = None
    environ: dict[str, str] = field(default_factory=dict)

    @property
    def private(self) -> bool:
        """Tell whether it is a copy of our own, whose stored data may be looked at."""
        return bool(self.environ)

    def verify(self) -> tuple[int, str]:
        """Return status and words of `manage.py verify` on the copy's data."""
        ended = subprocess.run(  # noqa: S603
            [*_MANAGE, "verify"], env=self.environ, capture_output=True, text=True, check=False
        )
        return ended.returncode, (ended.stdout + ended.stderr).strip()


def free_port() -> int:
    """Return a port of 127.0.0.1 that nobody listens at now."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@contextmanager
def private_shop() -> Iterator[Shop]:
    """Run a shop for the length of a with block. Raises NotStarted."""
    with tempfile.TemporaryDirectory(prefix="wickline-walk-") as folder:
        # The demo keeps to a folder of this name inside the one that it is given.
        data, address = Path(folder) / "demo", f"http://127.0.0.1:{free_port()}"
        environ = {name: value for name, value in os.environ.items() if not name.startswith("WICKLINE_")}
        environ |= {
            "WICKLINE_DATA_DIR": str(data),
            "WICKLINE_SHOP_ADDRESS": address,
            "WICKLINE_ENV_FILE": os.devnull,
        }
        log = Path(folder) / "log"
        with log.open("wb") as out:
            _furnish(environ | {"WICKLINE_DATA_DIR": folder}, log, out.fileno())
            shop = subprocess.Popen(  # noqa: S603
                [*_MANAGE, "serve", "--port", address.rsplit(":", 1)[1]],
                env=environ,
                stdin=subprocess.DEVNULL,
                stdout=out,
                stderr=out,
                preexec_fn=end_with_parent,  # noqa: PLW1509 - there is one thread here
            )
            try:
                _wait(address, shop, log)
                yield Shop(address, data / "mail", environ)
            finally:
                shop.terminate()
                shop.wait(30)


def _furnish(environ: dict[str, str], log: Path, out: int) -> None:
    """Prepare the tables and the invented library."""
    ended = subprocess.run([*_MANAGE, "demo", "--only-furnish"], env=environ, stdout=out, stderr=out, check=False)  # noqa: S603
    if ended.returncode:
        raise NotStarted(f"expected an invented library in a private copy; found:\n{_last_words(log)}")


def _wait(address: str, shop: "subprocess.Popen[bytes]", log: Path) -> None:
    """Wait until the shop says that it is ready."""
    deadline = time.monotonic() + _WAIT_S
    while time.monotonic() < deadline and shop.poll() is None:
        try:
            with urlopen(f"{address}/readyz", timeout=2) as answer:  # noqa: S310
                if answer.status == 200:
                    return
        except (URLError, OSError):
            time.sleep(0.3)
    raise NotStarted(f"expected a private copy that is ready within {_WAIT_S} s; found:\n{_last_words(log)}")


def _last_words(log: Path) -> str:
    return log.read_text(errors="replace")[-_LAST_WORDS:]
