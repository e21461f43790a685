"""Tests of keeping a bowl in temper."""
