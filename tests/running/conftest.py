"""The console and the settings of the tests of the commands."""

from tests.work.conftest import console, services, settings  # noqa: F401
