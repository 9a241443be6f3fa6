"""What is doubtful in the catalog."""
