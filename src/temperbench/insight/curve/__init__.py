"""What a logged cooling curve of a sample tells: its bend, and the crystals it began with."""

__all__: list[str] = []
