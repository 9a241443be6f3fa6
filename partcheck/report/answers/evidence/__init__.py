"""What each requirement rests on."""
