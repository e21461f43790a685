"""What chocolate, fat, sugar, water and air do: composition, heat, crystals, flow. Knows no bowl and no oven."""

__all__: list[str] = []
