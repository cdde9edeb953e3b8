# What somebody at home in R would write for the job: four quantities, t intervals, two charts.
# Run: Rscript tests/bench/peers/base_r.R BARS.csv TABLE.html
paths <- commandArgs(trailingOnly = TRUE)
bars <- read.csv(paths[1], check.names = FALSE)
wet <- bars[["wet length (mm)"]]; dry <- bars[["dry length (mm)"]]; fired <- bars[["fired length (mm)"]]
bars$drying <- 100 * (wet - dry) / wet
bars$firing_shrinkage <- 100 * (dry - fired) / dry
bars$total <- 100 * (wet - fired) / wet
bars$absorption <- 100 * (bars[["boiled mass (g)"]] - bars[["fired mass (g)"]]) / bars[["fired mass (g)"]]
table_rows <- character(0)
groups <- split(bars, list(bars$body, bars$firing))
for (name in names(groups)) {
  for (quantity in c("drying", "firing_shrinkage", "total", "absorption")) {
    values <- groups[[name]][[quantity]]
    interval <- if (length(values) > 1) t.test(values)$conf.int else c(NA, NA)
    table_rows <- c(table_rows, sprintf("<tr><td>%s<td>%s<td>%d<td>%.4f<td>%.4f<td>%.4f<td>%.4f", name, quantity,
                                        length(values), mean(values), sd(values), interval[1], interval[2]))
  }
}
writeLines(table_rows, paths[2])
svg(paste0(paths[2], ".svg"))
par(mfrow = c(1, 2))
boxplot(total ~ firing + body, bars)
boxplot(absorption ~ firing + body, bars)
invisible(dev.off())
