# The dose-response model P = C + (1-C) F(a + b x), x = log10 dose, and the
# derivatives of its binomial log-likelihood. Base R only.
#
# A "data" list here holds the containers in the likelihood:
#   x       log10 concentration minus `centre` (0 for controls)
#   n, r    exposed and responded (r may be fractional after Abbott's correction)
#   treated TRUE where concentration > 0

# Each link gives log F, log(1-F), log f, f'/f and the quantile function.
links <- list(
  probit = list(
    logF = function(e) pnorm(e, log.p = TRUE),
    logS = function(e) pnorm(e, lower.tail = FALSE, log.p = TRUE),
    logf = function(e) dnorm(e, log = TRUE),
    ratio = function(e) -e,
    quantile = qnorm, scale = 1),
  logit = list(
    logF = function(e) plogis(e, log.p = TRUE),
    logS = function(e) plogis(e, lower.tail = FALSE, log.p = TRUE),
    logf = function(e) plogis(e, log.p = TRUE) + plogis(e, lower.tail = FALSE, log.p = TRUE),
    ratio = function(e) plogis(-e) - plogis(e),
    quantile = qlogis, scale = 1.7),
  cloglog = list(
    logF = function(e) ifelse(e > 0, log1p(-exp(-exp(e))), log(-expm1(-exp(e)))),
    logS = function(e) -exp(e),
    logf = function(e) e - exp(e),
    ratio = function(e) 1 - exp(e),
    quantile = function(p) log(-log1p(-p)), scale = 1.3))

# x log y with 0 log 0 = 0.
xlogy <- function(x, logy) ifelse(x == 0, 0, x * logy)

# log P and log(1-P) per container.
log_probabilities <- function(par, data, link) {
  a <- par[1]; b <- par[2]; C <- par[3]
  eta <- a + b * data$x
  logQ <- log1p(-C) + ifelse(data$treated, link$logS(eta), 0)
  logP <- if (C == 0) ifelse(data$treated, link$logF(eta), -Inf) else {
    P <- ifelse(data$treated, C + (1 - C) * exp(link$logF(eta)), C)
    ifelse(logQ > -0.69, log(P), log1p(-exp(logQ)))
  }
  list(eta = eta, logP = logP, logQ = logQ)
}

# Log-likelihood without the binomial coefficients.
kernel <- function(par, data, link) {
  lp <- log_probabilities(par, data, link)
  value <- sum(xlogy(data$r, lp$logP) + xlogy(data$n - data$r, lp$logQ))
  if (is.nan(value)) -Inf else value
}

# The binomial coefficients of whole counts.
coefficients_log <- function(data) sum(lchoose(data$n, data$r))

# First and second derivatives of log P and log Q in (eta, C), container by container.
# P_eta = (1-C) f, P_eta,eta = (1-C) f', P_C = 1-F, P_eta,C = -f, P_C,C = 0.
pieces <- function(par, data, link) {
  C <- par[3]
  lp <- log_probabilities(par, data, link)
  t <- data$treated
  e <- ifelse(t, lp$eta, 0)
  logf <- link$logf(e); logS <- link$logS(e); ratio <- link$ratio(e)
  logP <- ifelse(is.finite(lp$logP), lp$logP, 0)
  Pe <- ifelse(t, exp(log1p(-C) + logf - logP), 0)          # P_eta / P
  Pc <- ifelse(t, exp(logS - logP), exp(-logP))             # P_C / P
  fP <- ifelse(t, exp(logf - logP), 0)
  hazard <- ifelse(t, exp(logf - logS), 0)                  # -d log(1-F) / d eta
  list(
    lp = lp,
    P = list(e = Pe, c = Pc, ee = Pe * ifelse(t, ratio, 0) - Pe^2, cc = -Pc^2, ec = -fP - Pe * Pc),
    Q = list(e = -hazard, c = rep(-1 / (1 - C), length(e)), ee = -hazard * ifelse(t, ratio, 0) - hazard^2,
             cc = rep(-1 / (1 - C)^2, length(e)), ec = rep(0, length(e))))
}

# Gradient and Hessian of the log-likelihood in (a, b, C).
derivatives <- function(par, data, link) {
  k <- pieces(par, data, link)
  alive <- data$n - data$r
  combine <- function(name) xlogy(data$r, k$P[[name]]) + xlogy(alive, k$Q[[name]])
  e <- combine("e"); c <- combine("c"); ee <- combine("ee"); cc <- combine("cc"); ec <- combine("ec")
  x <- data$x
  H <- matrix(c(sum(ee), sum(ee * x), sum(ec),
                sum(ee * x), sum(ee * x^2), sum(ec * x),
                sum(ec), sum(ec * x), sum(cc)), 3, 3)
  list(gradient = c(sum(e), sum(e * x), sum(c)), hessian = H)
}

# Expected (Fisher) information of the parameters listed in `free`: sum of n P_u P_v / (P Q),
# each factor P_u / sqrt(P Q) taken through logs.
expected_information <- function(par, data, link, free) {
  lp <- log_probabilities(par, data, link)
  root <- (lp$logP + lp$logQ) / 2
  certain <- !is.finite(root)                               # controls with C = 0 carry none about a and b
  e <- ifelse(data$treated & !certain, exp(log1p(-par[3]) + link$logf(lp$eta) - root), 0)
  c <- ifelse(certain, 0, exp(ifelse(data$treated, link$logS(lp$eta), 0) - root))
  J <- cbind(e, e * data$x, c) * sqrt(data$n)
  crossprod(J)[free, free, drop = FALSE]
}

# The same derivatives by R's symbolic deriv(), as an independent check of the
# formulas above where plain arithmetic does not underflow.
symbolic_hessian <- function(par, data, name) {
  F <- list(probit = "pnorm(a + b * x)", logit = "1 / (1 + exp(-(a + b * x)))",
            cloglog = "1 - exp(-exp(a + b * x))")[[name]]
  P <- list(treated = sprintf("(C + (1 - C) * (%s))", F), control = "C")
  H <- matrix(0, 3, 3)
  for (kind in names(P)) {
    use <- data$treated == (kind == "treated")
    if (!any(use)) next
    code <- sprintf("r * log(%s) + (n - r) * log(1 - %s)", P[[kind]], P[[kind]])
    d <- deriv(parse(text = code), c("a", "b", "C"), hessian = TRUE)
    value <- eval(d, list(a = par[1], b = par[2], C = par[3], x = data$x[use], n = data$n[use], r = data$r[use]))
    H <- H + apply(attr(value, "hessian"), c(2, 3), sum)
  }
  H
}
