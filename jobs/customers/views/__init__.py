"""Pages of customers, their contacts, and what is known of a person."""
