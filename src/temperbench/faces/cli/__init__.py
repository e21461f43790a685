"""The command line: options and job files in, text and JSON out."""

__all__: list[str] = []
