"""Choices that several commands take in the same way."""

import typer


def known_quantity(name: str) -> str:
    """Return the key of a quantity however its words are joined; wrong usage when there is none."""
    from bodytest.quantities import QUANTITY_BY_KEY

    key = name.strip().lower().replace(" ", "_").replace("-", "_")
    if key not in QUANTITY_BY_KEY:
        raise typer.BadParameter(
            f"'{name}' is no quantity of ours. Choose one of: {', '.join(QUANTITY_BY_KEY)}.", param_hint="--quantity"
        )
    return key
