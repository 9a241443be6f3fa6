"""The board file itself: what it lists, leaves out and draws, and how one is begun; nothing is judged."""
