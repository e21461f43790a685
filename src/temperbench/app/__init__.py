"""One module per task of the user: the only door for the faces."""

__all__: list[str] = []
