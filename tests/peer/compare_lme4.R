#!/usr/bin/env Rscript
# `compare` against lme4 on fresh made-up tables, where R and lme4 are installed
# (Debian: r-base-core, r-cran-lme4). Exit 77: lme4 is missing.
#
#   tests/peer/compare_lme4.R build/masseter
if (!requireNamespace("lme4", quietly = TRUE)) quit(status = 77)
suppressMessages(library(lme4))

program <- commandArgs(trailingOnly = TRUE)[1]
# lme4's own search stops near 1e-7 of a variance when asked to.
control <- lmerControl(optimizer = "bobyqa",
                       optCtrl = list(rhoend = 1e-11, maxfun = 1e5),
                       check.conv.singular = "ignore")
folder <- tempfile()
dir.create(folder)

# Dogs of three breeds with 1 to 12 bites each, four helpers.
make_table <- function(seed) {
  set.seed(seed)
  dogs <- sample(6:25, 1)
  breed <- sample(c("Malinois", "Dutch Shepherd", "German Shepherd"), dogs,
                  TRUE)
  mass <- round(runif(dogs, 24, 42), 1)
  own <- rnorm(dogs, 0, runif(1, 0.05, 0.3))
  bites <- sample(1:12, dogs, TRUE)
  helper <- rnorm(4, 0, 0.12)
  do.call(rbind, lapply(seq_len(dogs), function(i) {
    h <- sample(1:4, bites[i], TRUE)
    data.frame(dog = sprintf("dog%02d", i), breed = breed[i],
               mass_kg = mass[i], helper = paste0("h", h),
               order = seq_len(bites[i]),
               peak_n = round(exp(5.6 + 0.02 * mass[i] + own[i] + helper[h] +
                                    rnorm(bites[i], 0, 0.18)), 1))
  }))
}

# The number behind "name": in the text, the first after `after`.
number <- function(text, name, after) {
  at <- regexpr(after, text, fixed = TRUE)
  stopifnot(at > 0)
  rest <- substring(text, at)
  key <- paste0("\"", name, "\":")
  at <- regexpr(key, rest, fixed = TRUE)
  stopifnot(at > 0)
  as.numeric(sub("^([-+0-9.eE]+).*", "\\1", substring(rest, at + nchar(key))))
}

worst <- 0
expect <- function(is, want, scale, what) {
  error <- abs(is - want) / scale
  worst <<- max(worst, error)
  if (!(error < 1e-5)) stop(sprintf("%s is %.10g, not %.10g", what, is, want))
}

compare <- function(file, options, fit) {
  call <- paste(shQuote(program), "compare --table", file, "--json", options)
  text <- paste(system(call, intern = TRUE), collapse = "")
  parts <- as.data.frame(VarCorr(fit))
  total <- sum(parts$vcov)
  for (k in seq_len(nrow(parts))) {
    name <- sub("Residual", "residual", parts$grp[k])
    expect(number(text, name, "\"components\":"), parts$vcov[k],
           max(parts$vcov[k], 1e-3 * total), paste(file, name))
  }
  restricted <- isREML(fit)
  criterion <- if (restricted) REMLcrit(fit) else -2 * as.numeric(logLik(fit))
  expect(number(text, if (restricted) "reml" else "ml", "\"model\":"),
         criterion, max(1, abs(criterion)), paste(file, "criterion"))
  error <- sqrt(diag(as.matrix(vcov(fit))))
  for (name in names(fixef(fit))) {
    expect(number(text, name, "\"fixed\":"), fixef(fit)[[name]],
           error[[name]], paste(file, name))
  }
}

for (seed in 101:112) {
  file <- file.path(folder, sprintf("t%d.csv", seed))
  write.csv(make_table(seed), file, row.names = FALSE, quote = FALSE)
  d <- read.csv(file)
  compare(file, "--response log --fixed breed",
          lmer(log(peak_n) ~ breed + (1 | dog), d, control = control))
  compare(file, "--response log --fixed breed --ml",
          lmer(log(peak_n) ~ breed + (1 | dog), d, REML = FALSE,
               control = control))
  compare(file, paste("--response linear --fixed breed,mass_kg,order",
                      "--random helper"),
          lmer(peak_n ~ breed + mass_kg + order + (1 | dog) + (1 | helper), d,
               control = control))
}
cat(sprintf("36 fits of 12 tables agree; the worst relative error is %.1e\n",
            worst))
