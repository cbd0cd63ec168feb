# Assertions: the reference set must itself be checked before anything is checked by it.

near <- function(what, got, want, tolerance) {
  if (!isTRUE(all(abs(got / want - 1) < tolerance))) stop(what, ": got ", format(got, digits = 12), ", want ", want)
}

# The hand-written Hessian against R's symbolic deriv(), where plain arithmetic holds.
check_hessian <- function(f, name) {
  d <- f$data
  eta <- (f$par[1] + f$par[2] * d$x)[d$treated]
  if (max(abs(eta)) > 3 || f$par[3] == 0 && any(!d$treated)) return(invisible())
  S <- symbolic_hessian(f$par, d, name)[f$fitted, f$fitted]
  H <- f$hessian[f$fitted, f$fitted]
  size <- sqrt(outer(diag(-H), diag(-H)))
  if (max(abs(S - H) / size) > 1e-7) stop("hessian differs from deriv(): ", name, " ", f$data$mode)
}

# Published values and recomputations, Lei & Sun (2018), s40360-018-0250-1.
check_published <- function(fits, lc) {
  row <- function(assay, mode, link = "probit") fits[fits$assay == assay & fits$mode == mode & fits$link == link, ]
  limit <- function(assay, mode, p, rule) lc[lc$assay == assay & lc$mode == mode & lc$p == p & lc$rule == rule & lc$link == "probit", ]
  r <- row("rotenone", "none")
  near("rotenone a, b", c(r$a, r$b), c(-2.887463, 4.213197), 1e-6)
  near("rotenone SE b", c(r$se_b, r$se_b_expected), c(.47830, .48056), 1e-4)
  near("rotenone X2, deviance", c(r$x2_container, r$deviance), c(1.728875, 1.738969), 1e-6)
  near("rotenone cloglog deviance", row("rotenone", "none", "cloglog")$deviance, 4.32671, 1e-5)
  near("rotenone logit b", row("rotenone", "none", "logit")$b, 7.14618, 1e-5)
  z <- limit("rotenone", "none", 90, "never")
  near("rotenone LC90 limits", c(z$lower, z$upper), c(8.405, 12.134), 1e-4)
  t <- limit("deguelin", "none", 50, "when-above-one")
  near("deguelin LC50 limits", c(t$lower, t$upper), c(5.0899, 14.6258), 1e-4)
  p <- row("pixley", "estimated")
  near("pixley a, b, C", c(p$a, p$b, p$C), c(-3.55599, 2.91705, .01970), 1e-3)
  near("pixley SE", c(p$se_a, p$se_b, p$se_C), c(.52925, .40244, .00737), 1e-3)
  w <- limit("pixley", "estimated", 50, "when-above-one")
  near("pixley LC50 limits and g", c(w$lower, w$upper, w$g), c(8.0959, 24.6360, .4771), 1e-3)
  b <- row("buglab", "estimated")
  near("buglab b, SE b, C, X2", c(b$b, b$se_b, b$C, b$x2_container), c(5.46051, 1.0619, .149578, 11.0811), 1e-3)
}

# Every `none` fit against stats::glm, an independent route to the same maximum.
check_against_glm <- function(assays, fits) {
  for (i in which(fits$mode == "none")) {
    d <- assays[[fits$assay[i]]]
    d <- d[d$concentration > 0, ]
    g <- suppressWarnings(glm(cbind(dead, exposed - dead) ~ log10(concentration), binomial(fits$link[i]), d,
                              control = glm.control(epsilon = 1e-14, maxit = 200)))
    # glm floors its fitted probabilities, so it is only asked where it converged inside its range.
    if (!g$converged || max(abs(g$linear.predictors)) > 5) next
    near(paste("glm slope", fits$assay[i], fits$link[i]), fits$b[i], unname(coef(g)[2]), 1e-6)
    near(paste("glm logLik", fits$assay[i], fits$link[i]), fits$loglik[i], as.numeric(logLik(g)), 1e-9)
  }
}

# The status of an assay from first principles, to check the hand-written expectations.
status_of <- function(assay) {
  t <- assay[assay$concentration > 0 & assay$exposed > 0, ]
  if (length(unique(t$concentration)) < 2) return("too-few-doses")
  if (all(t$dead == t$exposed)) return("all-dead")
  if (all(t$dead == 0)) return("none-dead")
  controls <- any(assay$concentration == 0 & assay$exposed > 0)
  f <- fit(assay, "probit", if (controls) "estimated" else "none")
  rate <- tapply(t$dead, t$concentration, sum) / tapply(t$exposed, t$concentration, sum)
  if (diff(range(rate)) == 0 || f$why == "slope zero") return("no-slope")
  # Turned round, a decreasing response separates exactly where an increasing one would.
  if (f$why == "slope negative" || all(diff(rate) <= 0)) return("negative-slope")
  if (f$why == "no finite maximum") return("separated")
  if (f$why == "") return("converged")
  f$why
}

check_awkward <- function(file) {
  rows <- read.csv(file, comment.char = "#", stringsAsFactors = FALSE)
  assays <- split(rows, factor(rows$assay, unique(rows$assay)))
  expected <- sapply(assays, function(a) unique(a$expected_status))
  for (name in names(assays)) {
    found <- status_of(assays[[name]])
    if (found != expected[[name]]) stop("awkward ", name, ": expected ", expected[[name]], ", found ", found)
  }
  expected
}
