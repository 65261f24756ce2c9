"""Loaded before Django: every test run has a data folder of its own, and no environment of the machine leaks in."""

import os
import tempfile

for name in [name for name in os.environ if name.startswith("WICKLINE_") and name not in ("WICKLINE_DATABASE_URL",)]:
    del os.environ[name]
os.environ["WICKLINE_DATA_DIR"] = tempfile.mkdtemp(prefix="wickline-tests-")
os.environ["WICKLINE_SHOP_ADDRESS"] = "http://shop.test"
