"""What holds for all tests: none is failed by a clock."""

import hypothesis

hypothesis.settings.register_profile("stockroom", deadline=None)
hypothesis.settings.load_profile("stockroom")
