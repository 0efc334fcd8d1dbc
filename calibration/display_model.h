#pragma once
// The display model gives the light of a screen as a function of what drives it: black plus the sum of linear
// drive times primary, and what the calibration's interactions add to that (see interaction_model.h).
//
//     const DisplayModel display(read_calibration("left.yaml"));
//     const Xyz white = display.xyz(LinearDrive{Eigen::Vector3d::Ones()});

#include <Eigen/Core>
#include <vector>

#include "calibration/calibration.h"
#include "colorimetry/colour_space.h"
#include "colorimetry/observer.h"

namespace isoseam {

// Two spectra count as the same primary if their relative RMS difference is below this.
inline constexpr double kSamePrimaryTolerance = 0.01;
// Above this condition number of the primaries' cone excitations, drives follow from noise rather than from
// the target.
inline constexpr double kLargestConditionNumber = 1e4;

// These are fractions of each primary's full light. They may have any finite value: a solution out of gamut
// has some below 0 or above 1.
struct LinearDrive {
    Eigen::VectorXd fractions;
};

// These are fractions of the full code, from 0 to 1.
struct Drive {
    Eigen::VectorXd fractions;
};

class DisplayModel {
  public:
    explicit DisplayModel(const Calibration& calibration);

    // Says whether its primaries add up. If they do not, lms_from_linear and xyz_from_linear are not the
    // whole: see interaction_model.h for the way back.
    bool additive() const { return calibration_.interactions.empty(); }
    int primary_count() const { return static_cast<int>(tones_.size()); }
    const Calibration& calibration() const { return calibration_; }
    const ToneResponse& tone(int primary) const { return tones_[static_cast<std::size_t>(primary)]; }

    // Converts element by element, through each primary's tone response. ISOSEAM_CHECK: the arguments lie in
    // [0, 1].
    LinearDrive linear_from_drive(const Drive& drive) const;
    Drive drive_from_linear(const LinearDrive& linear) const;

    // Black and interactions are included. The spectrum is signed where a fraction is negative.
    Spectrum spectrum(const LinearDrive& linear) const;

    // The columns are primaries. Neither black nor interactions are included.
    Eigen::Matrix3Xd lms_from_linear(const Observer& observer) const;
    const Eigen::Matrix3Xd& xyz_from_linear() const { return xyz_from_linear_; }
    Lms black_lms(const Observer& observer) const;
    Xyz black_xyz() const { return black_xyz_; }
    // Black and interactions are included.
    Lms lms(const LinearDrive& linear, const Observer& observer) const;
    Xyz xyz(const LinearDrive& linear) const;

    // Gives the condition number of lms_from_linear with its columns scaled to length 1. With more than three
    // primaries it is the smallest number over all choices of three.
    double condition_number(const Observer& observer) const;

  private:
    Calibration calibration_;
    std::vector<ToneResponse> tones_;
    Eigen::Matrix3Xd xyz_from_linear_;
    Eigen::Matrix3Xd xyz_from_products_;  // columns are interactions
    Xyz black_xyz_;
};

// Says how far two spectra differ in shape: the RMS over wavelength of `a` minus the best multiple of `b`,
// relative to the RMS of `a`. It is 0 for the same shape and 1 for spectra that do not overlap, and it is
// symmetric. Only the continuous parts count, and neither may be dark.
double shape_difference(const Spectrum& a, const Spectrum& b);

// Says whether two sources share their primaries: for every primary of one there is one of the other whose
// shape_difference is below `tolerance`, and the other way round. Then a match between them cannot tell
// eyes apart (see DEVELOPERS.md).
bool share_primaries(const DisplayModel& a, const DisplayModel& b, double tolerance = kSamePrimaryTolerance);

}  // namespace isoseam
