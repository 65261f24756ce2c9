"""The shop's settings, with the addresses of `empty_urls`."""

from shop.settings import *  # noqa: F403 - the shop's own settings, whole

ROOT_URLCONF = "tests.benchmarks.empty_urls"
