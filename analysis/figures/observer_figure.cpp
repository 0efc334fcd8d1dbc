#include "analysis/figures/observer_figure.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/errors.h"

namespace isoseam {
namespace {

constexpr std::array kConeNames{"L", "M", "S"};
constexpr std::array kConeDashes{Dash::solid, Dash::dashed, Dash::dotted};
constexpr double kThickMm = 0.5;
constexpr double kThinMm = 0.3;
constexpr double kDecades = 5.0;
// Less than this share of the peak cannot be distinguished from the axis on a linear scale.
constexpr double kLeastSeen = 0.002;
constexpr double kTickStepNm = 50.0;

bool is_lacking(const std::vector<double>& curve) {
    return std::all_of(curve.begin(), curve.end(), [](double value) { return value == 0.0; });
}

ConeCurves cone_curves(const Eigen::Ref<const Eigen::MatrixX3d>& table) {
    ConeCurves curves;
    for (std::size_t cone = 0; cone < curves.size(); ++cone) {
        const auto column = table.col(static_cast<Eigen::Index>(cone));
        curves[cone].assign(column.begin(), column.end());
    }
    return curves;
}

const char* words_for(SensitivityUnits units) {
    return units == SensitivityUnits::energy ? "energy units" : "quantal units";
}

void check(const DrawnEye& eye) {
    const std::size_t count = eye.wavelengths_nm.size();
    ISOSEAM_CHECK(count >= 2);
    for (const std::vector<double>& curve : eye.sensitivity)
        ISOSEAM_CHECK(curve.empty() || curve.size() == count);
    if (eye.parts)
        ISOSEAM_CHECK(eye.parts->macular_density.size() == count &&
                      eye.parts->ocular_density.size() == count);
}

Stroke stroke_of(Dash dash, bool is_second) {
    return {is_second ? Ink::grey : Ink::black, dash, is_second ? kThinMm : kThickMm};
}

Series curve_of(const DrawnEye& eye, const std::string& name, std::vector<double> values, Dash dash,
                bool is_second) {
    return {.name = name + (is_second ? ", second eye" : ""),
            .x = eye.wavelengths_nm,
            .y = std::move(values),
            .stroke = stroke_of(dash, is_second)};
}

std::vector<double> log10_of(std::vector<double> values) {
    for (double& value : values)
        value = value > 0.0 ? std::log10(value) : std::numeric_limits<double>::quiet_NaN();
    return values;
}

void add_cones(Panel& panel, const DrawnEye& eye, const ConeCurves& curves, bool is_second, bool is_log) {
    for (std::size_t cone = 0; cone < curves.size(); ++cone) {
        if (is_lacking(curves[cone]))
            continue;
        panel.series.push_back(curve_of(eye, kConeNames[cone], is_log ? log10_of(curves[cone]) : curves[cone],
                                        kConeDashes[cone], is_second));
        panel.series.back().curve_label = kConeNames[cone];
    }
}

// The last wavelength at which a cone is seen, up to the next 10 nm.
double last_seen_nm(const DrawnEye& eye, double least) {
    double last_nm = eye.wavelengths_nm.front() + 10.0;
    for (const std::vector<double>& curve : eye.sensitivity) {
        for (std::size_t i = 0; i < curve.size(); ++i) {
            if (curve[i] >= least)
                last_nm = std::max(last_nm, eye.wavelengths_nm[i]);
        }
    }
    return std::min(std::ceil(last_nm / 10.0) * 10.0, eye.wavelengths_nm.back());
}

Axis wavelength_axis(const std::vector<const DrawnEye*>& eyes, double least) {
    Axis axis{.label = "wavelength, nm", .tick_step = kTickStepNm};
    axis.from = eyes.front()->wavelengths_nm.front();
    axis.to = 0.0;
    for (const DrawnEye* eye : eyes) {
        axis.from = std::min(*axis.from, eye->wavelengths_nm.front());
        axis.to = std::max(*axis.to, last_seen_nm(*eye, least));
    }
    return axis;
}

Axis upper(Axis axis) {
    axis.label.clear();
    axis.has_tick_texts = false;
    return axis;
}

// A step of 1, 2 or 5 times a power of ten that divides [0, largest] into two to five parts.
double tick_step(double largest) {
    const double power = std::pow(10.0, std::floor(std::log10(largest / 2.0)));
    const double parts = largest / (2.0 * power);
    return power * (parts >= 5.0 ? 5.0 : parts >= 2.0 ? 2.0 : 1.0);
}

Panel filter_panel(const std::string& title, const std::vector<const DrawnEye*>& eyes, const Axis& wavelength,
                   std::vector<double> DrawnParts::*density) {
    Panel panel{.title = title, .x = upper(wavelength), .y = {.label = "density"}};
    double largest = 0.0;
    for (const DrawnEye* eye : eyes) {
        const std::vector<double>& values = *eye->parts.*density;
        largest = std::max(largest, *std::max_element(values.begin(), values.end()));
        panel.series.push_back(curve_of(*eye, title, values, Dash::solid, eye != eyes.front()));
    }
    largest = largest > 0.0 ? largest : 1.0;
    panel.y.from = 0.0;
    panel.y.to = 1.1 * largest;
    panel.y.tick_step = tick_step(largest);
    return panel;
}

Panel cone_panel(const std::vector<const DrawnEye*>& eyes, const Axis& wavelength, SensitivityUnits units,
                 bool is_log) {
    Panel panel{.x = wavelength};
    panel.y = {.label = fmt::format("{}sensitivity ({}, peak 1)", is_log ? "log\u2081\u2080 " : "",
                                    words_for(units)),
               .from = is_log ? -kDecades : 0.0,
               .to = is_log ? 0.5 : 1.12,
               .tick_step = is_log ? 1.0 : 0.2};
    for (const DrawnEye* eye : eyes)
        add_cones(panel, *eye, eye->sensitivity, eye != eyes.front(), is_log);
    return panel;
}

std::vector<Row> stacked_rows(const std::vector<const DrawnEye*>& eyes, const Axis& wavelength,
                              SensitivityUnits units) {
    Panel pigments{.title = "photopigments",
                   .x = upper(wavelength),
                   .y = {.label = "absorbance (peak 1)", .from = 0.0, .to = 1.2, .tick_step = 0.5}};
    for (const DrawnEye* eye : eyes) {
        ISOSEAM_CHECK(eye->parts.has_value(), "a stacked figure wants the parts of each eye");
        add_cones(pigments, *eye, eye->parts->absorbance, eye != eyes.front(), false);
    }
    Panel cones = cone_panel(eyes, wavelength, units, false);
    cones.title = fmt::format("cones at the cornea, behind all of these ({}, peak 1)", words_for(units));
    cones.y = {.label = "sensitivity", .from = 0.0, .to = 1.2, .tick_step = 0.5};
    return {
        {1.2, {pigments}},
        {0.8, {filter_panel("macular pigment", eyes, wavelength, &DrawnParts::macular_density)}},
        {0.8, {filter_panel("lens and other ocular media", eyes, wavelength, &DrawnParts::ocular_density)}},
        {1.5, {cones}}};
}

std::string in_words(const DrawnEye& eye, SensitivityUnits units) {
    const std::array dashes{"solid", "dashed", "dotted"};
    std::string words;
    for (std::size_t cone = 0; cone < eye.sensitivity.size(); ++cone) {
        const std::vector<double>& curve = eye.sensitivity[cone];
        if (is_lacking(curve)) {
            words += fmt::format(" {}: none.", kConeNames[cone]);
            continue;
        }
        const auto peak = std::max_element(curve.begin(), curve.end()) - curve.begin();
        words += fmt::format(" {}: {} line, peak at {:g} nm.", kConeNames[cone], dashes[cone],
                             eye.wavelengths_nm[static_cast<std::size_t>(peak)]);
    }
    return fmt::format("{}. Sensitivity of the cones ({}) over wavelength.{}", eye.description,
                       words_for(units), words);
}

}  // namespace

DrawnEye drawn_eye(const Observer& observer, SensitivityUnits units) {
    const auto& table = units == SensitivityUnits::energy ? observer.energy() : observer.quantal();
    DrawnEye eye;
    eye.description = observer.description();
    for (Eigen::Index row = 0; row < table.rows(); ++row)
        eye.wavelengths_nm.push_back(observer.first_nm() + static_cast<double>(row));
    eye.sensitivity = cone_curves(table);
    const EyeParts parts = eye_parts(observer.parameters());
    eye.parts = {cone_curves(parts.absorbance),
                 {parts.macular_density.begin(), parts.macular_density.end()},
                 {parts.ocular_density.begin(), parts.ocular_density.end()}};
    return eye;
}

Figure observer_figure(const DrawnEye& eye, const std::optional<DrawnEye>& second, SensitivityScale scale,
                       SensitivityUnits units) {
    std::vector<const DrawnEye*> eyes{&eye};
    if (second)
        eyes.push_back(&*second);
    Figure figure;
    figure.title = second ? "Cone fundamentals of two eyes" : eye.description;
    for (const DrawnEye* one : eyes) {
        check(*one);
        figure.description += (figure.description.empty() ? "" : " ") + in_words(*one, units);
        if (second)
            figure.legend.push_back(
                {.text = one->description, .stroke = stroke_of(kConeDashes[0], one != &eye)});
    }
    const bool is_log = scale == SensitivityScale::log;
    const Axis wavelength = wavelength_axis(eyes, is_log ? std::pow(10.0, -kDecades) : kLeastSeen);
    if (scale == SensitivityScale::stacked) {
        figure.height_mm = 190.0;
        figure.rows = stacked_rows(eyes, wavelength, units);
    } else {
        figure.rows = {{1.0, {cone_panel(eyes, wavelength, units, is_log)}}};
    }
    return figure;
}

}  // namespace isoseam
