#pragma once
// What settings of least flicker, or of equal luminance, say about the weights of L and M in luminance, per
// participant. Pure: the same folders in the same order give the same summary.

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

// One condition by one participant, over all sessions.
struct FlickerCondition {
    std::string condition;
    std::size_t settings = 0;
    std::size_t with_late_frames = 0;  // a late frame is a flicker of its own
    bool took_turns = false;           // the halves are the first and the second light of one spot
    double lm_reference = 0.0;         // L : M of the reference, mean of the settings (geometric)
    double lm_adjusted = 0.0;
    double setting = 0.0;                    // mean of ln(adjusted light / predicted by the nominal observer)
    std::string left_out_because;            // "" if it is in the fit
    std::optional<FlickerConditionFit> fit;  // if it is, and there is a fit
};

// The weights of the nominal observer's V_F, to stand beside.
struct StandardWeights {
    double share = 0.0;          // energy-based fundamentals of peak 1
    double ratio = 0.0;          // 1.98 at 2 degrees
    double ratio_quantal = 0.0;  // the same for quantal fundamentals of peak 1: 1.89
};

struct ParticipantFlicker {
    std::string participant;
    std::string observer;  // whose fundamentals: the nominal observer's description
    StandardWeights standard;
    double quantal_factor = 1.0;  // a ratio for quantal fundamentals over the same for energy-based ones
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

// Left out: as of MatchSummariser.
class FlickerSummariser {
  public:
    FlickerSummariser();
    ~FlickerSummariser();
    FlickerSummariser(FlickerSummariser&&) noexcept;
    FlickerSummariser& operator=(FlickerSummariser&&) noexcept;

    void add(const SessionFolder& folder);
    FlickerSummary finish();  // once

  private:
    struct Gathered;
    std::unique_ptr<Gathered> gathered_;
};

FlickerSummary summarise_flicker(const std::vector<SessionFolder>& folders);

// At most 110 columns (but paths are never broken).
std::string flicker_summary_text(const FlickerSummary& summary);
// Layout in README.md. What is not defined is null.
nlohmann::json to_json(const FlickerSummary& summary);

}  // namespace isoseam
