"""Command line, paper and drawing: parse, call one use case, render. No physics."""

__all__: list[str] = []
