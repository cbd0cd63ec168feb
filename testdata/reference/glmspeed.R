# Nanoseconds per stats::glm.fit call, probit, on the treated rows of the first assay.
#
#   Rscript glmspeed.R FILE.csv      (columns assay,concentration,exposed,dead)
#
# Prints one number: the median over 20 blocks of about 0.1 s each.

blocks <- 20
block_seconds <- 0.1

path <- commandArgs(TRUE)
if (length(path) != 1) stop("usage: Rscript glmspeed.R FILE.csv")
rows <- read.csv(path, comment.char = "#", stringsAsFactors = FALSE)
missing <- setdiff(c("assay", "concentration", "exposed", "dead"), names(rows))
if (length(missing) > 0) stop(path, ": no column ", paste(missing, collapse = ", "), "; add it to the header")
rows <- rows[rows$assay == rows$assay[1] & rows$concentration > 0 & rows$exposed > 0, ]

X <- cbind(1, log10(rows$concentration))
y <- rows$dead / rows$exposed
weights <- rows$exposed
family <- binomial("probit")

seconds_for <- function(calls) {
  start <- Sys.time()
  for (i in seq_len(calls)) glm.fit(X, y, weights = weights, family = family)
  as.numeric(difftime(Sys.time(), start, units = "secs"))
}

invisible(seconds_for(50))  # warm up: the byte compiler acts on the first calls
calls <- max(1, round(100 * block_seconds / seconds_for(100)))
per_call <- replicate(blocks, seconds_for(calls)) / calls
cat(sprintf("%.0f\n", 1e9 * median(per_call)))
