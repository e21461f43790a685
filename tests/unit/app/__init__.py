"""Promises of the use cases: what they check, read, write and ask."""
