# The assays: published counts, and seeded random ones in named strata. Every random
# assay is invented. A draw is kept only if its primary fit is a clean maximum and has
# the property its stratum is about.

# Lei & Sun (2018), BMC Pharmacology and Toxicology, s40360-018-0250-1, Table 1:
# "dose:exposed/dead", 0 = control.
published <- c(
  rotenone = "2.6:50/6 3.8:48/16 5.1:46/24 7.7:49/42 10.2:50/44",
  deguelin = "5.1:49/16 10.0:48/18 20.4:48/34 30.2:49/47 40.7:50/47 50.1:48/48",
  mixture = "2.5:47/7 5.1:46/22 10.0:46/27 15.1:48/38 20.4:46/43 25.1:50/48",
  fairfax = "0:30/0 2:48/12 3:50/15 5:50/31 7:48/31 10:59/52",
  schaefer = "0:60/0 2:60/15 3:120/41 5:60/39 10:120/110 50:120/119",
  pixley = "0:359/7 10:70/22 20:70/38 30:50/38 50:50/48",
  bugres = "0:60/3 3:60/9 10:60/19 20:60/32 40:60/38 50:60/46",
  buglab = "0:60/5 .03:30/7 .1:30/7 .3:30/6 1:30/3 3:30/3 7:30/10 10:60/32 15:30/22 20:30/30")

parse_counts <- function(text) {
  m <- do.call(rbind, strsplit(strsplit(text, " ")[[1]], "[:/]"))
  data.frame(concentration = as.numeric(m[, 1]), exposed = as.numeric(m[, 2]), dead = as.numeric(m[, 3]))
}

pick <- function(values) values[sample.int(length(values), 1)]

# A random design; any element may be fixed by the stratum.
design <- function(...) {
  d <- list(doses = pick(4:8), containers = 1:4, sizes = c(5, 60), slope = exp(runif(1, log(0.8), log(8))),
            spacing = exp(runif(1, log(1.2), log(3))), scale = 10^runif(1, -6, 6), offset = runif(1, -0.7, 0.7),
            link = pick(names(links)), C = 0, controls = pick(0:2), rho = 0, digits = 4)
  given <- list(...)
  d[names(given)] <- given
  d
}

# Deaths among n at probability P; beta-binomial with intra-container correlation rho.
deaths <- function(n, P, rho) {
  if (rho > 0) P <- ifelse(P > 0 & P < 1, rbeta(length(P), P * (1 - rho) / rho, (1 - P) * (1 - rho) / rho), P)
  rbinom(length(n), n, P)
}

draw <- function(d) {
  position <- seq_len(d$doses) - (d$doses + 1) / 2
  dose <- signif(d$scale * d$spacing^position, d$digits)
  per <- if (length(d$containers) > 1) sample(d$containers, d$doses, TRUE) else rep(d$containers, d$doses)
  concentration <- c(rep(0, d$controls), rep(dose, per))
  exposed <- round(exp(runif(length(concentration), log(d$sizes[1]), log(d$sizes[2]))))
  # offset moves the LC50 in units of the half width of the tested log doses.
  middle <- log10(d$scale) + d$offset * log10(d$spacing) * (d$doses - 1) / 2
  link <- links[[d$link]]
  eta <- link$quantile(0.5) + d$slope * link$scale * (log10(concentration) - middle)
  P <- d$C + (1 - d$C) * ifelse(concentration > 0, exp(link$logF(eta)), 0)
  data.frame(concentration = concentration, exposed = exposed, dead = deaths(exposed, pmin(P, 1), d$rho))
}

primary_mode <- function(assay) if (any(assay$concentration == 0)) "estimated" else "none"

primary <- function(assay) fit(assay, "probit", primary_mode(assay))

primary_kind <- function(f) fieller(f, summarise(f, "", "probit", f$data$mode), 50, "when-above-one")

pooled_mortality <- function(assay) {
  t <- assay[assay$concentration > 0, ]
  tapply(t$dead, t$concentration, sum) / tapply(t$exposed, t$concentration, sum)
}

any_fit <- function(assay, f) TRUE
with_control_deaths <- function(assay, f) sum(assay$dead[assay$concentration == 0]) > 0
non_monotone <- function(assay, f) sum(diff(pooled_mortality(assay)) < -0.02) >= 2
on_boundary <- function(assay, f) f$boundary
of_kind <- function(kind) function(assay, f) { k <- primary_kind(f); k$sharp && k$kind == kind }
wide_g <- function(assay, f) { k <- primary_kind(f); k$sharp && k$g > 0.25 && k$g < 1 }
outside <- function(assay, f) {
  lc50 <- 10^(-f$par[1] / f$par[2] + f$data$centre)
  dose <- assay$concentration[assay$concentration > 0]
  lc50 < min(dose) || lc50 > max(dose)
}
far_tails <- function(assay, f) {
  eta <- f$par[1] + f$par[2] * f$data$x[f$data$treated]
  min(eta) < -8 && max(eta) > 8
}

# Doses bunched around the LC50 with others decades away, where only the logs of the tails survive.
draw_tails <- function() {
  d <- design(doses = 4, spacing = runif(1, 1.15, 1.35), slope = runif(1, 5, 8), offset = 0, controls = 0, containers = 1:2)
  near <- draw(d)
  far <- data.frame(concentration = signif(d$scale * 10^c(-runif(1, 2, 4), runif(1, 2, 4)), 4), exposed = c(20, 20), dead = c(0, 20))
  rbind(near, far)[sample(nrow(near) + 2), ]
}

small <- function() draw(design(sizes = c(5, 14), containers = 1:2, slope = runif(1, 0.8, 2), C = pick(c(0, 0, 0.1))))

# name = list(count, generator, property)
strata <- list(
  plain = list(50, function() draw(design(C = pick(c(0, 0, 0.05, 0.12)), spacing = exp(runif(1, log(1.2), log(10))), sizes = c(5, 200))), any_fit),
  natural = list(44, function() draw(design(C = runif(1, 0.02, 0.25), controls = pick(1:4))), with_control_deaths),
  clustered = list(26, function() draw(design(rho = runif(1, 0.03, 0.3), C = pick(c(0, 0.05, 0.15)), containers = 2:4)), any_fit),
  ragged = list(18, function() draw(design(sizes = c(5, 200), digits = 17, C = pick(c(0, 0.1)))), any_fit),
  huge = list(10, function() draw(design(sizes = c(10000, 10000), containers = 1, C = pick(c(0, 0.08)), spacing = runif(1, 1.3, 2))), any_fit),
  nonmonotone = list(14, function() draw(design(sizes = c(8, 20), containers = 1, slope = runif(1, 0.8, 2), C = pick(c(0, 0.1)))), non_monotone),
  beyond = list(16, function() draw(design(C = pick(c(0, 0.05)), offset = pick(c(-1.6, -1.3, 1.3, 1.6)), sizes = c(20, 100))), outside),
  wide = list(18, small, wide_g),
  excluded = list(16, small, of_kind("excluded-region")),
  unbounded = list(16, small, of_kind("unbounded")),
  boundary = list(16, function() draw(design(controls = pick(1:3), sizes = c(10, 40))), on_boundary),
  deadly = list(10, function() draw(design(C = runif(1, 0.25, 0.5), controls = pick(2:4), sizes = c(15, 80))), with_control_deaths),
  saturated = list(10, function() draw(design(doses = 2, containers = 1, controls = pick(0:1), C = 0.05, sizes = c(20, 90), spacing = 2)), any_fit),
  threedose = list(8, function() draw(design(doses = 3, containers = 1, controls = pick(0:1), sizes = c(15, 60), spacing = 2)), any_fit),
  tails = list(10, draw_tails, far_tails))

make_assays <- function() {
  RNGkind("Mersenne-Twister", "Inversion", "Rejection")
  set.seed(20310401)
  out <- lapply(published, parse_counts)
  for (name in names(strata)) {
    s <- strata[[name]]
    kept <- 0; tries <- 0
    while (kept < s[[1]]) {
      tries <- tries + 1
      if (tries > 200 * s[[1]]) stop("stratum ", name, ": only ", kept, " assays found")
      assay <- s[[2]]()
      f <- primary(assay)
      if (is.null(f$why) || f$why != "" || !s[[3]](assay, f)) next
      kept <- kept + 1
      out[[sprintf("%s-%03d", name, kept)]] <- assay
    }
  }
  out
}
