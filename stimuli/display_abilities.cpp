#include "stimuli/display_abilities.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "base/errors.h"
#include "colorimetry/colour_space.h"
#include "colorimetry/pooled_cardinal_contrast.h"

namespace isoseam {
namespace {

DiagramPoint diagram_point(const std::string& name, const Lms& lms, const Xyz& xyz,
                           const Observer& observer) {
    DiagramPoint point{.name = name, .macleod_boynton = {}, .uniform = {}};
    if (luminance_cd_m2(lms, observer) > 0.0)
        point.macleod_boynton = macleod_boynton_from_lms(lms, observer);
    if (xyz.y > 0.0)
        point.uniform = uniform_chromaticity_from_xyz(xyz);
    return point;
}

// Twice the area of the triangle a, b, c. It is positive where the triangle runs anticlockwise.
double turn(const Eigen::Vector2d& a, const Eigen::Vector2d& b, const Eigen::Vector2d& c) {
    const Eigen::Vector2d ab = b - a;
    const Eigen::Vector2d ac = c - a;
    return ab[0] * ac[1] - ab[1] * ac[0];
}

}  // namespace

std::vector<std::size_t> convex_outline(const std::vector<Eigen::Vector2d>& points) {
    std::vector<std::size_t> order(points.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::sort(order.begin(), order.end(), [&](std::size_t i, std::size_t j) {
        return std::pair(points[i][0], points[i][1]) < std::pair(points[j][0], points[j][1]);
    });
    // The lower side from left to right, then the upper side back.
    std::vector<std::size_t> outline;
    const auto add_side = [&](auto begin, auto end) {
        const std::size_t start = outline.size();
        for (auto at = begin; at != end; ++at) {
            while (outline.size() >= start + 2 &&
                   !(turn(points[outline[outline.size() - 2]], points[outline.back()], points[*at]) > 0.0))
                outline.pop_back();
            outline.push_back(*at);
        }
        outline.pop_back();  // begins the other side
    };
    if (points.size() < 2)
        return order;
    add_side(order.begin(), order.end());
    add_side(order.rbegin(), order.rend());
    return outline;
}

double polygon_area(const std::vector<Eigen::Vector2d>& points, const std::vector<std::size_t>& outline) {
    double twice = 0.0;
    for (std::size_t i = 1; i + 1 < outline.size(); ++i)
        twice += turn(points[outline[0]], points[outline[i]], points[outline[i + 1]]);
    return 0.5 * std::abs(twice);
}

DisplayGamut display_gamut(const DriveSolver& solver) {
    const DisplayModel& display = solver.display();
    const Observer& observer = solver.observer();
    DisplayGamut gamut;
    std::vector<Eigen::Vector2d> uv_prime;
    for (int i = 0; i < display.primary_count(); ++i) {
        gamut.primaries.push_back(
            diagram_point(display.calibration().primaries[static_cast<std::size_t>(i)].name,
                          Lms::from_vector(solver.lms_from_linear().col(i)),
                          Xyz::from_vector(display.xyz_from_linear().col(i)), observer));
        if (const std::optional<UniformChromaticity>& uniform = gamut.primaries.back().uniform)
            uv_prime.emplace_back(uniform->u_prime, uniform->v_prime);
    }
    const LinearDrive full{Eigen::VectorXd::Ones(display.primary_count())};
    gamut.white = diagram_point("white", solver.lms(full), display.xyz(full), observer);
    gamut.black = diagram_point("black", Lms::from_vector(solver.lms_black()), display.black_xyz(), observer);
    gamut.uv_prime_area = polygon_area(uv_prime, convex_outline(uv_prime));
    return gamut;
}

std::vector<LargestContrast> largest_contrasts(const DriveSolver& solver, const Lms& background) {
    const Eigen::Vector3d l_minus_m =
        cone_contrast_from_pooled_cardinal({0.0, 1.0, 0.0}, background, solver.observer()).vector();
    const std::vector<std::pair<std::string, Eigen::Vector3d>> directions{{"L", {1.0, 0.0, 0.0}},
                                                                          {"M", {0.0, 1.0, 0.0}},
                                                                          {"S", {0.0, 0.0, 1.0}},
                                                                          {"L+M+S", {1.0, 1.0, 1.0}},
                                                                          {"L-M", l_minus_m}};
    std::vector<LargestContrast> largest;
    for (const auto& [name, direction] : directions) {
        for (const int sign : {1, -1}) {
            const Eigen::Vector3d signed_direction = sign * direction;
            const double reach =
                reach_in_gamut(solver, background, signed_direction.cwiseProduct(background.vector()));
            largest.push_back({name, sign, ConeContrast::from_vector(reach * signed_direction)});
        }
    }
    return largest;
}

DriveSolution grey_of_white(const DriveSolver& solver, double share_of_luminance) {
    ISOSEAM_CHECK_GT(share_of_luminance, 0.0);
    ISOSEAM_CHECK_LE(share_of_luminance, 1.0);
    const DisplayModel& display = solver.display();
    const Xyz white = display.xyz(LinearDrive{Eigen::VectorXd::Ones(display.primary_count())});
    return solver.solve(Xyz::from_vector(share_of_luminance * white.vector()));
}

ConeContrast step_of_one_code(const DriveSolver& solver, const LinearDrive& background, int bits) {
    ISOSEAM_CHECK_BETWEEN(bits, 1, 16);
    const DisplayModel& display = solver.display();
    const double full = static_cast<double>((1 << bits) - 1);
    const Drive drive = display.drive_from_linear(background);
    const Eigen::Vector3d lms = solver.lms(background).vector();
    const Eigen::Matrix3Xd slopes = solver.lms_slopes(background);
    Eigen::Vector3d largest = Eigen::Vector3d::Zero();
    for (int i = 0; i < display.primary_count(); ++i) {
        const double code = std::round(drive.fractions[i] * full);
        const double neighbour = code < full ? code + 1.0 : code - 1.0;
        const ToneResponse& tone = display.tone(i);
        const double step =
            std::abs(tone.linear_from_drive(neighbour / full) - tone.linear_from_drive(code / full));
        largest = largest.cwiseMax((step * slopes.col(i)).cwiseAbs().cwiseQuotient(lms));
    }
    return ConeContrast::from_vector(largest);
}

ConeContrast smallest_step(const DriveSolver& solver, const LinearDrive& background, int bits,
                           DitherKind dither) {
    const double parts = std::exp2(effective_bits(bits, dither) - bits);
    return ConeContrast::from_vector(step_of_one_code(solver, background, bits).vector() / parts);
}

}  // namespace isoseam
