#pragma once
// One setting to stand for its condition in a figure of spectra.

#include <optional>
#include <string>
#include <vector>

#include "analysis/summaries/series_facts.h"
#include "analysis/summaries/shown_lights.h"
#include "results_schema/session_folder.h"

namespace isoseam {

// The setting that lies nearest, in cone contrast from the predicted match, to the mean of the same
// participant and condition. Of the condition with the most settings; among equals the first by name, then
// the first participant, session and trial.
struct TypicalSetting {
    SeriesKey series;
    std::string participant;
    std::string condition;
    std::string session;
    int trial = 0;
    std::size_t of_settings = 0;  // that the mean was taken over
    HalfRecord adjusted, reference;
    std::optional<Spectrum> adjusted_light, reference_light;  // none where a calibration cannot be read
    bool scale_known = true;
};

// One for each series with settings, in their order. `folders`: those used.
std::vector<TypicalSetting> typical_settings(const std::vector<const SessionFolder*>& folders,
                                             KnownScreens& screens);

}  // namespace isoseam
