"""One module per step of the book's layout, never changed once released."""

__all__: list[str] = []
