#pragma once
// What a protocol asks, in words, and what a session with a seed will show as far as it is fixed beforehand.

#include <cstdint>
#include <string>
#include <vector>

#include "protocols/course/run_order.h"
#include "protocols/language/protocol.h"
#include "protocols/setup/setup.h"

namespace isoseam {

// "adjustment along L-M, L+M, S", "forced choice among 2 places, driven by a staircase".
std::string procedure_words(const Block& block);
// One line for each fact of a block: timing, rule and where it converges, levels, practice.
std::vector<std::string> procedure_details(const Block& block, const std::vector<AdjustmentAxis>& axes);
// An order in words: "in rounds: each condition once, in a new order each time".
std::string order_words(TrialOrder order);

struct PlannedRun {
    Run run;
    // Positions along the condition's axes: where settings start, the levels of constant stimuli in their
    // order, or the first level of each track of a staircase or of a Bayesian procedure.
    std::vector<Level> levels;
    bool complete = false;  // Whether these are all levels. Otherwise the answers decide what follows.
};

struct ProtocolPlan {
    std::vector<int> blocks;  // Indices, in the order of this session.
    std::vector<PlannedRun> runs;
};
// InputError as in run_order(). Where adjustments start is computed as with dither.
ProtocolPlan plan_session(const Setup& setup, std::uint64_t seed, const std::string& participant);

// The whole plan as text, for people.
std::string plan_text(const Setup& setup, const ProtocolPlan& plan, std::uint64_t seed,
                      const std::string& participant);

}  // namespace isoseam
