"""Who sees and who changes the price book."""

SEE = ("jobs.manage_prices", "jobs.see_margin")
CHANGE = "jobs.manage_prices"
