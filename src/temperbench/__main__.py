"""`python -m temperbench`: the same as the command `temperbench`."""

from temperbench.faces.cli.main import main

__all__: list[str] = []

if __name__ == "__main__":
    main()
