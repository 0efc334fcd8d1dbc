#pragma once
// The method of adjustment as a pure function: (state, response) -> state, and state -> stimulus.
//
// The observer moves the adjusted half along axes through the predicted match (the light that the nominal
// observer would set), from a random or a bracketing starting point, in fine or coarse steps, until both
// halves look the same or the time is up. A step that would leave the gamut is not taken, and counted.

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
    cone_contrast,    // axes combine L, M, S contrast against the predicted match
    macleod_boynton,  // axes l, s (coordinate differences) and luminance (relative difference)
    primaries,        // axes are the adjusted source's primaries (linear fractions)
};
std::string to_string(AdjustmentSpace space);

struct AdjustmentAxis {
    std::string name;  // "L+M", "s", "primary 2"
    Eigen::VectorXd
        direction;      // in the space's coordinates: (L,M,S), (l,s,luminance), or one entry per primary
    double fine = 0.0;  // step sizes in axis coordinates, > 0; coarse >= fine
    double coarse = 0.0;
    double start =
        0.0;  // random starting points are uniform in [-start, start], bracketing ones at its ends; >= 0
};

// What stays fixed during one trial. `solver` outlives the problem.
struct AdjustmentProblem {
    const DriveSolver* solver = nullptr;  // of the adjusted half
    AdjustmentSpace space = AdjustmentSpace::cone_contrast;
    std::vector<AdjustmentAxis> axes;  // 1 to 16
    Lms predicted;                     // of the reference half, by its codes
    std::optional<double> time_limit_s;
};

struct AdjustmentState {
    // Axis coordinates, 0 = predicted match. Always start + fine * fine_steps + coarse * coarse_steps, so
    // that a step there and back ends at the very same position.
    Eigen::VectorXd position;
    Eigen::VectorXd start;
    std::vector<long> fine_steps;  // per axis, forward minus back
    std::vector<long> coarse_steps;
    double start_shrunk_to = 1.0;
    std::vector<double> path_length;  // per axis
    std::vector<int> refused_steps;   // per axis
    int steps = 0;
    bool accepted = false;
    bool timed_out = false;  // the time limit passed before acceptance: no setting
};

struct AdjustmentResponse {
    enum class Kind { step, accept, waiting } kind = Kind::step;  // waiting: tells the time only
    int axis = 0;
    int direction = +1;  // +1 or -1
    bool coarse = false;
    double elapsed_s = 0.0;  // since the trial began, for the time limit; >= 0
};

// The light at a position. Linear fractions may lie out of gamut. In the space `primaries` the gamut margin
// is that of the fractions themselves: min over primaries of min(x, 1 - x).
DriveSolution stimulus_at(const AdjustmentProblem& problem, const Eigen::VectorXd& position);
Lms lms_at(const AdjustmentProblem& problem, const Eigen::VectorXd& position);

// A starting point drawn from `stream` at counters that belong to `trial`. Out of gamut: moved straight
// towards the predicted match to 99 % of the way to the gamut's border and the share recorded. InputError
// when the predicted match itself is out of gamut.
AdjustmentState start_adjustment(const AdjustmentProblem& problem, const RandomStream& stream, int trial);

// The same from above or below, by the amount `start` of each axis: the first axis changes sides with every
// repeat (from 1), the second with every other one, and so on, so that 2^axes repeats come from all sides.
// The sides of the first repeat are drawn from `stream`.
AdjustmentState start_bracketing_adjustment(const AdjustmentProblem& problem, const RandomStream& stream,
                                            int repeat);

// A response later than the time limit is not taken and ends the trial. Response after acceptance or the end
// of time: no change. An axis that the problem has not is a programmer's fault.
AdjustmentState respond(const AdjustmentProblem& problem, AdjustmentState state,
                        const AdjustmentResponse& response);

}  // namespace isoseam
