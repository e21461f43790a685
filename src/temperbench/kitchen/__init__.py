"""What happens in things: oven, bowl, film on paper, thermometers, and the simulators. Decides nothing."""

__all__: list[str] = []
