# Reference fits of binomial dose-response models in base R.
#
#   Rscript reference.R OUTDIR
#
# writes assays.csv, fits.csv and lc.csv into OUTDIR, checks awkward.csv beside this
# script, and prints a summary. SOURCE.md states the conventions and the columns.

here <- dirname(sub("^--file=", "", grep("^--file=", commandArgs(FALSE), value = TRUE)[1]))
for (part in c("model.R", "fitting.R", "limits.R", "assays.R", "selfcheck.R")) source(file.path(here, part))

modes_of <- function(assay, link) {
  controls <- any(assay$concentration == 0)
  if (link == "probit") { if (controls) c("estimated", "none", "fixed", "abbott") else c("none", "fixed") }
  else if (controls) c("estimated", "none") else "none"
}

# Numbers as text: `digits` significant digits, whole numbers and NA kept short.
as_text <- function(v, digits) {
  if (!is.numeric(v)) return(v)
  ifelse(is.na(v), "", sprintf(paste0("%.", digits, "g"), v))
}

# The fewest digits that identify the float64.
shortest <- function(v) {
  s <- sprintf("%.15g", v)
  ifelse(sprintf("%.17g", as.numeric(s)) == sprintf("%.17g", v), s, sprintf("%.17g", v))
}

write_rows <- function(rows, file) {
  lines <- c(paste(names(rows), collapse = ","), do.call(paste, c(unname(as.list(rows)), sep = ",")))
  con <- file(file, "wb")
  on.exit(close(con))
  writeLines(lines, con, sep = "\n")
}

fit_all <- function(assays) {
  fits <- list(); limits <- list(); skipped <- character()
  for (name in names(assays)) for (link in names(links)) for (mode in modes_of(assays[[name]], link)) {
    f <- fit(assays[[name]], link, mode)
    if (f$why != "") { skipped <- c(skipped, f$why); next }
    check_hessian(f, link)
    row <- summarise(f, name, link, mode)
    fits[[length(fits) + 1]] <- row
    rules <- if (link == "probit") c("when-above-one", "never") else "when-above-one"
    for (rule in rules) for (p in c(10, 50, 90, 99)) limits[[length(limits) + 1]] <- fieller(f, row, p, rule)
  }
  list(fits = do.call(rbind, fits), lc = do.call(rbind, limits), skipped = skipped)
}

main <- function() {
  outdir <- commandArgs(TRUE)
  if (length(outdir) != 1) stop("usage: Rscript reference.R OUTDIR")
  statuses <- check_awkward(file.path(here, "awkward.csv"))
  assays <- make_assays()
  result <- fit_all(assays)
  check_published(result$fits, result$lc)
  check_against_glm(assays, result$fits)
  lc <- result$lc[result$lc$sharp, names(result$lc) != "sharp"]

  containers <- do.call(rbind, lapply(names(assays), function(name) cbind(assay = name, assays[[name]])))
  containers$concentration <- shortest(containers$concentration)
  write_rows(as.data.frame(lapply(containers, as_text, 17)), file.path(outdir, "assays.csv"))
  write_rows(as.data.frame(lapply(result$fits, as_text, 17)), file.path(outdir, "fits.csv"))
  write_rows(as.data.frame(lapply(lc, as_text, 15)), file.path(outdir, "lc.csv"))

  cat(R.version.string, "\n")
  cat("assays", length(assays), " containers", nrow(containers), " fits", nrow(result$fits), " LC rows", nrow(lc), "\n")
  cat("\nfits by link and mode\n"); print(table(result$fits$link, result$fits$mode))
  cat("\nLC rows by kind and rule\n"); print(table(lc$kind, lc$rule))
  at50 <- lc[lc$p == 50 & lc$rule == "when-above-one", ]
  cat("\nassays by kind at LC50, probit\n"); print(table(unique(at50[at50$link == "probit", c("assay", "kind")])$kind))
  on_edge <- result$fits$mode == "estimated" & result$fits$C == 0
  cat("\nestimated C exactly 0:", sum(on_edge), " controls with deaths:",
      sum(sapply(assays, function(a) any(a$dead[a$concentration == 0] > 0))), "\n")
  cat("\nnot written\n"); print(table(result$skipped)); cat("LC rows left out as too close to a change of kind, or beyond reach:", sum(!result$lc$sharp), "\n")
  cat("\nawkward assays by expected status\n"); print(table(statuses))
}

main()
