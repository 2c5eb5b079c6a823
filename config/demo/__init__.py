"""The demo firm: invented, in mid-season, built through the services that people use."""
