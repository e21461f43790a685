"""Tests of the batch book."""
