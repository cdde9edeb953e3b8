"""The marked copy of a user's workbook: cells coloured and commented, every other byte as it was."""
