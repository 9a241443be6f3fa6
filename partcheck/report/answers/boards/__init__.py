"""A board file itself: what it is fitted with, what it leaves out, the paths of current that it draws."""
