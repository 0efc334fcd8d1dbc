#pragma once
// This summary says what settings of least flicker, or of equal luminance, show about the weights of L and M
// in luminance, for each participant. It is pure: the same folders in the same order give the same summary.

#include <memory>
#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <string>
#include <vector>

#include "analysis/fits/flicker_fit.h"
#include "analysis/summaries/folder_use.h"
#include "analysis/summaries/series_facts.h"
#include "results_schema/session_folder.h"

namespace isoseam {

// This is one condition of one participant, over all sessions.
struct FlickerCondition {
    std::string condition;
    std::size_t settings = 0;
    std::size_t with_late_frames = 0;  // a late frame is a flicker of its own
    bool took_turns = false;           // the halves are the first and the second light of one spot
    // The ratio L : M of the reference, as the geometric mean over the settings.
    double lm_reference = 0.0;
    double lm_adjusted = 0.0;
    // The mean of ln(adjusted light / light predicted by the nominal observer).
    double setting = 0.0;
    std::string left_out_because;  // "" if it is in the fit
    // The condition's part of the fit, if the condition is in the fit and there is a fit.
    std::optional<FlickerConditionFit> fit;
};

// These are the weights of the nominal observer's V_F, for comparison.
struct StandardWeights {
    double share = 0.0;          // energy-based fundamentals of peak 1
    double ratio = 0.0;          // 1.98 at 2 degrees
    double ratio_quantal = 0.0;  // the same for quantal fundamentals of peak 1: 1.89
};

struct ParticipantFlicker {
    std::string participant;
    // The description of the nominal observer whose fundamentals are used.
    std::string observer;
    StandardWeights standard;
    // A ratio for quantal fundamentals divided by the same ratio for energy-based ones.
    double quantal_factor = 1.0;
    std::optional<FlickerFit> fit;
    std::string not_fitted_because;            // "" if there is a fit
    std::vector<FlickerCondition> conditions;  // in order of their names
    std::vector<std::string> notes;
};

struct FlickerSeries : SeriesFacts {
    std::vector<ParticipantFlicker> weights;  // by participant, then nominal observer
};

struct FlickerSummary {
    std::vector<FolderUse> folders;  // all, in the order given
    std::vector<FlickerSeries> series;
};

// MatchSummariser says which folders are left out.
class FlickerSummariser {
  public:
    FlickerSummariser();
    ~FlickerSummariser();
    FlickerSummariser(FlickerSummariser&&) noexcept;
    FlickerSummariser& operator=(FlickerSummariser&&) noexcept;

    void add(const SessionFolder& folder);
    // May be called only once.
    FlickerSummary finish();

  private:
    struct Gathered;
    std::unique_ptr<Gathered> gathered_;
};

FlickerSummary summarise_flicker(const std::vector<SessionFolder>& folders);

// Lines have at most 110 columns (but paths are never broken).
std::string flicker_summary_text(const FlickerSummary& summary);
// README.md describes the layout. A figure that is not defined is null.
nlohmann::json to_json(const FlickerSummary& summary);

}  // namespace isoseam
