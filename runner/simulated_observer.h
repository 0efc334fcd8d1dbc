#pragma once
// An observer who is not there: an eye of the population (colorimetry/population.h) and a hand that steers
// until both halves look the same.

#include <Eigen/Core>
#include <nlohmann/json.hpp>
#include <vector>

#include "colorimetry/observer.h"
#include "protocols/procedures/adjustment.h"

namespace isoseam {

// How well a simulated hand sets. The setting that it aims at is off the true match by normal noise in cone
// contrast.
struct SettingNoise {
    double l = 0.005;
    double m = 0.005;
    double s = 0.02;
};

// Steers along the problem's axes by what the eye sees, one step at a time, and accepts when no step would
// bring the halves nearer, or when it has gone to and fro often enough. Depends on nothing but what it is
// told.
class SimulatedHand {
  public:
    // `eye` sees both halves; `aim` is the cone contrast (adjusted against reference) that it takes for a
    // match.
    SimulatedHand(const AdjustmentProblem& problem, const Observer& eye, const Eigen::Vector3d& aim);

    // `seen`: the contrast of the adjusted half against the reference half for this eye, now.
    AdjustmentResponse next(const Eigen::Vector3d& seen);

  private:
    struct Axis {
        double fine = 0.0;
        double coarse = 0.0;
        int last_direction = 0;
        int turns = 0;    // changes of direction
        int in_vain = 0;  // steps in a row after which the halves looked the same as before
        bool done() const;
    };
    std::vector<Axis> axes_;
    Eigen::MatrixXd contrast_from_position_;  // 3 x axes, at the predicted match
    Eigen::Vector3d aim_;
    int last_axis_ = -1;
    Eigen::Vector3d last_seen_;
};

// What an eye sees between two halves: (adjusted - reference) / reference.
Eigen::Vector3d contrast_seen(const Observer& eye, const DisplayModel& adjusted,
                              const LinearDrive& adjusted_linear, const DisplayModel& reference,
                              const LinearDrive& reference_linear);

}  // namespace isoseam
