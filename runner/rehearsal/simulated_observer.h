#pragma once
// A simulated observer: an eye of the population (colorimetry/population.h) and a hand that steers until both
// halves look the same.

#include <Eigen/Core>
#include <Eigen/QR>
#include <vector>

#include "colorimetry/observer.h"
#include "protocols/procedures/adjustment.h"

namespace isoseam {

// What one eye catches of one screen: DisplayModel::lms with the integrals over wavelength done beforehand.
// The display outlives this object.
class EyeOnScreen {
  public:
    EyeOnScreen(const Observer& eye, const DisplayModel& display);

    // The excitations by a light, the screen's black and its interactions included.
    Eigen::Vector3d lms(const LinearDrive& linear) const;
    const DisplayModel& display() const { return *display_; }

  private:
    const DisplayModel* display_;
    Eigen::Matrix3Xd lms_from_linear_;
    Eigen::Matrix3Xd lms_from_products_;  // The columns are interactions.
    Eigen::Vector3d lms_black_;
};

// Steers along the adjustment's axes by what the eye sees, one step at a time. It accepts when no step would
// bring the halves nearer, or when it has gone to and fro often enough. It depends only on what its functions
// are given.
class SimulatedHand {
  public:
    // `eye` sees the adjusted half; `aim` is the cone contrast (adjusted against reference) that it takes for
    // a match.
    SimulatedHand(const AdjustmentProblem& problem, const EyeOnScreen& eye, const Eigen::Vector3d& aim);

    // `seen`: the contrast of the adjusted half against the reference half for this eye, now.
    AdjustmentResponse next(const Eigen::Vector3d& seen);

  private:
    struct Axis {
        double fine = 0.0;
        double coarse = 0.0;
        int last_direction = 0;
        int turns = 0;    // The changes of direction.
        int in_vain = 0;  // Steps in a row that changed nothing to be seen.
        bool done() const;
    };
    std::vector<Axis> axes_;
    // Solves for the position from a contrast, by the slopes (3 x axes) at the predicted match.
    Eigen::ColPivHouseholderQR<Eigen::MatrixXd> contrast_from_position_;
    Eigen::Vector3d aim_;
    int last_axis_ = -1;
    Eigen::Vector3d last_seen_;
};

// The contrast of a light beside another one, by the excitations of each cone: (lms - reference) / reference.
Eigen::Vector3d contrast_between(const Eigen::Vector3d& lms, const Eigen::Vector3d& reference);

// What an eye sees between two halves.
Eigen::Vector3d contrast_seen(const Observer& eye, const DisplayModel& adjusted,
                              const LinearDrive& adjusted_linear, const DisplayModel& reference,
                              const LinearDrive& reference_linear);

}  // namespace isoseam
