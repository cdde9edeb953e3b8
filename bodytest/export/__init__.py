"""Results on their way to other programs: JSON with its schema, CSV, the planner workbook, and reading results back."""
