#pragma once
// These figures show settings as pictures.

#include "analysis/pages/document.h"
#include "analysis/study_report/typical_setting.h"
#include "analysis/summaries/match_summary.h"

namespace isoseam {

// For each condition, draws the settings of each participant as MacLeod-Boynton l, s relative to the
// predicted match, with the ellipses that exist. All participants are drawn to one scale. Conditions without
// such settings are left out.
std::vector<PageFigure> scatter_figures(const MatchSeries& series);

// Draws settings along each axis over the trials of the session, minus the mean of their session and
// condition, with the common trend. There is no figure if no session has two settings of a condition.
std::vector<PageFigure> drift_figures(const MatchSeries& series);

// Draws the spectra of both halves. There is no figure if a calibration cannot be read.
std::vector<PageFigure> spectra_figures(const TypicalSetting& typical);

}  // namespace isoseam
