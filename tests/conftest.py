"""Settings of every test: property tests have no deadline, because a busy machine is not a fault of the code."""

from hypothesis import settings

settings.register_profile("house", deadline=None)
settings.load_profile("house")
