"""The invented demo: seeded workbooks of a two-person workshop with three bodies on trial."""
