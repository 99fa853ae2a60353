"""What all tests share: property tests draw the same cases on every machine, without a clock."""

from hypothesis import settings

settings.register_profile("house", deadline=None, derandomize=True)
settings.load_profile("house")
