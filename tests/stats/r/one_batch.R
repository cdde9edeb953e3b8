# Frozen values for tests/stats, by base R alone. Run: Rscript tests/stats/r/one_batch.R
# Prints JSON lines of name and value with 12 significant digits; copy them to tests/stats/r/one_batch.json.
out <- function(name, value) cat(sprintf('  "%s": [%s]', name, paste(sprintf("%.12g", value), collapse = ", ")), sep = "")
sep <- function() cat(",\n")
shrinkage <- c(11.82, 11.95, 11.78, 12.10, 11.87, 11.91, 12.04)
absorption <- c(2.31, 2.05, 2.44, 2.18, 2.39)

# noncentral chi-square with one degree of freedom at distance d: radius r with P(|Z + d| <= r) = p
radius <- function(d, p) uniroot(function(r) pnorm(r - d) - pnorm(-r - d) - p, c(0, d + 20), tol = 1e-13)$root
tolerance_factor <- function(n, p, conf, nu = n - 1) {
  inner <- function(z, k) sapply(z, function(one) 2 * dnorm(one) * pchisq(nu * radius(one / sqrt(n), p)^2 / k^2, nu, lower.tail = FALSE))
  gap <- function(k) integrate(inner, 0, 8.5, k = k, rel.tol = 1e-11, subdivisions = 500)$value - conf
  uniroot(gap, c(0.5, 500), tol = 1e-11)$root
}
esd <- function(x, most, alpha = 0.05) {
  n <- length(x); R <- lambda <- numeric(most); left <- x
  for (i in 1:most) {
    R[i] <- max(abs(left - mean(left))) / sd(left)
    left <- left[-which.max(abs(left - mean(left)))]
    t <- qt(1 - alpha / (2 * (n - i + 1)), n - i - 1)
    lambda[i] <- (n - i) * t / sqrt((n - i - 1 + t^2) * (n - i + 1))
  }
  list(R = R, lambda = lambda, outliers = max(c(0, which(R > lambda))))
}
rosner <- c(-0.25, 0.68, 0.94, 1.15, 1.20, 1.26, 1.26, 1.34, 1.38, 1.43, 1.49, 1.49, 1.55, 1.56, 1.58, 1.65, 1.69, 1.70,
  1.76, 1.77, 1.81, 1.91, 1.94, 1.96, 1.99, 2.06, 2.09, 2.10, 2.14, 2.15, 2.23, 2.24, 2.26, 2.35, 2.37, 2.40, 2.47, 2.54,
  2.62, 2.64, 2.90, 2.92, 2.92, 2.93, 3.21, 3.26, 3.30, 3.59, 3.68, 4.30, 4.64, 5.34, 5.42, 6.01)
two_hidden <- c(11.82, 11.95, 11.78, 12.10, 11.87, 11.91, 12.04, 13.60, 13.55, 11.99)

cat("{\n")
out("t_interval_95_shrinkage", t.test(shrinkage)$conf.int); sep()
out("t_interval_99_shrinkage", t.test(shrinkage, conf.level = 0.99)$conf.int); sep()
out("t_interval_95_absorption", t.test(absorption)$conf.int); sep()
half <- qt(0.975, 6) * sd(shrinkage) * sqrt(1 + 1 / 7)
out("prediction_95_shrinkage", mean(shrinkage) + c(-half, half)); sep()
for (n in c(2, 3, 5, 10, 30)) { out(sprintf("tolerance_95_95_%d", n), tolerance_factor(n, 0.95, 0.95)); sep() }
out("tolerance_90_99_43", tolerance_factor(43, 0.90, 0.99)); sep()
out("tolerance_95_95_n4_nu9", tolerance_factor(4, 0.95, 0.95, nu = 9)); sep()
found <- esd(rosner, 10)
out("rosner_R", found$R); sep(); out("rosner_lambda", found$lambda); sep(); out("rosner_outliers", found$outliers); sep()
found <- esd(two_hidden, 2)
out("two_hidden_R", found$R); sep(); out("two_hidden_lambda", found$lambda); sep()
out("two_hidden_outliers", found$outliers); sep()
one <- function(n, d, ...) power.t.test(n = n, delta = d, sd = 1, type = "one.sample", alternative = "one.sided", strict = FALSE, ...)$power
out("power_one_sample_5_0.7", one(5, 0.7, sig.level = 0.05)); sep()
out("power_one_sample_11_1", one(11, 1, sig.level = 0.05)); sep()
for (d in c(0.5, 1, 2)) { out(sprintf("bars_two_sample_%g", d), power.t.test(delta = d, sd = 1, sig.level = 0.05, power = 0.8, strict = TRUE)$n); sep() }
out("safe_sd_5_80", sqrt(5 / qchisq(0.2, 5))); sep()
marks <- c(11.8, 11.9, 12.1, 12.3, 12.0, 11.7, 11.8, 11.75, 12.2, 12.25, 11.6)
bar <- factor(c(1, 1, 2, 2, 2, 3, 3, 3, 4, 4, 5))
mean_squares <- anova(lm(marks ~ bar))[["Mean Sq"]]; sizes <- table(bar)
n0 <- (sum(sizes) - sum(sizes^2) / sum(sizes)) / (length(sizes) - 1)
out("marks_within_between_sd", c(sqrt(mean_squares[2]), sqrt(max(mean_squares[1] - mean_squares[2], 0) / n0)))
cat("\n}\n")
