"""Promises of the command line: text, chart, errors and files."""
