# Everything that is reported about a fit: covariance, goodness of fit, Fieller sets.

# Covariance of (a, b[, C]) with a referred back to x = log10 dose.
uncentred <- function(V, centre) {
  T <- diag(nrow(V)); T[1, 2] <- -centre
  T %*% V %*% t(T)
}

# Sum of (r - nP)^2 / (nPQ), written with the smaller of P and Q so that tails do not cancel.
pearson_x2 <- function(n, r, logP, logQ) {
  P <- exp(logP); Q <- exp(logQ)
  miss <- ifelse(P < 0.5, r - n * P, n * Q - (n - r))
  term <- ifelse(r == 0, n * exp(logP - logQ), ifelse(r == n, n * exp(logQ - logP), miss^2 / (n * P * Q)))
  sum(term)
}

deviance_of <- function(n, r, logP, logQ) {
  2 * sum(xlogy(r, log(r / n) - logP) + xlogy(n - r, log((n - r) / n) - logQ))
}

tail_of <- function(x2, df) if (df > 0) pchisq(x2, df, lower.tail = FALSE) else NA

# One row of fits.csv.
summarise <- function(f, assay, link, mode) {
  data <- f$data
  V <- uncentred(chol2inv(chol(-f$hessian[f$fitted, f$fitted])), data$centre)
  E <- chol2inv(chol(expected_information(f$par, data, f$link, f$fitted)))
  lp <- log_probabilities(f$par, data, f$link)
  doses <- unique(data$concentration)
  first <- match(doses, data$concentration)
  pool <- function(v) sapply(doses, function(d) sum(v[data$concentration == d]))
  x2c <- pearson_x2(data$n, data$r, lp$logP, lp$logQ)
  x2d <- pearson_x2(pool(data$n), pool(data$r), lp$logP[first], lp$logQ[first])
  dfc <- length(data$n) - f$k; dfd <- length(doses) - f$k
  whole <- mode != "abbott"
  loglik <- if (whole) f$value + coefficients_log(data) else NA
  data.frame(assay = assay, link = link, mode = mode,
    a = f$par[1] - f$par[2] * data$centre, b = f$par[2], C = if (mode == "abbott") data$C else f$par[3],
    se_a = sqrt(V[1, 1]), se_b = sqrt(V[2, 2]), se_C = if (length(f$fitted) == 3) sqrt(V[3, 3]) else NA,
    vaa = V[1, 1], vab = V[1, 2], vbb = V[2, 2], se_b_expected = sqrt(E[2, 2]),
    loglik = loglik, deviance = deviance_of(data$n, data$r, lp$logP, lp$logQ), aic = -2 * loglik + 2 * f$k,
    x2_container = x2c, df_container = dfc, p_container = tail_of(x2c, dfc),
    x2_dose = x2d, df_dose = dfd, p_dose = tail_of(x2d, dfd),
    h = if (dfc > 0) x2c / dfc else NA, stringsAsFactors = FALSE)
}

reach_limit <- 50  # decades from the tested doses within which a limit is worth comparing

# The factor on the variances and the quantile that a heterogeneity rule prescribes.
heterogeneity <- function(row, rule) {
  if (rule == "when-above-one" && !is.na(row$h) && row$h > 1)
    list(factor = row$h, t = qt(0.975, row$df_container))
  else list(factor = 1, t = qnorm(0.975))
}

# Fieller's confidence set for LCp, worked about the estimate theta so that nothing cancels:
# with d = theta0 - theta, (b d)^2 <= t^2 (v0 + 2 d v1 + d^2 v2), a quadratic A d^2 - 2 B d - D <= 0.
fieller <- function(f, row, p, rule) {
  data <- f$data
  s <- heterogeneity(row, rule)
  V <- chol2inv(chol(-f$hessian[f$fitted, f$fitted])) * s$factor
  a <- f$par[1]; b <- f$par[2]
  theta <- (f$link$quantile(p / 100) - a) / b
  v0 <- V[1, 1] + 2 * theta * V[1, 2] + theta^2 * V[2, 2]
  v1 <- V[1, 2] + theta * V[2, 2]
  g <- s$t^2 * V[2, 2] / b^2
  A <- b^2 * (1 - g); B <- s$t^2 * v1; D <- s$t^2 * v0
  disc <- B^2 + A * D
  decades <- 0
  kind <- if (g < 1) "bounded" else if (disc > 0) "excluded-region" else "unbounded"
  roots <- c(NA, NA)
  if (disc > 0) {
    q <- B + (if (B >= 0) 1 else -1) * sqrt(disc)
    decades <- sort(c(q / A, -D / q)) + theta
    roots <- 10^(decades + data$centre)
  }
  inside <- if (kind == "bounded") roots else c(NA, NA)
  outside <- if (kind == "excluded-region") roots else c(NA, NA)
  # A set that changes its kind within rounding, or ends where 10^x overflows, is no test of anything.
  sharp <- abs(g - 1) > 1e-4 && abs(disc) > 1e-8 * (B^2 + abs(A * D)) && max(abs(decades)) < reach_limit
  data.frame(assay = row$assay, link = row$link, mode = row$mode, rule = rule, p = p,
    lc = 10^(theta + data$centre), log10_se = sqrt(v0) / b, g = g, kind = kind,
    lower = inside[1], upper = inside[2], excluded_lower = outside[1], excluded_upper = outside[2],
    sharp = sharp, stringsAsFactors = FALSE)
}
