# Maximum likelihood: a grid, optim from every local maximum of the grid, Newton
# to the end, and the suprema at infinite slope that tell when no maximum exists.

same_likelihood <- 1e-6   # two maxima closer than this make a data set ambiguous
gradient_limit <- 1e-9    # largest gradient accepted, in units of the parameters' standard errors
condition_limit <- 1e9    # of the scaled information matrix
flat_limit <- 1e-3        # smallest change of eta over the tested doses that counts as a slope

# Mode names and what they keep: controls in the likelihood, C free or fixed.
prepare <- function(assay, mode) {
  d <- assay[assay$exposed > 0, ]
  control <- d$concentration == 0
  C <- 0
  if (mode == "fixed") C <- 0.05
  if (mode == "abbott") {
    C <- sum(d$dead[control]) / sum(d$exposed[control])
    d$dead <- d$exposed * pmax(0, (d$dead / d$exposed - C) / (1 - C))
  }
  if (mode %in% c("none", "abbott")) d <- d[!control, ]
  treated <- d$concentration > 0
  logdose <- log10(d$concentration)
  centre <- mean(logdose[treated])
  list(x = ifelse(treated, logdose - centre, 0), n = d$exposed, r = d$dead, treated = treated,
       concentration = d$concentration, centre = centre, mode = mode, C = C,
       fixedC = if (mode == "fixed") C else 0, free = if (mode == "estimated") 1:3 else 1:2)
}

# Supremum of the kernel over step functions, the limits of infinite slope: doses below the
# k-th die at the rate C, dose k at any rate >= C, and all doses above it completely.
step_supremum <- function(data, free_C) {
  x <- sort(unique(data$x[data$treated]))
  n <- sapply(x, function(v) sum(data$n[data$treated & data$x == v]))
  r <- sapply(x, function(v) sum(data$r[data$treated & data$x == v]))
  n0 <- sum(data$n[!data$treated]); r0 <- sum(data$r[!data$treated])
  binomial_kernel <- function(r, n, p) xlogy(r, log(p)) + xlogy(n - r, log1p(-p))
  best <- -Inf
  for (k in seq_along(x)) {
    above <- seq_along(x) > k
    if (any(r[above] < n[above])) next
    nb <- n0 + sum(n[seq_len(k - 1)]); rb <- r0 + sum(r[seq_len(k - 1)])
    C <- if (!free_C) data$fixedC else if (nb == 0) 0 else rb / nb
    if (free_C && nb > 0 && r[k] / n[k] < C) C <- (rb + r[k]) / (nb + n[k])
    value <- binomial_kernel(rb, nb, C) + binomial_kernel(r[k], n[k], max(C, r[k] / n[k]))
    best <- max(best, value)
  }
  best
}

# The kernel at many (middle, slope, C) at once, one vector per distinct dose.
grid_kernel <- function(data, link, middle, slope, C) {
  times <- function(count, logs) if (count == 0) 0 else count * logs
  value <- numeric(length(middle))
  for (x in split(seq_along(data$x), ifelse(data$treated, data$x, NA), drop = TRUE)) {
    eta <- slope * (data$x[x[1]] - middle)
    P <- C + (1 - C) * exp(link$logF(eta))
    logP <- ifelse(C == 0, link$logF(eta), log(P))
    value <- value + times(sum(data$r[x]), logP) + times(sum(data$n[x] - data$r[x]), log1p(-C) + link$logS(eta))
  }
  controls <- !data$treated
  value + times(sum(data$r[controls]), log(C)) + times(sum((data$n - data$r)[controls]), log1p(-C))
}

# Local maxima of the kernel on a grid of (LC50, slope, C), slopes of both signs. Neighbouring
# middles are a tenth of the tested range apart, so that a steep step is not passed over.
grid_starts <- function(data, link, C) {
  doses <- range(data$x[data$treated])
  span <- diff(doses)
  middle <- c(doses[1] - c(1, 0.6, 0.3) * span, seq(doses[1], doses[2], length.out = 31), doses[2] + c(0.3, 0.6, 1) * span)
  slope <- link$scale * c(-8, -2, -0.5, 0.1, 0.4, 0.8, 1.5, 3, 6, 10, 15, 25, 50) / max(span, 0.3)
  cells <- expand.grid(middle = middle, slope = slope, C = C)
  value <- array(grid_kernel(data, link, cells$middle, cells$slope, cells$C), c(length(middle), length(slope), length(C)))
  value[is.nan(value)] <- -Inf
  peak <- is.finite(value)
  for (axis in 1:3) for (move in c(-1, 1)) peak <- peak & value >= shifted(value, axis, move)
  at <- which(peak, arr.ind = TRUE)
  at <- at[order(-value[at]), , drop = FALSE]
  at <- at[seq_len(min(8, nrow(at))), , drop = FALSE]
  lapply(seq_len(nrow(at)), function(i) c(-slope[at[i, 2]] * middle[at[i, 1]], slope[at[i, 2]], C[at[i, 3]]))
}

# The array moved by one cell along an axis, -Inf where nothing moved in.
shifted <- function(value, axis, move) {
  out <- array(-Inf, dim(value))
  n <- dim(value)[axis]
  if (n == 1) return(out)
  to <- if (move > 0) 2:n else 1:(n - 1)
  index <- function(i) { l <- list(TRUE, TRUE, TRUE); l[[axis]] <- i; l }
  put <- index(to); get <- index(to - move)
  out[put[[1]], put[[2]], put[[3]]] <- value[get[[1]], get[[2]], get[[3]], drop = FALSE]
  out
}

# optim with the analytic gradient, then Newton with step halving. NULL unless it ends at
# a maximum with a negative definite Hessian.
climb <- function(start, data, link, free) {
  place <- function(p) { full <- start; full[free] <- p; full }
  legal <- function(full) full[3] >= 0 && full[3] < 1
  target <- function(p) if (legal(place(p))) max(kernel(place(p), data, link), -1e300) else -1e300
  slope <- function(p) {
    if (!legal(place(p))) return(rep(0, length(free)))
    g <- derivatives(place(p), data, link)$gradient[free]
    ifelse(is.finite(g), g, 0)
  }
  p <- optim(start[free], target, slope, method = "BFGS", control = list(fnscale = -1, maxit = 300, reltol = 1e-10))$par
  end <- newton(place(p), data, link, free)
  if (is.null(end)) newton(start, data, link, free) else end
}

newton <- function(par, data, link, free) {
  scaled <- Inf
  for (iteration in 1:60) {
    d <- derivatives(par, data, link)
    g <- d$gradient[free]; H <- d$hessian[free, free, drop = FALSE]
    if (!all(is.finite(c(g, H)))) return(NULL)
    root <- tryCatch(chol(-H), error = function(e) NULL)
    if (is.null(root)) return(NULL)
    step <- backsolve(root, forwardsolve(t(root), g))
    se <- sqrt(diag(chol2inv(root)))
    previous <- scaled
    scaled <- max(abs(g) * se)
    if (max(abs(step) / pmax(abs(par[free]), se)) < 1e-13 || (scaled < 1e-12 && scaled >= previous / 2)) {
      return(list(par = par, value = kernel(par, data, link), gradient = d$gradient, hessian = d$hessian,
                  scaled = scaled, condition = kappa_of(-H)))
    }
    par <- halved(par, step, data, link, free)
    if (is.null(par)) return(NULL)
  }
  NULL
}

# The Newton step, halved until the likelihood does not fall (beyond rounding).
halved <- function(par, step, data, link, free) {
  now <- kernel(par, data, link)
  for (k in 0:30) {
    new <- par
    new[free] <- par[free] + step / 2^k
    if (new[3] >= 0 && new[3] < 1 && kernel(new, data, link) >= now - 1e-12 * abs(now)) return(new)
  }
  NULL
}

# Condition number of the information matrix scaled to unit diagonal.
kappa_of <- function(I) {
  values <- eigen(cov2cor(I), symmetric = TRUE, only.values = TRUE)$values
  max(values) / min(values)
}

# The global maximum, or a list with only `why` when there is none or it is doubtful.
fit <- function(assay, link_name, mode) {
  link <- links[[link_name]]
  data <- prepare(assay, mode)
  free_C <- mode == "estimated"
  C <- if (free_C) c(0, 0.01, 0.03, 0.08, 0.15, 0.25, 0.4, 0.6) else data$fixedC
  maxima <- list()
  for (start in grid_starts(data, link, C)) {
    m <- NULL
    if (free_C && start[3] > 0) m <- climb(start, data, link, 1:3)
    if (free_C && is.null(m) && sum(data$r[!data$treated]) == 0) {
      m <- climb(c(start[1:2], 0), data, link, 1:2)
      if (!is.null(m) && m$gradient[3] > 0) m <- climb(c(m$par[1:2], 1e-3), data, link, 1:3)
    }
    if (!free_C) m <- climb(start, data, link, 1:2)
    if (!is.null(m)) maxima[[length(maxima) + 1]] <- m
  }
  judge(maxima, data, link, step_supremum(data, free_C))
}

judge <- function(maxima, data, link, supremum) {
  if (length(maxima) == 0) return(list(why = "no finite maximum", supremum = supremum))
  values <- sapply(maxima, `[[`, "value")
  best <- maxima[[which.max(values)]]
  rival <- Filter(function(m) max(abs(m$par - best$par)) > 1e-6 * max(1, abs(best$par)), maxima)
  reach <- best$par[2] * diff(range(data$x[data$treated]))
  why <- ""
  if (best$value <= supremum + same_likelihood) why <- "no finite maximum"
  else if (any(sapply(rival, `[[`, "value") > best$value - same_likelihood)) why <- "two maxima"
  else if (abs(reach) < flat_limit) why <- "slope zero"
  else if (reach < 0) why <- "slope negative"
  else if (best$scaled > gradient_limit || best$condition > condition_limit) why <- "doubtful"
  boundary <- data$mode == "estimated" && best$par[3] == 0
  if (why == "" && boundary && best$gradient[3] > -1e-4) why <- "doubtful"
  c(best, list(why = why, data = data, link = link, boundary = boundary, supremum = supremum,
               fitted = if (boundary) 1:2 else data$free, k = length(data$free)))
}
