"""What holds for every test: no check is timed, and a slow machine fails none."""

from hypothesis import settings

settings.register_profile("intake", deadline=None)
settings.load_profile("intake")
