# The figures of mixed models that nested_effects_test.cpp and mean_slope_test.cpp hold the code against, by lme4 and lmerTest.
#
#     Rscript nested_effects.R data nested_effects_data.csv
#     Rscript nested_effects.R figures nested_effects_data.csv nested_effects_figures.csv
#
# The first command draws the data sets, rounded to four digits. The second one fits each of them by restricted maximum likelihood and
# writes the estimates with Satterthwaite's degrees of freedom. The versions of R and of its packages stand in the first rows.

draw_set <- function(name, seed, counts, sd_participant, sd_session, drift = NULL, slope_sd = 0, mean = 0.5) {
  # counts: for each participant the numbers of settings of the sessions
  set.seed(seed)
  rows <- NULL
  for (p in seq_along(counts)) {
    own <- rnorm(1, 0, sd_participant)
    own_slope <- if (is.null(drift)) 0 else drift + rnorm(1, 0, slope_sd)
    for (s in seq_along(counts[[p]])) {
      n <- counts[[p]][s]
      day <- rnorm(1, 0, sd_session)
      x <- seq_len(n) + 3 * s
      y <- mean + own + day + own_slope * x + rnorm(n)
      rows <- rbind(rows, data.frame(set = name, participant = p, session = s, x = x, y = round(y, 4)))
    }
  }
  rows
}

uneven <- list(c(4, 9), c(3, 7, 5), c(12, 2), c(6, 6, 3), c(2, 11), c(8, 5), c(5, 3, 9), c(7, 4), c(10, 6), c(3, 3, 4), c(9, 2), c(6, 8))

make_data <- function() rbind(
  draw_set("balanced", 11, rep(list(rep(5, 3)), 6), 1.2, 0.9),
  draw_set("unbalanced", 12, list(c(3, 8, 5), c(10, 2), c(6, 6, 4, 7), c(2, 9), c(12, 5, 3)), 1, 1.5),
  draw_set("no session variance", 100, list(c(6, 3), c(5, 8), c(4, 4), c(9, 2), c(7, 5)), 1.5, 0),
  draw_set("nothing between", 100, list(c(6, 3), c(5, 8), c(4, 4), c(9, 2), c(7, 5)), 0, 0),
  draw_set("one participant", 14, list(c(8, 5, 11, 6, 4, 9)), 0, 1),
  draw_set("one participant even", 15, list(rep(7, 4)), 0, 1.5),
  draw_set("one participant and sessions alike", 103, list(c(8, 5, 11, 6)), 0, 0),
  draw_set("twelve participants", 16, uneven, 1, 0.8),
  draw_set("drift", 18, uneven, 1, 0.8, drift = 0.1),
  draw_set("drift of one participant", 19, list(c(12, 7, 15, 9)), 0, 1, drift = 0.2),
  draw_set("drifts that differ", 20, uneven, 1, 0.8, drift = 0.1, slope_sd = 0.25),
  draw_set("drifts alike", 101, uneven, 1, 0.8, drift = 0.1),
  draw_set("far from zero", 22, uneven, 0.5, 1, mean = 7000))

strict <- lme4::lmerControl(optimizer = "bobyqa", calc.derivs = FALSE, check.conv.singular = "ignore",
                            optCtrl = list(rhobeg = 0.2, rhoend = 1e-10, maxfun = 1e5))

figures_of <- function(name, d) {
  d$participant <- factor(d$participant)
  d$session <- interaction(d$participant, d$session, drop = TRUE)
  slopes <- name %in% c("drifts that differ", "drifts alike")
  formula <- if (slopes) y ~ 0 + session + x + (0 + x | participant)
    else if (name == "drift") y ~ x + (1 | participant) + (1 | session)
    else if (name == "drift of one participant") y ~ x + (1 | session)
    else if (nlevels(d$participant) == 1) y ~ 1 + (1 | session)
    else y ~ 1 + (1 | participant) + (1 | session)
  fit <- lmerTest::lmer(formula, d, REML = TRUE, control = strict)
  # A second search from the first one's end: the first one may stop early.
  fit <- update(fit, start = lme4::getME(fit, "theta"))
  rows <- NULL
  add <- function(figure, value) rows <<- rbind(rows, data.frame(set = name, figure = figure, value = sprintf("%.12g", value)))
  add("criterion", lme4::REMLcrit(fit))
  components <- as.data.frame(lme4::VarCorr(fit))
  for (i in seq_len(nrow(components))) add(paste("variance of", sub("Residual", "setting", components$grp[i])), components$vcov[i])
  effects <- summary(fit, ddf = "Satterthwaite")$coefficients
  for (effect in intersect(c("(Intercept)", "x"), rownames(effects))) {
    label <- if (effect == "x") "slope" else "mean"
    add(label, effects[effect, "Estimate"])
    add(paste("standard error of", label), effects[effect, "Std. Error"])
    add(paste("degrees of", label), effects[effect, "df"])
    add(paste("p of", label), effects[effect, "Pr(>|t|)"])
  }
  if (name == "drift") {
    at_ten <- lmerTest::contest1D(fit, c(1, 10))
    add("mean at 10", at_ten$Estimate)
    add("standard error of mean at 10", at_ten$`Std. Error`)
    add("degrees of mean at 10", at_ten$df)
  }
  rows
}

words <- commandArgs(trailingOnly = TRUE)
if (words[1] == "data") {
  write.csv(make_data(), words[2], row.names = FALSE, quote = FALSE)
} else {
  data <- read.csv(words[2])
  version <- function(package) as.character(packageVersion(package))
  rows <- data.frame(set = "versions", figure = c("R", "lme4", "lmerTest"),
                     value = c(as.character(getRversion()), version("lme4"), version("lmerTest")))
  for (name in unique(data$set)) rows <- rbind(rows, figures_of(name, data[data$set == name, ]))
  write.csv(rows, words[3], row.names = FALSE, quote = FALSE)
}
