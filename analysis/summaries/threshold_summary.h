#pragma once
// What the answers to tasks come to: per participant and condition counts, and the psychometric function that
// they are most likely under. Pure: the same folders, options and seed give the same summary, in the same
// order.

#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <string>
#include <vector>

#include "analysis/fits/psychometric_fit.h"
#include "analysis/fits/psychometric_posterior.h"
#include "analysis/summaries/folder_use.h"
#include "results_schema/session_folder.h"

namespace isoseam {

struct ThresholdOptions {
    PsychometricForm form = PsychometricForm::weibull;
    std::optional<double> guess =
        0.0;  // of yes or no and same or different; none: free. Forced choice has 1/places
    std::optional<double> lapse = 0.02;  // none: free
    int bootstrap = 0;                   // samples; 0: none
    std::uint64_t seed = 1;
    bool posterior = false;  // too
};
// Of options that hold for all groups.
std::vector<Fault> faults(const ThresholdOptions& options);

struct RatingTally {
    std::optional<double> level;  // none: trials without a target
    std::vector<int> counts;      // of categories 1 ..
};

// The answers of one participant to one question in one condition, over all runs and sessions.
struct TaskSummary {
    std::string participant;
    std::string condition;
    std::string form;  // of the answers, as recorded
    std::string space;
    std::vector<std::string> axes;
    int runs = 0;
    int trials = 0;                    // measured: with a target, no practice
    int practice_trials = 0;           // left out of all that follows
    int no_target_trials = 0;          // catch trials, or pairs alike
    int false_alarms = 0;              // yes, or different, to these; of yes or no and same or different only
    int late_trials = 0;               // measured trials with a late or dropped frame
    std::optional<int> places;         // of forced choice
    std::vector<LevelCount> levels;    // successes; none for ratings and several dimensions
    std::vector<RatingTally> ratings;  // of ratings only
    std::string not_fitted;            // why there is no fit; "" if there is one
    std::optional<PsychometricFit> fit;
    std::optional<FitBootstrap> bootstrap;  // if asked for, and the fit has a curve
    std::vector<std::string> notes;
    std::optional<FitPosterior> posterior{};  // if asked for, and the fit has a curve
};

// Sessions of one protocol (by hash), all by people or all by simulated observers, all on measured or all on
// demo calibrations.
struct ThresholdSeries {
    std::string kind;
    bool demo_calibration = false;
    std::string protocol_file;
    std::string protocol_sha256;
    std::vector<std::string> cautions;
    std::vector<std::string> sessions;
    std::vector<TaskSummary> tasks;  // by participant, then condition
};

struct ThresholdSummary {
    ThresholdOptions options;
    std::vector<FolderUse> folders;  // all, in the order given
    std::vector<ThresholdSeries> series;
};

// Left out: damaged folders, folders without an answer, a session that was given before. InputError for
// faults().
ThresholdSummary summarise_thresholds(const std::vector<SessionFolder>& folders,
                                      const ThresholdOptions& options);

// What was asked, in words: "forced choice of 4 places". `form` is a word of the record; "setting" is one
// too.
std::string form_words(const std::string& form, const std::optional<int>& places);

// At most 110 columns (but paths are never broken).
std::string threshold_summary_text(const ThresholdSummary& summary);
// Layout in README.md. What is not defined is null.
nlohmann::json to_json(const ThresholdSummary& summary);

}  // namespace isoseam
