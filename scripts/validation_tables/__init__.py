"""The computations behind docs/validation.md, one module per subject; ``scripts/validate.py`` runs them all."""
