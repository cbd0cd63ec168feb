# Random-effects summaries by general-purpose routines of base R (lm.wfit,
# uniroot, optimize, integrate), to check the package doseresp/meta from outside.
# Usage: Rscript meta.R OUTDIR
out <- commandArgs(TRUE)[1]
RNGkind("Mersenne-Twister", "Inversion", "Rejection")
set.seed(20310905)

# --- cases ------------------------------------------------------------------
# Colditz et al. (1994), JAMA 271:698-702: 13 trials of BCG vaccine, as printed in
# van Houwelingen, Arends & Stijnen (2002), Statistics in Medicine 21:589-624,
# table 1; from memory. Cases and others among the vaccinated and the controls;
# absolute latitude and year.
bcg <- data.frame(
  tp = c(4, 6, 3, 62, 33, 180, 8, 505, 29, 17, 186, 5, 27),
  tn = c(119, 300, 228, 13536, 5036, 1361, 2537, 87886, 7470, 1699, 50448, 2493, 16886),
  cp = c(11, 29, 11, 248, 47, 372, 10, 499, 45, 65, 141, 3, 29),
  cn = c(128, 274, 209, 12619, 5761, 1079, 619, 87892, 7232, 1600, 27197, 2338, 17825),
  lat = c(44, 55, 42, 52, 13, 44, 19, 13, 27, 42, 18, 33, 33),
  year = c(48, 49, 60, 77, 73, 53, 73, 80, 68, 61, 74, 69, 76))
y <- with(bcg, log(tp / (tp + tn)) - log(cp / (cp + cn)))
v <- with(bcg, 1 / tp - 1 / (tp + tn) + 1 / cp - 1 / (cp + cn))
cases <- list(
  "bcg" = list(y = y, v = v, x = NULL),
  "bcg-latitude" = list(y = y, v = v, x = cbind(bcg$lat)),
  "bcg-latitude-year" = list(y = y, v = v, x = cbind(bcg$lat, 1900 + bcg$year)))
# Invented units: log10 LC50 with standard errors as of bioassays.
for (k in 2:12) for (tau in c(0, 0.05, 0.3)) {
  v <- (0.02 + 0.1 * runif(k))^2
  if (k %% 4 == 0) v <- rep(v[1], k)
  cases[[sprintf("invented-%02d-tau-%g", k, tau)]] <-
    list(y = 0.3 + tau * rnorm(k) + sqrt(v) * rnorm(k), v = v, x = NULL)
  if (k >= 4) cases[[sprintf("invented-trend-%02d-tau-%g", k, tau)]] <-
    list(y = 0.1 * seq_len(k) + tau * rnorm(k) + sqrt(v) * rnorm(k), v = v, x = cbind(2030 + seq_len(k) / 2))
}
# One unit far from the rest, and variances of very different size.
cases[["invented-outlier"]] <- list(y = c(0, 0.01, -0.02, 3), v = c(1e-4, 2e-4, 1e-4, 4e-4), x = NULL)
cases[["invented-unequal"]] <- list(y = c(0.2, 0.5, -0.1, 0.35, 0.4), v = c(1e-6, 1e-2, 1, 1e-4, 1e-3), x = NULL)

# --- the model ----------------------------------------------------------------
design <- function(c) cbind(rep(1, length(c$y)), c$x)
wls <- function(c, t) { # weighted least squares by lm.wfit, an orthogonal decomposition
  w <- 1 / (c$v + t)
  X <- design(c)
  f <- lm.wfit(X, c$y, w)
  list(beta = f$coefficients, q = sum(w * f$residuals^2), cov = solve(crossprod(X, w * X)), w = w)
}
Q <- function(c, t) wls(c, t)$q
solveQ <- function(c, value) {
  if (Q(c, 0) <= value) return(0)
  high <- 1
  while (Q(c, high) > value) high <- 2 * high
  low <- high # on the log scale, so that small roots keep their digits
  while (Q(c, low) <= value) low <- low / 2
  exp(uniroot(function(l) log(Q(c, exp(l)) / value), log(c(low, high)), tol = 1e-13)$root)
}
restricted <- function(c, t) {
  X <- design(c)
  f <- wls(c, t)
  0.5 * (sum(log(f$w)) - determinant(crossprod(X, f$w * X))$modulus - f$q)
}
score <- function(c, t) {
  X <- design(c)
  f <- wls(c, t)
  r <- c$y - X %*% f$beta
  0.5 * (sum(f$w^2 * r^2) - sum(f$w) + sum(diag(f$cov %*% crossprod(X, f$w^2 * X))))
}
reml <- function(c) {
  grid <- c(0, exp(seq(log(1e-9), log(100), length.out = 400)))
  l <- sapply(grid, function(t) restricted(c, t))
  i <- which.max(l)
  if (i == 1 && score(c, 0) <= 0) return(0)
  o <- optimize(function(t) restricted(c, t), grid[c(max(i - 1, 1), min(i + 1, 401))], maximum = TRUE, tol = 1e-12)
  # optimize leaves half of the digits; the derivative gives the rest
  low <- max(grid[max(i - 1, 1)], o$maximum * 0.99)
  high <- min(grid[min(i + 1, 401)], o$maximum * 1.01)
  uniroot(function(t) score(c, t), c(low, high), tol = 1e-15)$root
}
mixture <- function(c, level) { # predictive limits; see the doc of Prediction
  df <- length(c$y) - 1
  q0 <- Q(c, 0)
  zero <- wls(c, 0)
  low <- qchisq(1e-9, df)
  n <- 1000 # midpoint rule in log q
  l <- if (q0 > low) log(low) + (log(q0) - log(low)) * (seq_len(n) - 0.5) / n else numeric(0)
  q <- exp(l)
  w <- c(q * dchisq(q, df) * (log(q0) - log(low)) / n, pchisq(q0, df, lower.tail = FALSE))
  parts <- lapply(q, function(q) { t <- solveQ(c, q); f <- wls(c, t); c(f$beta, sqrt(f$cov + t)) })
  parts <- rbind(do.call(rbind, parts), c(zero$beta, sqrt(zero$cov)))
  cdf <- function(x) sum(w * pnorm(x, parts[, 1], parts[, 2])) / sum(w)
  span <- max(parts[, 2]) * 10
  sapply(c((1 - level) / 2, (1 + level) / 2), function(p)
    uniroot(function(x) cdf(x) - p, zero$beta + c(-span, span), tol = 1e-12)$root)
}

# --- tables -------------------------------------------------------------------
g <- function(x) ifelse(is.na(x), "", sprintf("%.12g", x))
units <- results <- coefficients <- shrunk <- NULL
for (name in names(cases)) {
  c <- cases[[name]]
  k <- length(c$y)
  p <- ncol(design(c))
  x <- cbind(c$x, matrix(NA, k, 2))[, 1:2]
  units <- rbind(units, data.frame(case = name, y = sprintf("%.17g", c$y), v = sprintf("%.17g", c$v), x1 = g(x[, 1]), x2 = g(x[, 2])))
  for (method in c("paule-mandel", "reml")) {
    t <- if (method == "reml") reml(c) else solveQ(c, k - p)
    f <- wls(c, t)
    factor <- max(1, f$q / (k - p))
    se <- sqrt(factor * diag(f$cov))
    half <- qt(0.975, k - p) * se
    predict <- c(NA, NA)
    plugin <- c(NA, NA)
    if (p == 1 && k >= 3) {
      plugin <- f$beta + c(-1, 1) * qt(0.975, k - 2) * sqrt(t + se^2)
      if (method == "paule-mandel") predict <- mixture(c, 0.95)
    }
    q0 <- Q(c, 0)
    results <- rbind(results, data.frame(
      case = name, method = method, tau2 = g(t),
      tau2_lower = g(solveQ(c, qchisq(0.975, k - p))), tau2_upper = g(solveQ(c, qchisq(0.025, k - p))),
      q = g(q0), p = g(pchisq(q0, k - p, lower.tail = FALSE)), i2 = g(max(0, (q0 - (k - p)) / q0)), factor = g(factor),
      predict_lower = g(predict[1]), predict_upper = g(predict[2]), plugin_lower = g(plugin[1]), plugin_upper = g(plugin[2])))
    coefficients <- rbind(coefficients, data.frame(
      case = name, method = method, coefficient = seq_len(p) - 1, estimate = g(f$beta), se = g(se),
      lower = g(f$beta - half), upper = g(f$beta + half), p = g(2 * pt(-abs(f$beta / se), k - p))))
    lambda <- t / (t + c$v)
    X <- design(c)
    shrunk <- rbind(shrunk, data.frame(
      case = name, method = method, unit = seq_len(k), estimate = g(lambda * c$y + (1 - lambda) * X %*% f$beta),
      se = g(sqrt(lambda * c$v + (1 - lambda)^2 * factor * rowSums((X %*% f$cov) * X))), weight = g(lambda)))
  }
}
write.csv(units, file.path(out, "units.csv"), row.names = FALSE, quote = FALSE)
write.csv(results, file.path(out, "results.csv"), row.names = FALSE, quote = FALSE)
write.csv(coefficients, file.path(out, "coefficients.csv"), row.names = FALSE, quote = FALSE)
write.csv(shrunk, file.path(out, "shrunk.csv"), row.names = FALSE, quote = FALSE)
cat(length(cases), "cases,", nrow(results), "results\n")
