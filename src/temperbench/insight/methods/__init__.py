"""The methods: each plans one way of tempering, member by member on its own readings, under the same two risks."""

__all__: list[str] = []
