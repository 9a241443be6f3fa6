"""The tests of partcheck; ``DEVELOPERS.md`` says how they are run."""

from tests.bytecode import is_kept

is_kept()
