"""Settings for every test: hypothesis tries the same examples on every run."""

from hypothesis import settings

settings.register_profile("bladelab", derandomize=True, deadline=None, max_examples=60)
settings.load_profile("bladelab")
