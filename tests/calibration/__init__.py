"""Whether bands hold the truth as often as they say: simulated kitchens against the live filter."""
