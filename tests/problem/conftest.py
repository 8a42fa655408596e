"""The same cases every time, and no deadline, because machines differ."""

from hypothesis import settings

settings.register_profile("steady", deadline=None, derandomize=True, database=None, max_examples=60)
settings.load_profile("steady")
