# Beta-binomial dose-response fits by base R, to check the numeric core from
# outside. Usage: Rscript betabinomial.R OUTDIR. See SOURCE.md.
#
# The likelihood is written by hand from its definition with lchoose and lbeta;
# optim maximises it, every choice of parameters held at their bounds in turn.

out <- commandArgs(TRUE)[1]
RNGkind("Mersenne-Twister", "Inversion", "Rejection")
set.seed(20310719)

# ---- the model: par is a, b, C, rho; x is centred log10 dose -----------------

links <- list(
  probit = list(p = pnorm, s = function(e) pnorm(e, lower.tail = FALSE), d = dnorm, q = qnorm),
  logit = list(p = plogis, s = function(e) plogis(e, lower.tail = FALSE), d = dlogis, q = qlogis),
  cloglog = list(p = function(e) -expm1(-exp(e)), s = function(e) exp(-exp(e)),
                 d = function(e) exp(e - exp(e)), q = function(p) log(-log1p(-p))))

rates <- function(par, d, link) {
  eta <- par[1] + par[2] * d$x
  P <- ifelse(d$control, par[3], par[3] + (1 - par[3]) * link$p(eta))
  Q <- ifelse(d$control, 1 - par[3], (1 - par[3]) * link$s(eta))
  list(P = P, Q = Q, dP = ifelse(d$control, 0, (1 - par[3]) * link$d(eta)),
       dC = ifelse(d$control, 1, link$s(eta)))
}

# rising(p, r, k) is log of the product of (p k + j), j < r; 0 for r = 0
rising <- function(p, r, k) ifelse(r == 0, 0, suppressWarnings(lgamma(p * k + r) - lgamma(p * k)))
drising <- function(p, r, k) ifelse(r == 0, 0, suppressWarnings(digamma(p * k + r) - digamma(p * k)))

loglik <- function(par, d, link) {
  m <- rates(par, d, link)
  r <- d$dead; s <- d$exposed - r; n <- d$exposed
  if (par[4] == 0) {
    terms <- ifelse(r == 0, 0, r * log(m$P)) + ifelse(s == 0, 0, s * log(m$Q))
  } else {
    k <- (1 - par[4]) / par[4]
    both <- r > 0 & s > 0 & m$P > 0 & m$Q > 0
    terms <- rising(m$P, r, k) + rising(m$Q, s, k) - rising(1, n, k)
    terms[both] <- (lbeta(m$P * k + r, m$Q * k + s) - lbeta(m$P * k, m$Q * k))[both]
  }
  v <- sum(lchoose(n, r) + terms)
  if (is.finite(v)) v else -1e10
}

gradient <- function(par, d, link) {
  m <- rates(par, d, link)
  r <- d$dead; s <- d$exposed - r; n <- d$exposed
  if (par[4] == 0) {
    lp <- ifelse(r == 0, 0, r / m$P) - ifelse(s == 0, 0, s / m$Q)
    lrho <- 0
  } else {
    k <- (1 - par[4]) / par[4]
    A <- drising(m$P, r, k); B <- drising(m$Q, s, k)
    lp <- k * (A - B)
    lrho <- -sum(m$P * A + m$Q * B - drising(1, n, k)) / par[4]^2
  }
  x <- ifelse(d$control, 0, d$x)
  c(sum(lp * m$dP), sum(lp * m$dP * x), sum(lp * m$dC), lrho)
}

# ---- maximisation -----------------------------------------------------------

# The parameters that are not held, in scales without bounds. rho stays above
# 1e-6, below which lbeta cancels; rho = 0 is a fit of its own.
least <- 1e-6
pack <- function(par, free) c(par[1], log(par[2]), qlogis(par[3]), qlogis(max(par[4] - least, 0) / (1 - 2 * least)))[free]
unpack <- function(v, free, held) {
  full <- held
  w <- rep(NA, 4); w[free] <- v
  if (free[1]) full[1] <- w[1]
  if (free[2]) full[2] <- exp(w[2])
  if (free[3]) full[3] <- plogis(w[3])
  if (free[4]) full[4] <- least + (1 - 2 * least) * plogis(w[4])
  full
}
jacobian <- function(par, free) c(1, par[2], par[3] * (1 - par[3]), (par[4] - least) * (1 - least - par[4]) / (1 - 2 * least))[free]

# maximise f(par) with gradient g over the free parameters, from several starts
maximise <- function(f, g, free, held, starts) {
  best <- list(value = -Inf)
  fn <- function(v) -f(unpack(v, free, held))
  gr <- function(v) { par <- unpack(v, free, held); -(g(par)[free] * jacobian(par, free)) }
  for (s in starts) {
    v <- pack(s, free)
    o <- tryCatch(optim(v, fn, gr, method = "BFGS", control = list(maxit = 120, reltol = 1e-12)),
                  error = function(e) NULL)
    if (!is.null(o) && -o$value > best$value) best <- list(value = -o$value, v = o$par)
  }
  # Newton steps on the gradient, whose differences give the Hessian
  v <- best$v
  for (i in 1:8) {
    h <- 1e-5
    H <- sapply(seq_along(v), function(j) { e <- replace(0 * v, j, h); (gr(v + e) - gr(v - e)) / (2 * h) })
    step <- tryCatch(solve((H + t(H)) / 2, gr(v)), error = function(e) 0 * v)
    if (any(!is.finite(step)) || max(abs(step)) > 0.1 || fn(v - step) > fn(v) + 1e-10) break
    v <- v - step
  }
  par <- unpack(v, free, held)
  list(par = par, value = f(par))
}

# the highest of all choices of bounds; a bound wins where freeing it adds nothing
best_fit <- function(f, g, first, freeC, starts, C = 0) {
  best <- NULL
  for (rho0 in c(TRUE, FALSE)) for (c0 in if (freeC) c(TRUE, FALSE) else TRUE) {
    free <- c(first, !c0, !rho0)
    held <- c(0, 0, C, 0)
    use <- lapply(starts, function(s) {
      s[3] <- if (c0) C else min(max(s[3], 1e-3), 0.9)
      s[4] <- if (rho0) 0 else min(max(s[4], 1e-3), 0.9)
      s
    })
    m <- maximise(f, g, free, held, use)
    if (is.null(best) || m$value > best$value + 1e-9) best <- m
  }
  best
}

fit <- function(d, link, freeC) {
  starts <- list()
  for (b in c(1.5, 5)) for (rho in c(0.02, 0.2)) for (C in if (freeC) c(0.02, 0.15) else 0)
    starts <- c(starts, list(c(0, b, C, rho)))
  best_fit(function(p) loglik(p, d, link), function(p) gradient(p, d, link), c(TRUE, TRUE), freeC, starts)
}

# the profile at theta = centred log10 LCp: a = z - b theta
profile_at <- function(theta, z, d, link, freeC, starts) {
  line <- function(p) c(z - p[2] * theta, p[2:4])
  best_fit(function(p) loglik(line(p), d, link),
           function(p) { g <- gradient(line(p), d, link); c(0, g[2] - theta * g[1], g[3:4]) },
           c(FALSE, TRUE), freeC, starts)
}

limits <- function(m, z, d, link, freeC, cut) {
  theta <- (z - m$par[1]) / m$par[2]
  last <- m$par
  fall <- function(at) {
    starts <- list(last, m$par * c(1, 0.3, 1, 2), c(0, 4, 0.1, 0.05), c(0, 40, 0.1, 0.05))
    top <- profile_at(at, z, d, link, freeC, starts)
    last <<- pmax(top$par, c(-Inf, 1e-9, 0, 0))
    2 * (m$value - top$value) - cut
  }
  side <- function(sign) {
    last <<- m$par
    inside <- 0; x <- 0.1
    while ((outer <- fall(theta + sign * x)) < 0) {
      inside <- x; x <- 2 * x
      if (x > 300) return(sign * Inf) # beyond what a double holds
    }
    root <- uniroot(function(x) fall(theta + sign * x), c(inside, x), tol = 1e-10,
      f.lower = if (inside == 0) -cut else fall(theta + sign * inside), f.upper = outer)$root
    theta + sign * root
  }
  c(side(-1), side(1))
}

# ---- the assays, all invented -------------------------------------------------

clustered <- function(p, n, rho) {
  q <- if (rho == 0) rep(p, length(n)) else rbeta(length(n), p * (1 - rho) / rho, (1 - p) * (1 - rho) / rho)
  rbinom(length(n), n, q)
}
assay <- function(name, doses, vials, sizes, slope, lc50, C, rho, controls) {
  rows <- NULL
  for (dose in c(rep(0, controls > 0), doses)) {
    k <- if (dose == 0) controls else vials
    n <- sizes[sample.int(length(sizes), k, replace = TRUE)]
    p <- if (dose == 0) C else C + (1 - C) * pnorm(slope * (log10(dose) - log10(lc50)))
    dead <- if (p == 0) rep(0, k) else clustered(p, n, rho)
    rows <- rbind(rows, data.frame(assay = name, concentration = dose, exposed = n, dead = dead))
  }
  rows
}

assays <- NULL
for (rho in c(0, 0.02, 0.1, 0.3)) for (C in c(0.03, 0.1)) for (i in 1:4)
  assays <- rbind(assays, assay(sprintf("controls-rho%02d-c%02d-%d", 100 * rho, 100 * C, i),
    2^(0:5), 3, 10:14, runif(1, 1.8, 3.5), runif(1, 4, 8), C, rho, 3 + i %% 2))
for (rho in c(0.02, 0.1, 0.3)) for (i in 1:3)
  assays <- rbind(assays, assay(sprintf("plain-rho%02d-%d", 100 * rho, i),
    c(1, 3, 6, 10, 30), 4, c(8, 12, 20), runif(1, 1.5, 3), runif(1, 4, 8), 0, rho, 0))
for (i in 1:4)
  assays <- rbind(assays, assay(sprintf("weak-%d", i), c(2, 4, 8, 16), 2, 6:9, 0.8, 7, 0.05, 0.1, 2))
write.csv(assays, file.path(out, "assays.csv"), row.names = FALSE, quote = FALSE)

# ---- the tables ---------------------------------------------------------------

number <- function(x) ifelse(is.finite(x), sprintf("%.15g", x), "")
fits <- NULL; ends <- NULL
names <- unique(assays$assay)
for (j in seq_along(names)) {
  d <- assays[assays$assay == names[j], ]
  d$control <- d$concentration == 0
  centre <- mean(log10(d$concentration[!d$control]))
  d$x <- ifelse(d$control, 0, log10(d$concentration) - centre)
  freeC <- any(d$control)
  link <- c("probit", "logit", "probit", "cloglog")[1 + j %% 4]
  m <- fit(d, links[[link]], freeC)
  if (m$par[2] > 12 || m$par[2] < 1e-4) next # a step or a level does as well: no finite line
  fits <- rbind(fits, data.frame(assay = names[j], link = link, a = number(m$par[1] - m$par[2] * centre),
    b = number(m$par[2]), C = number(m$par[3]), rho = number(m$par[4]), loglik = number(m$value)))
  if (j %% 3 == 0 || grepl("weak", names[j])) for (p in if (j %% 2) 50 else c(50, 90)) {
    df <- nrow(d) - 2 - freeC
    e <- limits(m, links[[link]]$q(p / 100), d, links[[link]], freeC, qt(0.975, df)^2) + centre
    ends <- rbind(ends, data.frame(assay = names[j], link = link, p = p, df = df,
      log10_lower = number(e[1]), log10_upper = number(e[2])))
  }
}
write.csv(fits, file.path(out, "fits.csv"), row.names = FALSE, quote = FALSE)
write.csv(ends, file.path(out, "limits.csv"), row.names = FALSE, quote = FALSE)
