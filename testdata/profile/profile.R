# Profile likelihood limits in base R, to check the numeric core from outside.
#
#   Rscript profile.R OUTDIR [EVERY]
#
# reads ../reference/assays.csv and ../reference/fits.csv and writes
# OUTDIR/limits.csv, of each fit or of every EVERYth. Only base R: optim for the maximum over slope and natural
# mortality at each LCp, uniroot for the limits. See SOURCE.md.

args <- commandArgs(TRUE)
stopifnot(length(args) %in% 1:2)
every <- if (length(args) == 2) as.integer(args[2]) else 1
assays <- read.csv("../reference/assays.csv")
fits <- read.csv("../reference/fits.csv")

links <- list(
  probit = list(logF = function(e) pnorm(e, log.p = TRUE), logS = function(e) pnorm(e, lower.tail = FALSE, log.p = TRUE),
                logf = function(e) dnorm(e, log = TRUE), quantile = qnorm),
  logit = list(logF = function(e) plogis(e, log.p = TRUE), logS = function(e) plogis(e, lower.tail = FALSE, log.p = TRUE),
               logf = function(e) dlogis(e, log = TRUE), quantile = qlogis),
  cloglog = list(logF = function(e) log(-expm1(-exp(e))), logS = function(e) -exp(e),
                 logf = function(e) e - exp(e), quantile = function(p) log(-log1p(-p))))

# Log-likelihood without binomial coefficients, and its gradient in (log b, C),
# of the line of slope b through (theta, z). 0 log 0 = 0.
times <- function(n, logp) ifelse(n == 0, 0, n * logp)
loglik <- function(par, d, theta) {
  C <- par[2]
  eta <- d$z + exp(par[1]) * (d$x - theta)
  logF <- d$link$logF(eta)
  logP <- if (C > 0) log(C + (1 - C) * exp(logF)) else logF
  sum(times(d$r, logP) + times(d$n - d$r, log1p(-C) + d$link$logS(eta))) +
    times(d$r0, log(C)) + times(d$n0 - d$r0, log1p(-C))
}
gradient <- function(par, d, theta) {
  C <- par[2]
  shift <- d$x - theta
  eta <- d$z + exp(par[1]) * shift
  logF <- d$link$logF(eta); logS <- d$link$logS(eta); logf <- d$link$logf(eta)
  logP <- if (C > 0) log(C + (1 - C) * exp(logF)) else logF
  s <- d$n - d$r
  by_eta <- ifelse(d$r == 0, 0, d$r * (1 - C) * exp(logf - logP)) - ifelse(s == 0, 0, s * exp(logf - logS))
  by_C <- sum(ifelse(d$r == 0, 0, d$r * exp(logS - logP))) - sum(s) / (1 - C)
  if (d$n0 > 0) by_C <- by_C + (if (d$r0 > 0) d$r0 / C else 0) - (d$n0 - d$r0) / (1 - C)
  c(sum(by_eta * shift) * exp(par[1]), by_C)
}

# optim wants finite values; a point with none is no candidate.
finite_loglik <- function(...) { v <- loglik(...); if (is.finite(v)) v else -1e9 }
finite_gradient <- function(...) { g <- gradient(...); ifelse(is.finite(g), g, 0) }

# The highest likelihood at theta: a grid over slope and C, then optim from each
# of its best cells. C is bounded; where it is not free it is held by its bounds.
highest <- function(d, theta) {
  slopes <- log(d$b) + seq(-5, 17.5, by = 0.75) # up to a step
  natural <- if (d$free) pmax(c(d$C, 0, 0.5 / (d$n0 + 1), 0.02, 0.05, 0.1, 0.2, 0.3, 0.45, 0.6), if (d$r0 > 0) 1e-6 else 0) else d$C
  grid <- outer(slopes, natural, Vectorize(function(lb, C) loglik(c(lb, C), d, theta)))
  grid[!is.finite(grid)] <- -1e300
  floor <- if (!d$free) d$C else if (d$r0 > 0) 1e-12 else 0
  roof <- if (d$free) 0.999 else d$C
  best <- -Inf
  # the best slope for each C of the grid, at most three of them
  rows <- apply(grid, 2, which.max)
  for (k in order(-apply(grid, 2, max))[seq_len(min(3, ncol(grid)))]) {
    start <- c(slopes[rows[k]], min(max(natural[k], floor), roof))
    for (again in 1:2) { # a second run from where the first stopped renews its metric
      fit <- if (d$free) {
        optim(start, finite_loglik, finite_gradient, d = d, theta = theta, method = "L-BFGS-B", lower = c(-Inf, floor), upper = c(40, roof),
              control = list(fnscale = -1, factr = 10, pgtol = 0, maxit = 1000))
      } else {
        inner <- optimize(function(lb) loglik(c(lb, d$C), d, theta), start[1] + c(-1, 1), maximum = TRUE, tol = 1e-9)
        list(par = c(inner$maximum, d$C), value = inner$objective)
      }
      start <- fit$par
    }
    best <- max(best, fit$value)
  }
  best
}

# Level lines: all treated die at one rate, at most (side 1) or at least (side
# -1) that of the pivot. The supremum is searched on a grid and by optimize.
level <- function(d, side) {
  p <- exp(d$link$logF(d$z))
  R <- sum(d$r); S <- sum(d$n) - R
  at_C <- function(C) {
    pivot <- C + (1 - C) * p
    rate <- if (side > 0) min(max(R / (R + S), C), pivot) else max(R / (R + S), pivot)
    times(R, log(rate)) + times(S, log1p(-rate)) + times(d$r0, log(C)) + times(d$n0 - d$r0, log1p(-C))
  }
  if (!d$free) return(at_C(d$C))
  cs <- c(0, exp(seq(log(1e-9), log(0.999), length.out = 400)))
  v <- sapply(cs, at_C)
  i <- which.max(v)
  max(v, optimize(at_C, cs[c(max(1, i - 1), min(length(cs), i + 1))], maximum = TRUE, tol = 1e-12)$objective)
}

limits <- function(d, fit, p, drop) {
  d$z <- d$link$quantile(p / 100)
  centre <- (d$z - fit$a) / fit$b
  top <- highest(d, centre)
  d$b <- fit$b
  excess <- function(theta) highest(d, theta) - top + drop
  one <- function(side) {
    if (level(d, side) > top - drop) return(side * Inf)
    near <- 0 # the limits lie outwards: double until outside
    far <- sqrt(2 * drop) * max(fit$se_b / fit$b, 0.02)
    while (excess(centre + side * far) > 0) { near <- far; far <- 2 * far }
    centre + side * uniroot(function(t) excess(centre + side * t), c(near, far), tol = 1e-10, maxiter = 200)$root
  }
  list(top = top, lower = one(-1), upper = one(1))
}

prepare <- function(assay, fit) {
  control <- assay$concentration == 0 & fit$mode != "none"
  d <- assay[assay$concentration > 0 & assay$exposed > 0, ]
  # counts at one concentration add up: the likelihood is binomial
  dose <- sort(unique(d$concentration))
  list(x = log10(dose), n = as.numeric(tapply(d$exposed, d$concentration, sum)), r = as.numeric(tapply(d$dead, d$concentration, sum)),
       n0 = sum(assay$exposed[control]), r0 = sum(assay$dead[control]), free = fit$mode == "estimated",
       C = fit$C, b = fit$b, link = links[[fit$link]])
}

# The choice: a few assays of every stratum in which a line exists.
wanted <- c("rotenone", "deguelin", "mixture", "fairfax", "schaefer", "pixley", "bugres", "buglab",
            sprintf("natural-%03d", 1:6), sprintf("plain-%03d", c(1, 3, 5, 7)), sprintf("clustered-%03d", c(1, 2, 3, 4)),
            sprintf("boundary-%03d", 1:6), sprintf("wide-%03d", 1:5), sprintf("excluded-%03d", 1:3),
            sprintf("unbounded-%03d", 1:2), sprintf("beyond-%03d", 1:3), sprintf("deadly-%03d", 1:3), sprintf("ragged-%03d", 1:2))
chosen <- fits[fits$assay %in% wanted & ((fits$link == "probit" & fits$mode %in% c("estimated", "none", "fixed")) |
                                         (fits$assay %in% wanted[c(1, 4, 6, 9, 10, 23, 24)] & fits$mode %in% c("estimated", "none"))), ]
# without controls only the line alone; with controls the estimated C, and one fixed C in four
has_controls <- chosen$assay %in% assays$assay[assays$concentration == 0]
chosen <- chosen[ifelse(has_controls, chosen$mode == "estimated" | chosen$mode == "fixed" & match(chosen$assay, wanted) %% 4 == 0,
                        chosen$mode == "none"), ]

out <- NULL
for (k in seq(1, nrow(chosen), by = every)) {
  fit <- chosen[k, ]
  d <- prepare(assays[assays$assay == fit$assay, ], fit)
  for (rule in c("never", "when-above-one")) {
    h <- 1; q <- qchisq(0.95, 1)
    if (rule == "when-above-one" && fit$df_container > 0) { h <- max(1, fit$h); q <- qf(0.95, 1, fit$df_container) }
    for (p in c(10, 50, 90, 99)) {
      l <- limits(d, fit, p, h * q / 2)
      out <- rbind(out, data.frame(assay = fit$assay, link = fit$link, mode = fit$mode, rule = rule, p = p,
                                   lower = sprintf("%.12g", l$lower), upper = sprintf("%.12g", l$upper)))
    }
  }
  message(fit$assay, " ", fit$link, " ", fit$mode)
}
write.csv(out, file.path(args[1], "limits.csv"), row.names = FALSE, quote = FALSE)
