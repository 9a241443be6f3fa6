"""Does this part do here, with no board file, and what else would?"""
