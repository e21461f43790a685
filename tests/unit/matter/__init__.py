"""Promises of the room that knows what chocolate, fat, sugar and crystals do."""
