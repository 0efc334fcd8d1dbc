#include "colorimetry/xyz_from_lms.h"

#include <fmt/format.h>

#include <Eigen/LU>

#include "base/errors.h"
#include "colorimetry/colour_checks.h"
#include "colorimetry/colour_space.h"

namespace isoseam {
namespace {

struct PublishedMatrix {
    Degrees field;
    Eigen::Matrix3d xyz_from_lms;
};

// Row by row X, Y, Z; columns L, M, S (energy-based, peak 1).
PublishedMatrix published(ColourMatching of) {
    PublishedMatrix result;
    if (of == ColourMatching::cie2015_2deg) {
        result.field = Degrees::from_degrees(2.0);
        result.xyz_from_lms << 1.94735469, -1.41445123, 0.36476327,  //
            0.68990272, 0.34832189, 0.0,                             //
            0.0, 0.0, 1.93485343;
    } else {
        ISOSEAM_CHECK(of == ColourMatching::cie2015_10deg);
        result.field = Degrees::from_degrees(10.0);
        result.xyz_from_lms << 1.93986443, -1.34664359, 0.43044935,  //
            0.69283932, 0.34967567, 0.0,                             //
            0.0, 0.0, 2.14687947;
    }
    return result;
}

Eigen::Matrix3d matrix_for(ColourMatching of, const Observer& observer) {
    const PublishedMatrix matrix = published(of);
    const bool whole = observer.has(Cone::l) && observer.has(Cone::m) && observer.has(Cone::s);
    if (!whole || !observer.is_published_table() || observer.parameters().field != matrix.field) {
        throw InputError(fmt::format("no published XYZ of {} deg for the observer {}", matrix.field.degrees(),
                                     observer.description()),
                         fmt::format("choose a field of {} deg and an age of 32 years, without deviations",
                                     matrix.field.degrees()));
    }
    return matrix.xyz_from_lms;
}

}  // namespace

template <ColourMatching Of>
TristimulusOf<Of> xyz_from_lms(const Lms& lms, const Observer& observer) {
    const Eigen::Matrix3d matrix = matrix_for(Of, observer);
    check_finite(lms.vector(), "excitations");
    return TristimulusOf<Of>::from_vector(kLumensPerWatt * (matrix * lms.vector()));
}

template <ColourMatching Of>
Lms lms_from_xyz(const TristimulusOf<Of>& xyz, const Observer& observer) {
    const Eigen::Matrix3d matrix = matrix_for(Of, observer);
    check_finite(xyz.vector(), "tristimulus values");
    return Lms::from_vector(matrix.partialPivLu().solve(xyz.vector() / kLumensPerWatt));
}

Eigen::Matrix<double, 2, 3> yz_from_lms(const Observer& observer) {
    const Eigen::Vector2d weights = observer.luminous_efficiency_weights();
    const Eigen::Vector3d equal_energy = observer.energy().colwise().sum();
    Eigen::Matrix<double, 2, 3> result;
    result << weights[0], weights[1], 0.0,  //
        0.0, 0.0, weights.dot(equal_energy.head<2>()) / equal_energy[2];
    return result;
}

using enum ColourMatching;
template TristimulusOf<cie2015_2deg> xyz_from_lms(const Lms&, const Observer&);
template TristimulusOf<cie2015_10deg> xyz_from_lms(const Lms&, const Observer&);
template Lms lms_from_xyz(const TristimulusOf<cie2015_2deg>&, const Observer&);
template Lms lms_from_xyz(const TristimulusOf<cie2015_10deg>&, const Observer&);

}  // namespace isoseam
