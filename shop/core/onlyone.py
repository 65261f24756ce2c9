"""One process at a time may do certain things on a data folder. The lock goes with the process, however it ends."""

import fcntl
import os
from pathlib import Path
from typing import IO


class Taken(Exception):
    """Another process holds the lock; `holder` is its process id as text, empty when unknown."""

    def __init__(self, holder: str) -> None:
        super().__init__(holder)
        self.holder = holder


def hold(path: Path) -> IO[str]:
    """Lock a file for as long as the returned file stays open. Raises `Taken` when another process holds it."""
    path.parent.mkdir(parents=True, exist_ok=True)
    file = path.open("a+")
    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        file.seek(0)
        holder = file.read().strip()
        file.close()
        raise Taken(holder) from None
    file.truncate(0)
    file.write(str(os.getpid()))
    file.flush()
    return file
