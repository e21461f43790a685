"""Tests of temperbench.insight."""
