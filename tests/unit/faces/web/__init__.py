"""Tests of the web face without a browser."""
