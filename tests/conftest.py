"""What holds for all tests: none is failed by a clock, and statements are compiled once."""

import hypothesis

from tests.compiled_once import share

hypothesis.settings.register_profile("stockroom", deadline=None)
hypothesis.settings.load_profile("stockroom")
share()
