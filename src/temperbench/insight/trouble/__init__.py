"""The trouble-shooter: from what is seen, and what is known of the run, to ranked causes, checks and what to do."""

__all__: list[str] = []
