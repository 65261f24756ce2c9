"""Loaded before Django: every test run has a data folder of its own, and no environment of the machine leaks in."""

import atexit
import os
import shutil
import tempfile

for name in [name for name in os.environ if name.startswith("WICKLINE_") and name not in ("WICKLINE_DATABASE_URL",)]:
    del os.environ[name]
_data_dir = tempfile.mkdtemp(prefix="wickline-tests-")
atexit.register(shutil.rmtree, _data_dir, ignore_errors=True)
os.environ["WICKLINE_ENV_FILE"] = os.devnull
os.environ["WICKLINE_DATA_DIR"] = _data_dir
os.environ["WICKLINE_SHOP_ADDRESS"] = "http://shop.test"
