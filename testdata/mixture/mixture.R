# Resistant fractions by base R, to check the numeric core from outside.
# Usage: Rscript mixture.R OUTDIR. See SOURCE.md.
#
# The likelihood is written by hand from its definition; optim maximises it
# from many starts, and uniroot finds the profile limits.

out <- commandArgs(TRUE)[1]
RNGkind("Mersenne-Twister", "Inversion", "Rejection")
set.seed(20310801)
least <- log10(2) # the smallest shift

links <- list(
  probit = list(p = pnorm, s = function(e) pnorm(e, lower.tail = FALSE), d = dnorm),
  logit = list(p = plogis, s = function(e) plogis(e, lower.tail = FALSE), d = dlogis),
  cloglog = list(p = function(e) -expm1(-exp(e)), s = function(e) exp(-exp(e)), d = function(e) exp(e - exp(e))))

# ---- the model: par is a, b, q, s, delta, C of each assay; s may be Inf -------

rates <- function(par, d, link) {
  a <- par[1]; b <- par[2]; C <- par[5 + d$k]
  q <- ifelse(d$field, par[3], 0)
  y <- d$x - ifelse(d$field, par[5], 0)
  z <- if (is.finite(par[4])) y - par[4] else y
  F1 <- link$p(a + b * y); S1 <- link$s(a + b * y); f1 <- link$d(a + b * y)
  if (is.finite(par[4])) {
    F2 <- link$p(a + b * z); S2 <- link$s(a + b * z); f2 <- link$d(a + b * z)
  } else { F2 <- 0 * y; S2 <- 1 + 0 * y; f2 <- 0 * y }
  spared <- (1 - q) * S1 + q * S2
  P <- C + (1 - C) * ((1 - q) * F1 + q * F2); Q <- (1 - C) * spared
  g1 <- (1 - C) * (1 - q) * f1; g2 <- (1 - C) * q * f2
  k <- d$control
  P[k] <- C[k]; Q[k] <- 1 - C[k]; g1[k] <- 0; g2[k] <- 0; spared[k] <- 1
  list(P = P, Q = Q, a = g1 + g2, b = ifelse(k, 0, g1 * y + g2 * z),
       q = ifelse(k | !d$field, 0, (1 - C) * (F2 - F1)), s = -b * g2,
       delta = ifelse(d$field, -b * (g1 + g2), 0), C = spared)
}
penalty <- function(par, v) if (v > 0) -par[5]^2 / (2 * v) else 0
loglik <- function(par, d, link, v) {
  m <- rates(par, d, link)
  r <- d$dead; s <- d$exposed - r
  l <- sum(ifelse(r == 0, 0, r * log(m$P)) + ifelse(s == 0, 0, s * log(m$Q))) + penalty(par, v)
  if (is.finite(l)) l else -1e10
}
gradient <- function(par, d, link, v) {
  m <- rates(par, d, link)
  r <- d$dead; s <- d$exposed - r
  u <- ifelse(r == 0, 0, r / m$P) - ifelse(s == 0, 0, s / m$Q)
  byC <- sapply(seq_len(max(d$k)), function(k) sum((u * m$C)[d$k == k]))
  g <- c(sum(u * m$a), sum(u * m$b), sum(u * m$q), sum(u * m$s), sum(u * m$delta), byC)
  if (v > 0) g[5] <- g[5] - par[5] / v
  ifelse(is.finite(g), g, 0)
}

# ---- maximisation in scales without bounds ------------------------------------

# free: which of par are estimated; delta only with v > 0
to <- function(par) c(par[1], log(par[2]), qlogis(min(max(par[3], 1e-8), 1 - 1e-8)),
  log(max(par[4] - least, 1e-8)), par[5], qlogis(pmin(pmax(par[-(1:5)], 1e-8), 0.9)))
from <- function(w, free, held) {
  par <- held
  full <- c(w[1], exp(w[2]), plogis(w[3]), least + exp(w[4]), w[5], plogis(w[-(1:5)]))
  par[free] <- full[free]
  par
}
slope <- function(par) c(1, par[2], par[3] * (1 - par[3]), par[4] - least, 1, par[-(1:5)] * (1 - par[-(1:5)]))

maximise <- function(d, link, v, free, held, starts) {
  best <- list(value = -Inf)
  for (s in starts) {
    w0 <- to(s)
    whole <- function(w) replace(w0, free, w)
    fn <- function(w) -loglik(from(whole(w), free, held), d, link, v)
    gr <- function(w) { par <- from(whole(w), free, held); -(gradient(par, d, link, v) * slope(par))[free] }
    w <- w0[free]
    for (i in 1:2) {
      o <- tryCatch(optim(w, fn, gr, method = "BFGS", control = list(maxit = 200, reltol = 1e-13)), error = function(e) NULL)
      if (is.null(o)) break
      w <- o$par
    }
    if (!is.null(o) && -o$value > best$value) best <- list(value = -o$value, w = w, fn = fn, gr = gr, whole = whole)
  }
  # Newton steps on the gradient, whose differences give the Hessian
  w <- best$w
  for (i in 1:8) {
    h <- 1e-5
    H <- sapply(seq_along(w), function(j) { e <- replace(0 * w, j, h); (best$gr(w + e) - best$gr(w - e)) / (2 * h) })
    step <- tryCatch(solve((H + t(H)) / 2, best$gr(w)), error = function(e) 0 * w)
    if (any(!is.finite(step)) || max(abs(step)) > 1 || best$fn(w - step) > best$fn(w) + 1e-11) break
    w <- w - step
  }
  list(value = -best$fn(w), par = from(best$whole(w), free, held))
}

# the three forms, q fixed at a number or NA for free
fit <- function(d, link, v, freeC, q, s_form, more = list(), slopes = c(1.5, 4)) {
  K <- max(d$k)
  held <- c(0, 1, ifelse(is.na(q), 0, q), Inf, 0, rep(0, K))
  free <- c(TRUE, TRUE, is.na(q), s_form == "free", v > 0, freeC)
  control <- sapply(1:K, function(k) {
    i <- d$k == k & d$control
    if (any(i)) (sum(d$dead[i]) + 0.2) / (sum(d$exposed[i]) + 0.4) else 0
  })
  starts <- list()
  for (b in slopes) for (q0 in if (is.na(q)) c(0.05, 0.4) else q)
    for (s0 in if (s_form == "free") c(0.4, 0.8, 1.3, 2) else Inf)
      starts <- c(starts, list(c(0, b, q0, s0, 0, control)))
  m <- maximise(d, link, v, free, held, c(more, starts))
  # a natural mortality that runs to 0 is held there
  small <- c(rep(FALSE, 5), m$par[-(1:5)] < 1e-3) & free
  if (!any(small)) return(m)
  held[small] <- 0
  best_of(maximise(d, link, v, free & !small, held, list(m$par)), m, 0)
}
null_form <- function(d, link, v, freeC) fit(d, link, v, freeC, 0, "none")
best_of <- function(a, b, tie = 3e-6) if (a$value >= b$value - tie) a else b # the simpler wins a tie
shifted <- function(d, link, v, freeC, q = NA, more = list(), slopes = c(1.5, 4)) {
  p <- fit(d, link, v, freeC, q, "none", slopes = slopes)
  if (is.na(q)) p <- best_of(null_form(d, link, v, freeC), p)
  best_of(p, fit(d, link, v, freeC, q, "free", more, slopes))
}

limits <- function(top, null, d, link, v, freeC) {
  cut <- qchisq(0.95, 1)
  q <- top$par[3]
  last <- list(top$par)
  fall <- function(x) {
    m <- if (x == 0) null else shifted(d, link, v, freeC, x, last, 2.5)
    if (x > 0 && is.finite(m$par[4])) last <<- list(top$par, m$par)
    2 * (top$value - m$value) - cut
  }
  if (!is.finite(top$par[4])) last <- list()
  lower <- 0
  if (q > 0 && fall(0) > 0) lower <- uniroot(fall, c(0, q), f.lower = fall(0), f.upper = -cut, tol = 1e-7)$root
  # in steps, because the profile may have more than one summit in s
  upper <- 1; inside <- q; step <- 0.05
  repeat {
    outside <- min(inside + step, 0.99999999)
    if (fall(outside) > 0) {
      upper <- uniroot(fall, c(inside, outside), tol = 1e-7)$root
      break
    }
    if (outside > 0.9999) break
    inside <- outside
    step <- 1.5 * step
  }
  c(lower, upper)
}

# ---- the assays, all invented ----------------------------------------------------

truth <- function(x, C, b, q, s, link) {
  f <- links[[link]]$p
  C + (1 - C) * ((1 - q) * f(b * (x - 1)) + q * if (is.finite(s)) f(b * (x - 1 - s)) else 0)
}
count <- function(set, role, doses, n, controls, C, b, q, s, link) {
  if (controls > 0) doses <- c(0, doses)
  size <- ifelse(doses == 0, controls, n)
  p <- ifelse(doses == 0, C, truth(log10(pmax(doses, 1e-9)), C, b, q, s, link))
  data.frame(set = set, role = role, concentration = doses, exposed = size, dead = rbinom(length(doses), size, p))
}
series <- signif(10 / 2^2.5 * 2^(0:5), 6)
designs <- list(series = series, split = c(85.2, series), high = c(85.2, 170.4), tail = c(42.6, 85.2, 170.4))
assays <- NULL; plan <- NULL
for (i in 1:44) {
  link <- c("probit", "probit", "logit", "cloglog")[1 + i %% 4]
  b <- c(2.5, 2, 4, 2.5)[1 + i %% 4]
  controls <- if (i %% 5 == 0) 0 else 20
  C <- if (controls == 0) 0 else 0.05
  q <- c(0, 0.05, 0.15, 0.4)[1 + (i %/% 4) %% 4]
  s <- c(1, 1.5, Inf)[1 + i %% 3]
  design <- names(designs)[1 + (i %/% 3) %% 4]
  sd <- if (i %% 7 == 0) 0.1 else 0 # between populations
  set <- sprintf("%s-q%02.0f-%s-%d", design, 100 * q, link, i)
  for (k in 1:(1 + i %% 2))
    assays <- rbind(assays, count(set, paste0("baseline", k), series, 20, controls, C, b, 0, Inf, link))
  assays <- rbind(assays, count(set, "field", designs[[design]], c(20, 40)[1 + i %% 2], controls, C, b, q, s, link))
  plan <- rbind(plan, data.frame(set = set, link = link, tau = sd))
}
write.csv(assays, file.path(out, "assays.csv"), row.names = FALSE, quote = FALSE)

# ---- the table ---------------------------------------------------------------------

number <- function(x) ifelse(is.finite(x), sprintf("%.12g", x), "")
fits <- NULL
for (i in seq_len(nrow(plan))) {
  d <- assays[assays$set == plan$set[i], ]
  d$k <- match(d$role, unique(d$role))
  d$field <- d$role == "field"
  d$control <- d$concentration == 0
  centre <- 1
  d$x <- ifelse(d$control, 0, log10(d$concentration) - centre)
  freeC <- sapply(seq_len(max(d$k)), function(k) any(d$control[d$k == k]))
  link <- links[[plan$link[i]]]
  v <- plan$tau[i]^2 * (1 + 1 / (max(d$k) - 1))
  constant <- sum(lchoose(d$exposed, d$dead))
  n <- null_form(d, link, v, freeC)
  p <- best_of(n, fit(d, link, v, freeC, NA, "none"))
  s <- best_of(p, shifted(d, link, v, freeC))
  e <- if (i %% 2 == 1) limits(s, n, d, link, v, freeC) else c(NA, NA) # they take most of the time
  fits <- rbind(fits, data.frame(set = plan$set[i], link = plan$link[i], tau = plan$tau[i],
    loglik_null = number(n$value + constant), loglik_plateau = number(p$value + constant), q_plateau = number(p$par[3]),
    loglik_shifted = number(s$value + constant), q = number(s$par[3]), log10_shift = if (s$par[3] == 0) "" else number(s$par[4]),
    a = number(s$par[1] - s$par[2] * centre), b = number(s$par[2]), lower = number(e[1]), upper = number(e[2])))
}
write.csv(fits, file.path(out, "fits.csv"), row.names = FALSE, quote = FALSE)
