"""What every face tells of a plan, in the same words: the policy as a table, times, the setting test, rescues."""

__all__: list[str] = []
