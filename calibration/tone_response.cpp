#include "calibration/tone_response.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "base/errors.h"

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

// This is the same at an end. The curve never goes downwards there, which is what a parabola would do after a
// sharp bend.
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

void check_parameter(std::vector<Fault>& faults, const char* key, double value, double lowest,
                     double highest) {
    if (!(value >= lowest && value <= highest)) {
        faults.push_back({"", 0, 0, key, fmt::format("tone {} {}", key, value),
                          fmt::format("write {} from {} to {}", key, lowest, highest)});
    }
}

// Of an s_shaped curve in logarithms, where it is nearly straight: u = ln d, v = ln x. The slope of v(u) lies
// between rise and rise - bend / (1 + knee), both positive.
struct LogSShape {
    double rise, bend, knee;
    double value(double u) const { return rise * u - std::log((std::exp(bend * u) + knee) / (1.0 + knee)); }
    double slope(double u) const {
        const double bent = std::exp(bend * u);
        return rise - bend * bent / (bent + knee);
    }
};

constexpr double kSmallestExponent = 0.1;
constexpr double kLargestExponent = 10.0;
constexpr double kLargestGainOffset = 0.9;

}  // namespace

const std::vector<std::string>& tone_parameter_names(ToneForm form) {
    static const std::vector<std::vector<std::string>> names{
        {"exponent"}, {"offset", "exponent"}, {"offset", "exponent"}, {"rise", "bend", "knee"}, {}};
    return names[static_cast<size_t>(form)];
}

std::string to_string(ToneForm form) {
    static const std::vector<std::string> words{"power", "gain-offset-gamma", "offset-power", "s-shaped",
                                                "points"};
    return words[static_cast<size_t>(form)];
}

ToneResponse ToneResponse::power(double exponent) {
    if (!(exponent >= kSmallestExponent && exponent <= kLargestExponent)) {
        throw InputError(fmt::format("tone exponent {}", exponent), "write an exponent from 0.1 to 10");
    }
    return ToneResponse(Power{exponent});
}

ToneResponse ToneResponse::points(std::vector<double> drive, std::vector<double> linear) {
    throw_if_any(faults_of_points(drive, linear));
    std::vector<double> slope = monotone_slopes(drive, linear);
    return ToneResponse(Points{std::move(drive), std::move(linear), std::move(slope)});
}

ToneResponse ToneResponse::of_form(ToneForm form, const std::vector<double>& p) {
    ISOSEAM_CHECK(form != ToneForm::points && p.size() == tone_parameter_names(form).size());
    std::vector<Fault> faults;
    switch (form) {
        case ToneForm::power:
            return power(p[0]);
        case ToneForm::gain_offset_gamma:
            check_parameter(faults, "offset", p[0], 0.0, kLargestGainOffset);
            check_parameter(faults, "exponent", p[1], kSmallestExponent, kLargestExponent);
            if (faults.empty())
                return ToneResponse(GainOffsetGamma{p[0], p[1]});
            break;
        case ToneForm::offset_power:
            check_parameter(faults, "offset", p[0], 0.0, 1.0);
            check_parameter(faults, "exponent", p[1], 1.0, kLargestExponent);
            if (faults.empty() && !(p[0] < p[1] - 1.0)) {
                faults.push_back({"", 0, 0, "offset",
                                  fmt::format("tone offset {} with exponent {}", p[0], p[1]),
                                  "write an offset below the exponent less 1, so that the curve begins below "
                                  "full drive"});
            }
            if (faults.empty())
                return ToneResponse(OffsetPower{p[0], p[1]});
            break;
        case ToneForm::s_shaped:
            check_parameter(faults, "rise", p[0], kSmallestExponent, kLargestExponent);
            check_parameter(faults, "bend", p[1], 0.0, 20.0);
            check_parameter(faults, "knee", p[2], 1e-3, 1e3);
            if (faults.empty() && !(p[0] - p[1] / (1.0 + p[2]) >= kLeastEndSlope)) {
                faults.push_back(
                    {"", 0, 0, "bend",
                     fmt::format("with rise {}, bend {} and knee {} light falls before full drive", p[0],
                                 p[1], p[2]),
                     "write a smaller bend or a larger knee"});
            }
            if (faults.empty())
                return ToneResponse(SShaped{p[0], p[1], p[2]});
            break;
        case ToneForm::points:
            break;
    }
    throw InputError(std::move(faults));
}

std::vector<double> ToneResponse::parameters() const {
    if (const auto* power = std::get_if<Power>(&form_))
        return {power->exponent};
    if (const auto* gain = std::get_if<GainOffsetGamma>(&form_))
        return {gain->offset, gain->exponent};
    if (const auto* offset = std::get_if<OffsetPower>(&form_))
        return {offset->offset, offset->exponent};
    if (const auto* shape = std::get_if<SShaped>(&form_))
        return {shape->rise, shape->bend, shape->knee};
    return {};
}

double ToneResponse::light(const Power& form, double drive) {
    return std::pow(drive, form.exponent);
}

double ToneResponse::drive(const Power& form, double linear) {
    return std::pow(linear, 1.0 / form.exponent);
}

double ToneResponse::light(const GainOffsetGamma& form, double drive) {
    const double black = std::pow(form.offset, form.exponent);
    return (std::pow((1.0 - form.offset) * drive + form.offset, form.exponent) - black) / (1.0 - black);
}

double ToneResponse::drive(const GainOffsetGamma& form, double linear) {
    const double black = std::pow(form.offset, form.exponent);
    return (std::pow(linear * (1.0 - black) + black, 1.0 / form.exponent) - form.offset) /
           (1.0 - form.offset);
}

double ToneResponse::light(const OffsetPower& form, double drive) {
    const double joint = form.offset / (form.exponent - 1.0);
    const auto curve = [&](double d) {
        return std::pow((d + form.offset) / (1.0 + form.offset), form.exponent);
    };
    return drive < joint ? drive * (curve(joint) / joint) : curve(drive);
}

double ToneResponse::drive(const OffsetPower& form, double linear) {
    const double joint = form.offset / (form.exponent - 1.0);
    const double light_at_joint = std::pow((joint + form.offset) / (1.0 + form.offset), form.exponent);
    if (linear < light_at_joint)
        return linear * (joint / light_at_joint);
    return std::pow(linear, 1.0 / form.exponent) * (1.0 + form.offset) - form.offset;
}

double ToneResponse::light(const SShaped& form, double drive) {
    return std::exp(LogSShape{form.rise, form.bend, form.knee}.value(std::log(drive)));
}

// Newton's steps in logarithms, kept inside the bracket that the bounds of the slope give.
double ToneResponse::drive(const SShaped& form, double linear) {
    const LogSShape shape{form.rise, form.bend, form.knee};
    const double wanted = std::log(linear);
    double low = wanted / (form.rise - form.bend / (1.0 + form.knee));
    double high = 0.0;
    double u = std::max(low, wanted / form.rise);
    constexpr int kBisectionsOfADouble = 128;
    for (int step = 0; step < kBisectionsOfADouble; ++step) {
        const double excess = shape.value(u) - wanted;
        (excess > 0.0 ? high : low) = u;
        const double newton = u - excess / shape.slope(u);
        const double next = newton >= low && newton <= high ? newton : 0.5 * (low + high);
        if (next == u || excess == 0.0)
            break;
        u = next;
    }
    return std::exp(u);
}

double ToneResponse::light(const Points& form, double drive) {
    const size_t i = segment_of(form.drive, drive);
    const double width = form.drive[i + 1] - form.drive[i];
    return hermite(form.linear[i], form.linear[i + 1], form.slope[i], form.slope[i + 1], width)
        .value((drive - form.drive[i]) / width);
}

double ToneResponse::drive(const Points& form, double linear) {
    const size_t i = segment_of(form.linear, linear);
    const double width = form.drive[i + 1] - form.drive[i];
    const Cubic cubic = hermite(form.linear[i], form.linear[i + 1], form.slope[i], form.slope[i + 1], width);
    return std::min(form.drive[i] + width * solve(cubic, linear), form.drive[i + 1]);
}

// The clamps below guard against a last bit of rounding; the exact curves never leave 0 to 1.
double ToneResponse::linear_from_drive(double drive) const {
    ISOSEAM_CHECK_BETWEEN(drive, 0.0, 1.0);
    if (drive == 0.0 || drive == 1.0)
        return drive;
    return std::visit([&](const auto& form) { return std::clamp(light(form, drive), 0.0, 1.0); }, form_);
}

double ToneResponse::drive_from_linear(double linear) const {
    ISOSEAM_CHECK_BETWEEN(linear, 0.0, 1.0);
    if (linear == 0.0 || linear == 1.0)
        return linear;
    return std::visit([&](const auto& form) { return std::clamp(drive(form, linear), 0.0, 1.0); }, form_);
}

}  // namespace isoseam
