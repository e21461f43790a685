"""Promises of the faces: command line, paper and drawing."""
