#!/usr/bin/env Rscript
# The same 100,000 bites of 5,000 dogs through lme4 (Debian: r-base-core,
# r-cran-lme4) and through `masseter compare`, turn about in one run:
#
#   bench/peer/compare_peer.R build/masseter [turns]
#
# Times fits alone of both, and the whole of `compare --json` with reading the
# table; the answers are compared before any time is taken.
suppressMessages(library(lme4))

arguments <- commandArgs(trailingOnly = TRUE)
program <- arguments[1]
bench <- sub("masseter$", "compare_bench", program)
turns <- if (length(arguments) > 1) as.integer(arguments[2]) else 5

set.seed(1)
dogs <- 5000
bites <- rep_len(1:39, dogs)
d <- data.frame(dog = rep(sprintf("dog%04d", 1:dogs), bites),
                breed = rep(rep_len(c("A", "B", "C"), dogs), bites))
d$peak_n <- exp(6.2 + rep(rnorm(dogs, 0, 0.25), bites) +
                  rnorm(nrow(d), 0, 0.2))
table <- tempfile(fileext = ".csv")
write.csv(d, table, row.names = FALSE, quote = FALSE)
d <- read.csv(table)
d$y <- log(d$peak_n)

fit <- function() lmer(y ~ breed + (1 | dog), d)
call <- sprintf("%s compare --table %s --response log --fixed breed --json",
                shQuote(program), table)

theirs <- fit()
answer <- paste(system(call, intern = TRUE), collapse = "")
figure <- function(name) {
  as.numeric(sub(sprintf('.*"%s":([-0-9.e]+).*', name), "\\1", answer))
}
component <- as.data.frame(VarCorr(theirs))$vcov
stopifnot(abs(figure("reml") / REMLcrit(theirs) - 1) < 1e-6)
cat(sprintf("%d bites; REML criterion %.4f and %.4f\n", nrow(d),
            REMLcrit(theirs), figure("reml")))

# One fit of masseter, by its benchmark, s.
own_fit <- function() {
  lines <- system(paste(shQuote(bench), "--benchmark_filter=FitMixed",
                        "--benchmark_format=csv 2>/dev/null"), intern = TRUE)
  line <- strsplit(grep("BM_FitMixed", lines, value = TRUE), ",")[[1]]
  as.numeric(line[3]) / 1e3
}
seconds <- function(f) system.time(f())[["elapsed"]]

rows <- t(sapply(seq_len(turns), function(i) {
  c(lme4 = seconds(fit), fit = own_fit(),
    compare = seconds(function() system(call, ignore.stdout = TRUE)))
}))
print(round(rows, 3))
middle <- apply(rows, 2, median)
cat(sprintf("medians: lme4 %.2f s, masseter's fit %.3f s (%.0f times), ",
            middle[["lme4"]], middle[["fit"]],
            middle[["lme4"]] / middle[["fit"]]))
cat(sprintf("all of compare %.2f s\n", middle[["compare"]]))
cat(sprintf("lme4 %s, %s, %s\n", packageVersion("lme4"), R.version.string,
            sub(".*: ", "", grep("model name", readLines("/proc/cpuinfo"),
                                 value = TRUE)[1])))
