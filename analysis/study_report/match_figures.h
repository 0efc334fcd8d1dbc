#pragma once
// Settings as pictures.

#include "analysis/pages/document.h"
#include "analysis/study_report/typical_setting.h"
#include "analysis/summaries/match_summary.h"

namespace isoseam {

// For each condition the settings of each participant in MacLeod-Boynton l, s from the predicted match, with
// ellipses where there are any; all participants to one scale. Conditions without any are left out.
std::vector<PageFigure> scatter_figures(const MatchSeries& series);

// Settings along each axis over the trials of the session, less the mean of their session and condition, with
// the common trend. None where no session has two settings of a condition.
std::vector<PageFigure> drift_figures(const MatchSeries& series);

// Spectra of both halves. None where a calibration cannot be read.
std::vector<PageFigure> spectra_figures(const TypicalSetting& typical);

}  // namespace isoseam
