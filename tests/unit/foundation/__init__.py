"""Tests of the foundation: quantities, evidence, errors and numerics."""
