#include "calibration/tone_response.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "colorimetry/errors.h"

namespace isoseam {
namespace {

using std::size_t;

// One segment of the interpolant, as a cubic in t = (drive - d0) / width:  y0 + t (c1 + t (c2 + t c3)).
struct Cubic {
    double y0, y1, c1, c2, c3;

    // The bounds guard against a last bit of rounding at the joints; the exact cubic never leaves them.
    double value(double t) const { return std::clamp(y0 + t * (c1 + t * (c2 + t * c3)), y0, y1); }
    double derivative(double t) const { return c1 + t * (2.0 * c2 + t * 3.0 * c3); }
};

Cubic hermite(double y0, double y1, double slope0, double slope1, double width) {
    const double rise = y1 - y0;
    const double a = slope0 * width;
    const double b = slope1 * width;
    return {y0, y1, a, 3.0 * rise - 2.0 * a - b, a + b - 2.0 * rise};
}

// Index of the segment that holds `value`; `nodes` rise strictly from 0 to 1 and value lies in [0, 1).
size_t segment_of(const std::vector<double>& nodes, double value) {
    return static_cast<size_t>(std::upper_bound(nodes.begin(), nodes.end(), value) - nodes.begin()) - 1;
}

// Newton's steps on a strictly increasing cubic, kept inside a bracket that halves whenever a step would
// leave it.
double solve(const Cubic& cubic, double wanted) {
    double low = 0.0;
    double high = 1.0;
    double t = (wanted - cubic.y0) / (cubic.y1 - cubic.y0);
    constexpr int kBisectionsOfADouble = 128;
    for (int step = 0; step < kBisectionsOfADouble && low < high; ++step) {
        const double excess = cubic.value(t) - wanted;
        if (excess == 0.0)
            break;
        (excess > 0.0 ? high : low) = t;
        const double newton = t - excess / cubic.derivative(t);
        const double next = newton > low && newton < high ? newton : 0.5 * (low + high);
        if (next == t)
            break;
        t = next;
    }
    return t;
}

// Slope at a node from the two secants beside it, second order (the parabola through three points).
double parabola_slope(double width_before, double width_after, double secant_before, double secant_after) {
    return (width_after * secant_before + width_before * secant_after) / (width_before + width_after);
}

// The same at an end: never downwards, which is what a parabola would do after a sharp bend.
double end_slope(double width, double next_width, double secant, double next_secant) {
    return std::max(0.0, ((2.0 * width + next_width) * secant - width * next_secant) / (width + next_width));
}

// Fritsch & Carlson 1980: with alpha, beta the end slopes over the secant, a cubic is monotone if
// alpha^2 + beta^2 <= 9; slopes outside are drawn back to that circle. Drawing a slope back never harms a
// neighbour.
std::vector<double> monotone_slopes(const std::vector<double>& drive, const std::vector<double>& linear) {
    const size_t segments = drive.size() - 1;
    std::vector<double> width(segments);
    std::vector<double> secant(segments);
    for (size_t i = 0; i < segments; ++i) {
        width[i] = drive[i + 1] - drive[i];
        secant[i] = (linear[i + 1] - linear[i]) / width[i];
    }
    std::vector<double> slope(segments + 1);
    slope.front() = end_slope(width[0], width[1], secant[0], secant[1]);
    slope.back() =
        end_slope(width[segments - 1], width[segments - 2], secant[segments - 1], secant[segments - 2]);
    for (size_t i = 1; i < segments; ++i)
        slope[i] = parabola_slope(width[i - 1], width[i], secant[i - 1], secant[i]);
    for (size_t i = 0; i < segments; ++i) {
        const double radius = std::hypot(slope[i], slope[i + 1]) / secant[i];
        if (radius > 3.0) {
            slope[i] *= 3.0 / radius;
            slope[i + 1] *= 3.0 / radius;
        }
    }
    return slope;
}

Fault fault_of_point(size_t index, const char* key, std::string found, std::string remedy) {
    return {"", 0, static_cast<int>(index) + 1, key, std::move(found), std::move(remedy)};
}

std::vector<Fault> faults_of_points(const std::vector<double>& drive, const std::vector<double>& linear) {
    if (drive.size() != linear.size() || drive.size() < 3) {
        return {fault_of_point(0, "light",
                               fmt::format("{} drives and {} lights", drive.size(), linear.size()),
                               "give as many lights as drives, at least three of each")};
    }
    std::vector<Fault> faults;
    const size_t last = drive.size() - 1;
    const auto check_end = [&](size_t index, double expected) {
        for (const auto& [key, values] : {std::pair("drive", &drive), std::pair("light", &linear)}) {
            if (!((*values)[index] == expected)) {
                faults.push_back(fault_of_point(
                    index, key,
                    fmt::format("the {} {} is {}", index == 0 ? "first" : "last", key, (*values)[index]),
                    "let drive and light both run from 0 to 1 (black subtracted, divided by the light at "
                    "full drive)"));
            }
        }
    };
    check_end(0, 0.0);
    for (size_t i = 1; i <= last; ++i) {
        if (!(drive[i] - drive[i - 1] >= ToneResponse::kLeastDriveStep)) {
            faults.push_back(fault_of_point(i, "drive",
                                            fmt::format("drive {} follows drive {}", drive[i], drive[i - 1]),
                                            "let the drives rise, by at least 1/1024 from point to point"));
        }
        if (!(linear[i] > linear[i - 1])) {
            faults.push_back(fault_of_point(
                i, "light",
                fmt::format("light {} at drive {} does not rise above {} at drive {}", linear[i], drive[i],
                            linear[i - 1], drive[i - 1]),
                "measure these points again, or leave one of them out, so that light rises with drive"));
        }
    }
    check_end(last, 1.0);
    return faults;
}

}  // namespace

ToneResponse ToneResponse::power(double exponent) {
    if (!(exponent >= 0.1 && exponent <= 10.0)) {
        throw InputError(Fault{"", 0, 0, "", fmt::format("tone exponent {}", exponent),
                               "write an exponent from 0.1 to 10"});
    }
    return ToneResponse(Power{exponent});
}

ToneResponse ToneResponse::points(std::vector<double> drive, std::vector<double> linear) {
    if (std::vector<Fault> faults = faults_of_points(drive, linear); !faults.empty())
        throw InputError(std::move(faults));
    std::vector<double> slope = monotone_slopes(drive, linear);
    return ToneResponse(Points{std::move(drive), std::move(linear), std::move(slope)});
}

double ToneResponse::linear_from_drive(double drive) const {
    ISOSEAM_CHECK(drive >= 0.0 && drive <= 1.0, fmt::format("drive = {}", drive));
    if (is_power())
        return std::pow(drive, exponent());
    if (drive == 1.0)
        return 1.0;
    const Points& points = std::get<Points>(form_);
    const size_t i = segment_of(points.drive, drive);
    const double width = points.drive[i + 1] - points.drive[i];
    return hermite(points.linear[i], points.linear[i + 1], points.slope[i], points.slope[i + 1], width)
        .value((drive - points.drive[i]) / width);
}

double ToneResponse::drive_from_linear(double linear) const {
    ISOSEAM_CHECK(linear >= 0.0 && linear <= 1.0, fmt::format("linear = {}", linear));
    if (is_power())
        return std::pow(linear, 1.0 / exponent());
    if (linear == 1.0)
        return 1.0;
    const Points& points = std::get<Points>(form_);
    const size_t i = segment_of(points.linear, linear);
    const double width = points.drive[i + 1] - points.drive[i];
    const Cubic cubic =
        hermite(points.linear[i], points.linear[i + 1], points.slope[i], points.slope[i + 1], width);
    return std::min(points.drive[i] + width * solve(cubic, linear), points.drive[i + 1]);
}

}  // namespace isoseam
