"""Pages of messages to customers."""
