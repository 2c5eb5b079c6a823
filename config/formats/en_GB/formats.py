"""Dates and figures as the firm writes them."""

DATE_FORMAT = "D j M Y"
SHORT_DATE_FORMAT = "j M Y"
DATETIME_FORMAT = "D j M Y, H:i"
SHORT_DATETIME_FORMAT = "j M Y H:i"
TIME_FORMAT = "H:i"
FIRST_DAY_OF_WEEK = 1
DECIMAL_SEPARATOR = "."
THOUSAND_SEPARATOR = ","
NUMBER_GROUPING = 3
DATE_INPUT_FORMATS = ["%Y-%m-%d", "%d/%m/%Y", "%d/%m/%y", "%d %b %Y", "%d %B %Y"]
DATETIME_INPUT_FORMATS = ["%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M", "%d/%m/%Y %H:%M", "%Y-%m-%dT%H:%M:%S"]
