"""What every job starts from: board, parts and policy read; findings, the whole board, cautions, what is not judged."""
