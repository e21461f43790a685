"""The record: runs and what happened in them, kit, lots. SQLite, or PostgreSQL by URL. Knows rows and no physics."""

__all__: list[str] = []
