#pragma once
// Whether a starting point lets the participant come to the match at all. Steps go along the axes, and no
// step may leave the gamut, so a start in a narrow corner can be a dead end.

#include <string>

#include "protocols/course/course.h"

namespace isoseam {

// True when steps towards the predicted match, each of them inside the gamut, lead from the starting point to
// within half a fine step of it on every axis.
bool leads_to_match(const AdjustmentProblem& problem, AdjustmentState start);

// Walks from every starting point that the session will have. One InputError (key "start", at the condition's
// line) names all starting points that are dead ends.
void check_starts(const Setup& setup, FrameDepth reference_depth, std::uint64_t seed,
                  const std::string& participant);

// The share of starting points that are dead ends. Random starts: of `draws` points, drawn as sessions draw
// them. Bracketing starts: of all of them.
double dead_end_share(const AdjustmentProblem& problem, const AdjustmentPlan& plan, int draws);

}  // namespace isoseam
