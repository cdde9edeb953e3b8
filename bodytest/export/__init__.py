"""Results as documents for machines: JSON with its schema, CSV, planner workbook; and reading them back."""
