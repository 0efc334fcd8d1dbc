#pragma once
// This summary says what the answers to tasks show: for each participant and condition the counts, and the
// psychometric function under which they are most likely. It is pure: the same folders, options and seed give
// the same summary, in the same order.

#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <string>
#include <vector>

#include "analysis/fits/psychometric_fit.h"
#include "analysis/fits/psychometric_posterior.h"
#include "analysis/summaries/folder_use.h"
#include "analysis/summaries/series_facts.h"
#include "results_schema/session_folder.h"

namespace isoseam {

struct ThresholdOptions {
    PsychometricForm form = PsychometricForm::weibull;
    // The guess rate of "yes or no" and of "same or different". If there is none, it is free. A forced choice
    // has 1/places.
    std::optional<double> guess = 0.0;
    // If there is none, it is free.
    std::optional<double> lapse = 0.02;
    // The number of samples; 0 means no bootstrap.
    int bootstrap = 0;
    std::uint64_t seed = 1;
    // True if the posterior is wanted too.
    bool posterior = false;
};
// Gives the faults of options that concern all groups.
std::vector<Fault> faults(const ThresholdOptions& options);

struct RatingTally {
    // If there is none, these are the trials without a target.
    std::optional<double> level;
    // The counts of the categories 1, 2 and so on.
    std::vector<int> counts;
};

// These are the answers of one participant to one question in one condition, over all runs and sessions.
struct TaskSummary {
    std::string participant;
    std::string condition;
    std::string form;  // of the answers, as recorded
    std::string space;
    std::vector<std::string> axes;
    int runs = 0;
    // The measured trials: those with a target, without practice.
    int trials = 0;
    int practice_trials = 0;   // left out of all that follows
    int no_target_trials = 0;  // catch trials, or pairs alike
    // The answers "yes" or "different" to trials without a target. They exist only for "yes or no" and "same
    // or different".
    int false_alarms = 0;
    int late_trials = 0;        // measured trials with a late or dropped frame
    std::optional<int> places;  // of forced choice
    // Counts of successes. There are none for ratings and for levels of several dimensions.
    std::vector<LevelCount> levels;
    std::vector<RatingTally> ratings;  // of ratings only
    std::string not_fitted;            // why there is no fit; "" if there is one
    std::optional<PsychometricFit> fit;
    std::optional<FitBootstrap> bootstrap;  // if asked for, and the fit has a curve
    std::vector<std::string> notes;
    std::optional<FitPosterior> posterior{};  // if asked for, and the fit has a curve

    // Only these questions have answers that can be false alarms.
    bool has_false_alarms() const { return form == "yes_no" || form == "same_different"; }
};

struct ThresholdSeries : SeriesFacts {
    std::vector<TaskSummary> tasks;  // by participant, then condition
};

struct ThresholdSummary {
    ThresholdOptions options;
    std::vector<FolderUse> folders;  // all, in the order given
    std::vector<ThresholdSeries> series;
};

// Throws an InputError for faults(). Damaged folders are left out, and so are folders without an answer and a
// session that was given before.
ThresholdSummary summarise_thresholds(const std::vector<SessionFolder>& folders,
                                      const ThresholdOptions& options);

// Gives the rate of an option, or "free".
std::string rate_option(const std::optional<double>& rate);
// Says in words what was asked, as in "forced choice of 4 places". `form` is a word of the record; it may
// also be "setting".
std::string form_words(const std::string& form, const std::optional<int>& places);

// Lines have at most 110 columns (but paths are never broken).
std::string threshold_summary_text(const ThresholdSummary& summary);
// README.md describes the layout. A figure that is not defined is null.
nlohmann::json to_json(const ThresholdSummary& summary);

}  // namespace isoseam
