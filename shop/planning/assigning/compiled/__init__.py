"""The inner loops of planning, compiled by numba when they are first called.

The machine code is kept for the next process, under a name made of these sources: numba itself looks only at the file
of the function that is called, and would go on with what was compiled of the others before a change.
"""

import os
from hashlib import sha256
from pathlib import Path

import numba

_HERE = Path(__file__).parent
_OF = sha256(b"".join(source.read_bytes() for source in sorted(_HERE.glob("*.py")))).hexdigest()[:16]
numba.config.CACHE_DIR = str(  # type: ignore[attr-defined]
    Path(os.environ.get("WICKLINE_COMPILED_DIR") or _HERE / "__pycache__") / _OF
)
