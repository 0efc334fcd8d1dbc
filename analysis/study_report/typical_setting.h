#pragma once
// A typical setting represents its condition in a figure of spectra.

#include <optional>
#include <string>
#include <vector>

#include "analysis/summaries/series_facts.h"
#include "analysis/summaries/shown_lights.h"
#include "results_schema/session_folder.h"

namespace isoseam {

// This is the setting that lies nearest to the mean of the same participant and condition, in cone contrast
// from the predicted match. It belongs to the condition with the most settings. Among equals, the first
// condition by name is taken, then the first participant, session and trial.
struct TypicalSetting {
    SeriesKey series;
    std::string participant;
    std::string condition;
    std::string session;
    int trial = 0;
    // The number of settings whose mean was taken.
    std::size_t of_settings = 0;
    HalfRecord adjusted, reference;
    // There is no light if a calibration cannot be read.
    std::optional<Spectrum> adjusted_light = {};
    std::optional<Spectrum> reference_light = {};
    bool scale_known = true;
};

// Gives one for each series with settings, in the order of the series. `folders` are the folders that were
// used.
std::vector<TypicalSetting> typical_settings(const std::vector<const SessionFolder*>& folders,
                                             KnownScreens& screens);

}  // namespace isoseam
