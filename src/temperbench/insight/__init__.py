"""What the readings say and what to do next: plans, setting test, rescue, hold. Knows no face and no file."""

__all__: list[str] = []
