"""Tables of every physical, legal and trade value with its evidence; sources.toml. No Python besides this line."""

__all__: list[str] = []
