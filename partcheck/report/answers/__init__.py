"""What each answer tells a person: one module per question makes its document from what the job found.

``common.py`` has what several of them say: what a requirement needs and has, places worst first, what is not proved
grouped by the value that is missing, cautions, the policy in force.
"""
