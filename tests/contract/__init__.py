"""Rules of the house that a machine can check: imports, units, evidence, sizes, public names, pages."""
