# Frozen values for tests/stats, by R with lme4. Run: Rscript tests/stats/r/several_batches.R > tests/stats/r/several_batches.json
# Made-up shrinkages in %; "apart" has batches that differ, "alike" ones that do not, "uneven" a few large batches.
suppressMessages(library(lme4))
sets <- list(
  apart = list(c(11.82, 11.95, 11.78), c(12.40, 12.31, 12.55, 12.47, 12.38), c(12.02, 12.11, 11.93, 12.20, 12.07, 11.99, 12.15),
    c(12.71, 12.60)),
  alike = list(c(10.12, 9.71, 10.33, 9.95), c(9.88, 10.41, 10.02, 9.66, 10.18, 10.27), c(10.05, 9.79, 10.22),
    c(10.31, 9.84, 9.99, 10.08, 9.90)),
  uneven = list(c(13.11), c(12.64), c(12.93, 13.02), c(12.71, 12.88, 12.60, 12.79, 12.95, 12.66, 12.83, 12.74, 12.69, 12.90),
    c(13.20, 13.05, 13.31, 13.16), c(12.98, 13.09, 12.85, 13.13, 12.92, 13.01, 13.18, 12.96, 13.07, 12.89, 13.04, 13.00))
)
numbers <- function(value) sprintf("[%s]", paste(sprintf("%.12g", value), collapse = ", "))
pair <- function(name, value) sprintf('    "%s": %s', name, numbers(value))
games_howell <- function(groups, confidence = 0.95) {
  k <- length(groups); rows <- list()
  for (i in 1:(k - 1)) for (j in (i + 1):k) {
    v <- c(var(groups[[i]]) / length(groups[[i]]), var(groups[[j]]) / length(groups[[j]]))
    df <- sum(v)^2 / (v[1]^2 / (length(groups[[i]]) - 1) + v[2]^2 / (length(groups[[j]]) - 1))
    d <- mean(groups[[j]]) - mean(groups[[i]]); se <- sqrt(sum(v) / 2)
    half <- qtukey(confidence, k, df) * se
    rows[[length(rows) + 1]] <- c(d, d - half, d + half, ptukey(abs(d) / se, k, df, lower.tail = FALSE))
  }
  rows
}
blocks <- c()
for (name in names(sets)) {
  groups <- sets[[name]]
  y <- unlist(groups); batch <- factor(rep(seq_along(groups), lengths(groups)))
  fit <- suppressMessages(lmer(y ~ 1 + (1 | batch), REML = TRUE, control = lmerControl(optimizer = "bobyqa",
    optCtrl = list(rhoend = 1e-10))))
  sds <- as.data.frame(VarCorr(fit))$sdcor
  of_batches <- t.test(sapply(groups, mean))
  lines <- c(pair("sizes", lengths(groups)), pair("values", y), pair("sd_batch", sds[1]), pair("sd_bar", sds[2]),
    pair("criterion", REMLcrit(fit)), pair("weighted_mean", fixef(fit)), pair("mean", of_batches$estimate),
    pair("interval", of_batches$conf.int))
  if (all(lengths(groups) > 1)) {
    welch <- oneway.test(y ~ batch)
    lines <- c(lines, pair("welch", c(welch$statistic, welch$parameter, welch$p.value)))
  }
  blocks <- c(blocks, sprintf('  "%s": {\n%s\n  }', name, paste(lines, collapse = ",\n")))
}
compared <- list(sets$apart[[3]], sets$uneven[[4]], sets$uneven[[6]])
rows <- games_howell(compared)
lines <- c(pair("sizes", lengths(compared)), pair("values", unlist(compared)),
  sprintf('    "differences": [%s]', paste(sapply(rows, numbers), collapse = ", ")),
  pair("ranges", c(ptukey(3.5, 3, 10), ptukey(2.2, 4, 3.7), ptukey(5, 6, 40), ptukey(8, 3, 1))))
falling <- -isoreg(-c(5.31, 5.40, 2.95, 1.28, 1.33, 0.71))$yf
blocks <- c(blocks, sprintf('  "compared": {\n%s\n  }', paste(lines, collapse = ",\n")),
  sprintf('  "falling": {\n%s\n  }', pair("fitted", falling)))
cat("{\n", paste(blocks, collapse = ",\n"), "\n}\n", sep = "")
