"""Check that what is stored still adds up."""

import sys
from typing import Any

from shop.core.commands import ShopCommand
from shop.floor.verify import problems


class Command(ShopCommand):
    """Print what does not add up; status 1 when anything does not."""

    help = "Checks the trail's chains, the stock's sums and the books against what was recorded."

    def handle(self, *_args: Any, **_options: Any) -> None:
        """Check."""
        found = problems()
        for sentence in found:
            self.stdout.write(sentence)
        if not found:
            self.stdout.write("Everything adds up.")
        sys.exit(bool(found))
