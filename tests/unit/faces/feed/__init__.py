"""The feed: messages of probes, what is believed of them, and the channels they come by."""
