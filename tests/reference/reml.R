# reml.R - unbalanced variance components by lme4, for tests/reference/reml.sh.
# Given a folder: writes NAME.csv (a reader study) and NAME.lme4 (its REML criterion and variances, mm^2) for each of four data sets.
# Needs r-base-core and r-cran-lme4 of Debian. SPDX-License-Identifier: GPL-3.0-or-later
suppressMessages(library(lme4))
folder <- commandArgs(TRUE)[1]
control <- lmerControl(optimizer = "bobyqa", optCtrl = list(rhoend = 1e-10, maxfun = 1e5), check.conv.singular = "ignore")

write_set <- function(name, d, formula) {
  d$repeat. <- ave(d$value_mm, d$case, d$reader, FUN = seq_along)
  out <- data.frame(case = d$case, quantity = "x", reader = d$reader, "repeat" = d$repeat., value_mm = d$value_mm, check.names = FALSE)
  write.csv(out, file.path(folder, paste0(name, ".csv")), row.names = FALSE, quote = FALSE)
  fit <- lmer(formula, d, control = control)
  v <- as.data.frame(VarCorr(fit))
  of <- function(group) { x <- v$vcov[v$grp == group]; if (length(x)) x else NA }
  line <- c(criterion = REMLcrit(fit), case = of("case"), reader = of("reader"), reader_case = of("case:reader"), "repeat" = of("Residual"))
  write.table(data.frame(names(line), format(line, digits = 14)), file.path(folder, paste0(name, ".lme4")),
              row.names = FALSE, col.names = FALSE, quote = FALSE)
}

study <- read.csv("scenarios/readers/study.csv", colClasses = c(case = "character"))
part <- function(quantity, drop) { d <- study[study$quantity == quantity, ]; d[-unique(drop), ] }
full <- value_mm ~ 1 + (1 | case) + (1 | reader) + (1 | case:reader)

# 1. crossed, repeats, 30 of 72 rows deleted
write_set("gap", part("ostium_gap", c(seq(2, 72, 3), seq(5, 72, 7))), full)
# 2. crossed, repeats, a reader who read only the first scans, and every fifth row deleted
write_set("stj", part("stj_height", c(which(study$reader[study$quantity == "stj_height"] == "C")[11:24], seq(1, 72, 5))), full)
# 3. crossed, nobody repeats, 40 of 144 rows deleted
p <- data.frame(case = as.character(Penicillin$plate), reader = as.character(Penicillin$sample), value_mm = Penicillin$diameter)
p <- p[-seq(1, 144, by = 5), ]
write_set("penicillin", p[-seq(3, nrow(p), by = 11), ], value_mm ~ 1 + (1 | case) + (1 | reader))
# 4. one reader, a component at 0, every fourth row deleted
d <- data.frame(case = as.character(Dyestuff2$Batch), reader = "A", value_mm = Dyestuff2$Yield)
write_set("boundary", d[-seq(2, 30, by = 4), ], value_mm ~ 1 + (1 | case))
