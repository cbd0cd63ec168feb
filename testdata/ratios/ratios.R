# Ratios of LCp, and likelihood-ratio tests of parallel and of equal lines, in
# base R, to check the numeric core from outside.
#
#   Rscript ratios.R OUTDIR [EVERY]
#
# draws 100 pairs of assays, each from a seed of its own, and writes
# OUTDIR/assays.csv, OUTDIR/pairs.csv and OUTDIR/limits.csv; with EVERY it
# draws and compares only every EVERYth pair. The model
# and the fit of one assay are those of ../reference. See SOURCE.md.

args <- commandArgs(TRUE)
stopifnot(length(args) %in% 1:2)
every <- if (length(args) == 2) as.integer(args[2]) else 1
for (part in c("model.R", "fitting.R", "assays.R")) source(file.path("../reference", part))
drop <- qchisq(0.95, 1) / 2 # the fall of a log-likelihood that 95 % limits allow

# A joint model: assays on lines of one slope. par is the intercepts by line,
# the slope, and the free natural mortalities; `shift` moves an assay's log doses.
joint <- function(datas, link, line, shift = c(0, 0)) {
  for (i in seq_along(datas)) datas[[i]]$x <- ifelse(datas[[i]]$treated, datas[[i]]$x - shift[i], 0)
  list(datas = datas, link = link, line = line, lines = max(line),
       free = sapply(datas, function(d) d$mode == "estimated"), size = max(line) + 1 + sum(sapply(datas, function(d) d$mode == "estimated")))
}
own <- function(par, j, i) {
  C <- j$datas[[i]]$fixedC
  if (j$free[i]) C <- par[j$lines + 1 + sum(j$free[seq_len(i)])]
  c(par[j$line[i]], par[j$lines + 1], C)
}
places <- function(j, i) c(j$line[i], j$lines + 1, if (j$free[i]) j$lines + 1 + sum(j$free[seq_len(i)]))
joint_kernel <- function(par, j) sum(sapply(seq_along(j$datas), function(i) kernel(own(par, j, i), j$datas[[i]], j$link)))
joint_derivatives <- function(par, j) {
  g <- numeric(j$size); H <- matrix(0, j$size, j$size)
  for (i in seq_along(j$datas)) {
    d <- derivatives(own(par, j, i), j$datas[[i]], j$link)
    at <- places(j, i); use <- seq_along(at)
    g[at] <- g[at] + d$gradient[use]
    H[at, at] <- H[at, at] + d$hessian[use, use]
  }
  list(gradient = g, hessian = H)
}

# The maximum from several starts: nlminb within C >= 0, then Newton over what
# is not held at its bound.
bounds <- function(j) c(rep(-Inf, j$lines + 1), rep(0, sum(j$free)))
maximise <- function(j, starts) {
  low <- bounds(j)
  up <- c(rep(Inf, j$lines + 1), rep(0.9, sum(j$free)))
  value <- function(p) { v <- joint_kernel(p, j); if (is.finite(v)) -v else 1e10 }
  slope <- function(p) { g <- -joint_derivatives(p, j)$gradient; ifelse(is.finite(g), g, 0) }
  best <- NULL
  for (s in starts) {
    end <- nlminb(pmax(s, low), value, slope, lower = low, upper = up, control = list(rel.tol = 1e-14, x.tol = 1e-12, iter.max = 500, eval.max = 1000))
    if (is.null(best) || end$objective < best$objective - 1e-10) best <- end
  }
  p <- best$par
  p[is.finite(low) & p < 1e-7] <- 0
  for (k in 1:30) {
    d <- joint_derivatives(p, j)
    go <- !(is.finite(low) & p == 0 & d$gradient <= 0)
    step <- rep(0, j$size)
    step[go] <- solve(-d$hessian[go, go], d$gradient[go])
    if (any(p + step < low)) break
    p <- p + step
    if (max(abs(step)) < 1e-13 * max(abs(p), 1)) break
  }
  if (!is.finite(joint_kernel(p, j)) || joint_kernel(p, j) < -best$objective - 1e-9) p <- best$par
  list(par = p, value = joint_kernel(p, j), free = !(is.finite(low) & p == 0), hessian = joint_derivatives(p, j)$hessian)
}

# Profile limits of something: profile(theta) is the highest log-likelihood.
profile_limits <- function(profile, centre, se, top) {
  excess <- function(t) profile(t) - top + drop
  one <- function(side) {
    near <- 0; far <- 1.5 * se
    while (excess(centre + side * far) > 0) { near <- far; far <- 2 * far; if (far > 50) return(side * Inf) }
    centre + side * uniroot(function(t) excess(centre + side * t), c(near, far), tol = 1e-11, maxiter = 200)$root
  }
  c(one(-1), one(1))
}

# The profile of log10 LCp of one assay: the highest likelihood of lines through
# (theta, z), from several starts, the best cell of a grid up to a step among them.
lc_profile <- function(f, z) {
  low <- if (f$data$mode == "estimated") 0 else f$data$fixedC
  up <- if (f$data$mode == "estimated") 0.9 else f$data$fixedC
  warm <- c(log(f$par[2]), f$par[3])
  function(theta) {
    at <- function(p) c(z - exp(p[1]) * theta, exp(p[1]), p[2])
    value <- function(p) { v <- kernel(at(p), f$data, f$link); if (is.finite(v)) -v else 1e10 }
    slope <- function(p) {
      g <- derivatives(at(p), f$data, f$link)$gradient
      g <- -c(exp(p[1]) * (g[2] - theta * g[1]), if (low < up) g[3] else 0)
      ifelse(is.finite(g), g, 0)
    }
    cells <- expand.grid(log(f$par[2]) + seq(-3, 16), unique(c(f$par[3], low, if (low < up) c(0.02, 0.05, 0.1, 0.2))))
    heights <- apply(cells, 1, value)
    best <- min(heights)
    for (start in list(as.numeric(cells[which.min(heights), ]), warm, c(log(f$par[2]), max(f$par[3], 0.02 * (low < up) + low)), c(log(f$par[2]) - 1, low), c(log(f$par[2]) + 1, (low + up) / 4 + low / 2))) {
      start[2] <- min(max(start[2], low), up)
      end <- nlminb(start, value, slope, lower = c(-20, low), upper = c(20, up), control = list(rel.tol = 1e-14, x.tol = 1e-12))
      if (end$objective < best) { best <- end$objective; warm <<- end$par }
    }
    -best
  }
}

# log10 LCp, its delta standard error and profile limits.
side <- function(f, p) {
  z <- f$link$quantile(p / 100)
  V <- solve(-f$hessian[f$fitted, f$fitted])
  theta <- (z - f$par[1]) / f$par[2]
  se <- sqrt(V[1, 1] + 2 * theta * V[1, 2] + theta^2 * V[2, 2]) / f$par[2]
  c(theta, se, profile_limits(lc_profile(f, z), theta, se, f$value)) + c(f$data$centre, 0, f$data$centre, f$data$centre)
}

# Each assay's own fit in one scale of log dose.
common_centre <- function(f, centre) {
  f$data$x <- ifelse(f$data$treated, f$data$x + f$data$centre - centre, 0)
  f$par[1] <- f$par[1] - f$par[2] * (f$data$centre - centre)
  f$data$centre <- centre
  f$hessian <- derivatives(f$par, f$data, f$link)$hessian
  f
}

compare <- function(f1, f2) {
  centre <- (f1$data$centre + f2$data$centre) / 2
  f1 <- common_centre(f1, centre); f2 <- common_centre(f2, centre)
  datas <- list(f1$data, f2$data)
  C <- c(if (f1$data$mode == "estimated") f1$par[3], if (f2$data$mode == "estimated") f2$par[3])
  b <- c(f1$par[2], f2$par[2]); mid <- -c(f1$par[1], f2$par[1]) / b
  starts <- function(lines) {
    out <- list()
    for (slope in c(mean(b), b)) for (scale in c(1, 0.3)) {
      a <- -slope * mid
      out[[length(out) + 1]] <- c(if (lines == 2) a else mean(a), slope, scale * C + (1 - scale) * 0.03)
    }
    out
  }
  parallel <- joint(datas, f1$link, c(1, 2)); equal <- joint(datas, f1$link, c(1, 1))
  m2 <- maximise(parallel, starts(2)); m1 <- maximise(equal, starts(1))
  V <- matrix(0, parallel$size, parallel$size)
  V[m2$free, m2$free] <- solve(-m2$hessian[m2$free, m2$free])
  d <- (m2$par[2] - m2$par[1]) / -m2$par[3]            # log10 ratio of the second to the first
  G <- c(1, -1, -d) / m2$par[3]
  se <- sqrt(drop_dim(t(G) %*% V[1:3, 1:3] %*% G))
  # Fieller: (D - d b)^2 <= z^2 Var(D - d b), D = a1 - a2
  vd <- V[1, 1] + V[2, 2] - 2 * V[1, 2]; cdb <- V[1, 3] - V[2, 3]; D <- m2$par[1] - m2$par[2]; q <- qnorm(0.975)^2
  A <- m2$par[3]^2 - q * V[3, 3]; B <- -(D * m2$par[3] - q * cdb); CC <- D^2 - q * vd
  fieller <- if (A > 0) (-B + c(-1, 1) * sqrt(B^2 - A * CC)) / A else c(NA, NA)
  warm <- c(m2$par[1], m2$par[-(1:2)])
  ratio_profile <- function(delta) {
    m <- maximise(joint(datas, f1$link, c(1, 1), c(0, delta)), list(warm, c(m2$par[1], m2$par[-(1:2)]), c(m2$par[1:1], m2$par[3], 0 * C + 0.02)))
    warm <<- m$par
    m$value
  }
  list(x2_parallel = 2 * (f1$value + f2$value - m2$value), x2_equal = 2 * (f1$value + f2$value - m1$value),
       slope = m2$par[3], se_slope = sqrt(V[3, 3]), common = d, se_common = se, fieller = fieller,
       profile = profile_limits(ratio_profile, d, se, m2$value), one_a = m1$par[1] - m1$par[2] * centre, one_b = m1$par[2])
}
drop_dim <- function(m) as.numeric(m)

# Without natural mortality glm gives the same statistics: stop if it does not.
check_by_glm <- function(f1, f2, link_name, r) {
  frame <- do.call(rbind, lapply(1:2, function(k) {
    d <- list(f1, f2)[[k]]$data
    data.frame(p = factor(k), x = d$x + d$centre, r = d$r, n = d$n)
  }))
  deviance_of <- function(formula) deviance(glm(formula, binomial(link_name), frame, weights = n, control = list(epsilon = 1e-14, maxit = 100)))
  frame$y <- frame$r / frame$n
  full <- deviance_of(y ~ p * x)
  stopifnot(abs(deviance_of(y ~ p + x) - full - r$x2_parallel) < 1e-7, abs(deviance_of(y ~ x) - full - r$x2_equal) < 1e-7)
}

# Pairs: two designs of one scale, the second more tolerant by up to tenfold.
pair_of <- function(link_name, mode, same_slope, rho) {
  scale <- 10^runif(1, -3, 3)
  slope <- exp(runif(1, log(1.2), log(5)))
  one <- function(scale, slope, C) draw(design(link = link_name, doses = pick(5:7), spacing = runif(1, 1.5, 2.5), sizes = c(8, 40), containers = pick(1:4),
                                               slope = slope, scale = scale, offset = runif(1, -0.4, 0.4), C = C, controls = if (mode == "none") 0 else pick(1:4), rho = rho))
  natural <- function() if (mode == "estimated") runif(1, 0.02, 0.2) else 0
  list(one(scale, slope, natural()), one(scale * 10^runif(1, -0.2, 1), slope * if (same_slope) 1 else exp(runif(1, -0.7, 0.7)), natural()))
}
usable <- function(f, p) is.list(f) && !is.null(f$why) && f$why == "" && f$par[2] / sqrt(solve(-f$hessian[f$fitted, f$fitted])[2, 2]) > 3.5

RNGkind("Mersenne-Twister", "Inversion", "Rejection")
plan <- expand.grid(mode = c("none", "estimated", "estimated", "boundary"), link = c("probit", "probit", "probit", "logit", "cloglog"),
                    same = c(TRUE, FALSE), repeats = 1:5, stringsAsFactors = FALSE)
plan <- plan[order(plan$repeats), ][1:100, ]
assays <- pairs <- limits <- NULL
num <- function(v) sprintf("%.12g", v)
for (k in seq(every, 100, by = every)) {
  set.seed(20311107 + k)
  row <- plan[k, ]
  mode <- if (row$mode == "none") "none" else "estimated"
  repeat {
    two <- pair_of(row$link, row$mode, row$same, rho = pick(c(0, 0, 0.05)))
    fits <- lapply(two, function(a) fit(a, row$link, mode))
    if (!all(sapply(fits, usable))) next
    if (row$mode == "boundary" && !any(sapply(fits, `[[`, "boundary"))) next
    if (row$mode == "estimated" && any(sapply(fits, `[[`, "boundary"))) next
    break
  }
  name <- sprintf("pair-%03d", k)
  for (i in 1:2) assays <- rbind(assays, data.frame(assay = paste0(name, c("-a", "-b")[i]), concentration = sprintf("%.6g", two[[i]]$concentration),
                                                    exposed = two[[i]]$exposed, dead = two[[i]]$dead))
  r <- compare(fits[[1]], fits[[2]])
  if (mode == "none") check_by_glm(fits[[1]], fits[[2]], row$link, r)
  pairs <- rbind(pairs, data.frame(pair = name, link = row$link, mode = mode, x2_parallel = num(r$x2_parallel), x2_equal = num(r$x2_equal),
    slope = num(r$slope), se_slope = num(r$se_slope), one_a = num(r$one_a), one_b = num(r$one_b), common = num(r$common), se_common = num(r$se_common),
    fieller_lower = num(r$fieller[1]), fieller_upper = num(r$fieller[2]), profile_lower = num(r$profile[1]), profile_upper = num(r$profile[2])))
  for (p in c(50, 90)) {
    s <- lapply(fits, side, p) # the second over the first
    d <- s[[2]][1] - s[[1]][1]; se <- sqrt(s[[1]][2]^2 + s[[2]][2]^2); m <- qnorm(0.975)
    mover <- c(d - sqrt((s[[2]][1] - s[[2]][3])^2 + (s[[1]][4] - s[[1]][1])^2), d + sqrt((s[[2]][4] - s[[2]][1])^2 + (s[[1]][1] - s[[1]][3])^2))
    limits <- rbind(limits, data.frame(pair = name, p = p, log10_ratio = num(d), se = num(se), delta_lower = num(d - m * se), delta_upper = num(d + m * se),
      mover_lower = num(mover[1]), mover_upper = num(mover[2])))
  }
  message(name, " ", row$link, " ", row$mode)
}
out <- function(x, name) write.csv(x, file.path(args[1], name), row.names = FALSE, quote = FALSE)
out(assays, "assays.csv"); out(pairs, "pairs.csv"); out(limits, "limits.csv")
