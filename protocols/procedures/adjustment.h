#pragma once
// The method of adjustment as a pure function: (state, response) -> state, and state -> stimulus.
//
// The observer moves the adjusted half along axes through the predicted match, which is the light that the
// nominal observer would set. The movement begins at a random or a bracketing starting point, goes in fine or
// coarse steps, and ends when both halves look the same or the time is up. A step that would leave the gamut
// is refused: it is counted but not taken.

#include <Eigen/Core>
#include <optional>
#include <string>
#include <vector>

#include "base/random.h"
#include "colorimetry/colour_types.h"
#include "stimuli/drive_solution.h"
#include "stimuli/field.h"

namespace isoseam {

enum class AdjustmentSpace {
    cone_contrast,    // The axes combine L, M and S contrast against the predicted match.
    macleod_boynton,  // The axes are differences of l and of s, and the relative difference of luminance.
    primaries,        // The axes are the linear fractions of the adjusted source's primaries.
};
std::string to_string(AdjustmentSpace space);

struct AdjustmentAxis {
    std::string name;  // "L+M", "s", "primary 2"
    // The direction in the space's coordinates: (L, M, S), (l, s, luminance), or one entry for each primary.
    Eigen::VectorXd direction;
    // The step sizes in axis coordinates. Both are above 0, and `coarse` is at least `fine`.
    double fine = 0.0;
    double coarse = 0.0;
    // Random starting points are uniform in [-start, start], and bracketing ones lie at the ends of that
    // interval. At least 0.
    double start = 0.0;
};

// What stays fixed during one trial. `solver` must outlive the problem.
struct AdjustmentProblem {
    const DriveSolver* solver = nullptr;  // The solver of the adjusted half's source.
    AdjustmentSpace space = AdjustmentSpace::cone_contrast;
    std::vector<AdjustmentAxis> axes;  // 1 to 16
    Lms predicted;                     // What the reference half really emits with its codes.
    std::optional<double> time_limit_s;
};

struct AdjustmentState {
    // The position in axis coordinates, where 0 is the predicted match. It is always
    // start + fine * fine_steps + coarse * coarse_steps, so that a step forward and a step back end at
    // exactly the same position.
    Eigen::VectorXd position;
    Eigen::VectorXd start;
    // For each axis: the number of steps forward minus the number of steps back.
    std::vector<long> fine_steps;
    std::vector<long> coarse_steps;
    // The share of the drawn starting point that was kept: below 1 where that point was out of gamut.
    double start_shrunk_to = 1.0;
    std::vector<double> path_length;  // per axis
    std::vector<int> refused_steps;   // per axis
    int steps = 0;
    bool accepted = false;
    bool timed_out = false;  // The time limit passed before acceptance, so there is no setting.
};

struct AdjustmentResponse {
    // `waiting` means that nothing was pressed: such a response only tells the time.
    enum class Kind { step, accept, waiting } kind = Kind::step;
    int axis = 0;
    int direction = +1;  // +1 or -1
    bool coarse = false;
    double elapsed_s = 0.0;  // The time since the trial began, for the time limit. At least 0.
};

// The light at a position. Its linear fractions may lie out of gamut. In the space `primaries` the gamut
// margin is that of the fractions x themselves: the smallest min(x, 1 - x) of all primaries.
DriveSolution stimulus_at(const AdjustmentProblem& problem, const Eigen::VectorXd& position);
Lms lms_at(const AdjustmentProblem& problem, const Eigen::VectorXd& position);

// Draws a starting point from `stream` at counters that belong to `trial`. A point that is out of gamut is
// moved straight towards the predicted match, to 99 % of the way from there to the gamut's border, and the
// share is recorded in start_shrunk_to. InputError when the predicted match itself is out of gamut.
AdjustmentState start_adjustment(const AdjustmentProblem& problem, const RandomStream& stream, int trial);

// Does the same with a bracketing starting point, which lies above or below the match by the amount `start`
// of each axis. Repeats count from 1. The first axis changes sides with every repeat, the second one with
// every second repeat, the third one with every fourth, and so on, so that 2^axes repeats come from all
// sides. The sides of the first repeat are drawn from `stream`.
AdjustmentState start_bracketing_adjustment(const AdjustmentProblem& problem, const RandomStream& stream,
                                            int repeat);

// A response that comes later than the time limit is not taken and ends the trial. A response after
// acceptance or after the end of time changes nothing. An axis that the problem does not have is a
// programmer's fault.
AdjustmentState respond(const AdjustmentProblem& problem, AdjustmentState state,
                        const AdjustmentResponse& response);

}  // namespace isoseam
