"""What the model gives, written down: it stays so until someone means to change it."""
