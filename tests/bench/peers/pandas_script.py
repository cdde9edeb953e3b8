"""What somebody at home in pandas would write for the job: four quantities, t intervals, two charts, one page.

Run: python tests/bench/peers/pandas_script.py BARS.xlsx PAGE.html
"""

import sys
from pathlib import Path


def main(source: str, page: str) -> None:
    import matplotlib as mpl

    mpl.use("Agg")
    import matplotlib.pyplot as plt
    import pandas as pd
    import seaborn as sns
    from statsmodels.stats.weightstats import DescrStatsW

    bars = pd.read_excel(source) if source.endswith(".xlsx") else pd.read_csv(source)
    wet, dry, fired = bars["wet length (mm)"], bars["dry length (mm)"], bars["fired length (mm)"]
    bars["drying"], bars["firing shrinkage"] = 100 * (1 - dry / wet), 100 * (1 - fired / dry)
    bars["total"] = 100 * (1 - fired / wet)
    bars["absorption"] = 100 * (bars["boiled mass (g)"] / bars["fired mass (g)"] - 1)
    rows = []
    for (body, firing), group in bars.groupby(["body", "firing"]):
        for quantity in ("drying", "firing shrinkage", "total", "absorption"):
            described = DescrStatsW(group[quantity])
            low, high = described.tconfint_mean()
            rows.append((body, firing, quantity, int(described.nobs), described.mean, described.std, low, high))
    table = pd.DataFrame(rows, columns=["body", "firing", "quantity", "n", "mean", "sd", "low", "high"])
    figure, axes = plt.subplots(1, 2, figsize=(10, 4))
    for axis, quantity in zip(axes, ("total", "absorption"), strict=True):
        sns.pointplot(bars, x="firing", y=quantity, hue="body", ax=axis)
    chart = Path(page).with_suffix(".svg")
    figure.savefig(chart)
    Path(page).write_text(table.to_html() + chart.read_text(encoding="utf-8"), encoding="utf-8")


if __name__ == "__main__":
    main(*sys.argv[1:3])
