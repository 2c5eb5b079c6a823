"""The materials engine: pure reckoning, no framework, no clock, no database, no money."""
