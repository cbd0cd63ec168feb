# Trends over seasons and means of regions by general-purpose routines of base R
# (as.Date, lm.wfit, uniroot, qt), to check the package bioassay/track from
# outside. Usage: Rscript trend.R OUTDIR
out <- commandArgs(TRUE)[1]
RNGkind("Mersenne-Twister", "Inversion", "Rejection")
set.seed(20310306)

# --- invented series: the first day of each season, log10 LC50, its error -------
starts <- c("03-01", "06-01", "09-01", "12-01")
series <- list()
for (k in 4:12) for (tau in c(0, 0.1, 0.3)) {
  at <- sort(sample(0:23, k)) # seasons from 2031-spring on, with gaps
  day <- sprintf("%d-%s", 2031 + at %/% 4, starts[at %% 4 + 1])
  se <- 0.03 + 0.1 * runif(k)
  log <- 0.5 + 0.04 * at + tau * rnorm(k) + se * rnorm(k)
  series[[sprintf("series-%02d-tau-%g", k, tau)]] <- data.frame(begins = day, log = log, se = se)
}
points <- do.call(rbind, lapply(names(series), function(n) cbind(series = n, series[[n]])))
num <- function(x) sprintf("%.17g", x)
points$log <- num(points$log); points$se <- num(points$se)
write.csv(points, file.path(out, "points.csv"), row.names = FALSE, quote = FALSE)

# --- Paule-Mandel and Knapp-Hartung with a factor that is never below 1 ---------
model <- function(y, v, X) {
  fit <- function(t) {
    w <- 1 / (v + t)
    f <- lm.wfit(X, y, w)
    list(beta = f$coefficients, q = sum(w * f$residuals^2), cov = solve(crossprod(X, w * X)))
  }
  df <- length(y) - ncol(X)
  tau2 <- 0
  if (fit(0)$q > df) {
    high <- 1
    while (fit(high)$q > df) high <- 2 * high
    low <- high
    while (fit(low)$q <= df) low <- low / 2
    tau2 <- exp(uniroot(function(l) log(fit(exp(l))$q / df), log(c(low, high)), tol = 1e-13)$root)
  }
  f <- fit(tau2)
  c(f, list(tau2 = tau2, df = df, cov.kh = f$cov * max(1, f$q / df)))
}
rows <- lapply(names(series), function(n) {
  s <- series[[n]]
  year <- as.numeric(as.Date(s$begins)) / 365.2425
  x <- year - mean(year)
  m <- model(s$log, s$se^2, cbind(1, x))
  b <- m$beta[[2]]; se <- sqrt(m$cov.kh[2, 2]); t <- qt(0.975, m$df)
  last <- c(1, x[length(x)]) # the fitted line at the last season
  at <- sum(last * m$beta); at.se <- sqrt(drop(last %*% m$cov.kh %*% last))
  mean.only <- model(s$log, s$se^2, matrix(1, length(x)))
  mu <- mean.only$beta[[1]]; mu.se <- sqrt(mean.only$cov.kh[1, 1])
  data.frame(series = n, fold = num(10^b), lower = num(10^(b - t * se)), upper = num(10^(b + t * se)),
    p = num(2 * pt(-abs(b / se), m$df)), between_sd = num(sqrt(m$tau2)),
    line = num(at), line_lower = num(at - t * at.se), line_upper = num(at + t * at.se),
    mean = num(mu), mean_se = num(mu.se), mean_sd = num(sqrt(mean.only$tau2)))
})
write.csv(do.call(rbind, rows), file.path(out, "trends.csv"), row.names = FALSE, quote = FALSE)
