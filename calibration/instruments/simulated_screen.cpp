#include "calibration/instruments/simulated_screen.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <numeric>

#include "base/errors.h"

namespace isoseam {
namespace {

constexpr double kUsualNoise = 0.002;
constexpr double kUsualFloor = 2e-5;

double bell(double nm, double centre_nm, double below_nm, double above_nm) {
    const double offset = (nm - centre_nm) / (nm < centre_nm ? below_nm : above_nm);
    return std::exp(-0.5 * offset * offset);
}

// Drives and light of a curve that is bent like an S near its ends.
ToneResponse bent_tone(double exponent, double bend) {
    std::vector<double> drives;
    std::vector<double> light;
    constexpr int kPoints = 33;
    for (int i = 0; i < kPoints; ++i) {
        const double drive = static_cast<double>(i) / (kPoints - 1);
        drives.push_back(drive);
        light.push_back((1.0 - bend) * std::pow(drive, exponent) +
                        bend * drive * drive * (3.0 - 2.0 * drive));
    }
    return ToneResponse::points(drives, light);
}

// White of some 120 cd/m2; no such panel exists.
SimulatedScreen without_faults() {
    SimulatedScreen screen;
    screen.wavelengths_nm.resize(101);
    for (std::size_t i = 0; i < screen.wavelengths_nm.size(); ++i)
        screen.wavelengths_nm[i] = 380.0 + 4.0 * static_cast<double>(i);
    const auto samples = static_cast<Eigen::Index>(screen.wavelengths_nm.size());
    screen.primaries.resize(samples, 3);
    screen.black.resize(samples);
    for (Eigen::Index i = 0; i < samples; ++i) {
        const double nm = screen.wavelengths_nm[static_cast<std::size_t>(i)];
        screen.primaries(i, 0) = 2.35e-3 * bell(nm, 612.0, 14.0, 24.0);
        screen.primaries(i, 1) = 2.45e-3 * bell(nm, 535.0, 20.0, 26.0) + 3e-5 * bell(nm, 450.0, 10.0, 10.0);
        screen.primaries(i, 2) = 3.55e-3 * bell(nm, 452.0, 10.0, 14.0) + 5e-5 * bell(nm, 535.0, 30.0, 30.0);
        screen.black[i] = 8e-4 * screen.primaries.row(i).mean() + 2e-7 * bell(nm, 455.0, 12.0, 20.0);
    }
    screen.tones = {bent_tone(2.2, 0.1), bent_tone(2.25, 0.08), bent_tone(2.15, 0.12)};
    screen.sample_noise = kUsualNoise;
    screen.gain_noise = kUsualNoise;
    screen.floor_noise = kUsualFloor;
    return screen;
}

const std::vector<std::pair<std::string, std::function<void(SimulatedScreen&)>>>& ready_screens() {
    static const std::vector<std::pair<std::string, std::function<void(SimulatedScreen&)>>> ready{
        {"additive", [](SimulatedScreen&) {}},
        {"interaction", [](SimulatedScreen& screen) { screen.interaction = 0.03; }},
        {"dimming", [](SimulatedScreen& screen) { screen.dimming = 0.2; }},
        {"drifting",
         [](SimulatedScreen& screen) {
             screen.warm_up_excess = 0.06;
             screen.drift_per_hour = 0.004;
             screen.corner_loss = 0.08;
         }},
    };
    return ready;
}

Drive rounded_to_codes(const Drive& drive, int bits) {
    const double full = (1 << bits) - 1;
    return {(drive.fractions * full).array().round() / full};
}

Eigen::VectorXd linear_of(const SimulatedScreen& screen, const Drive& drive) {
    const Eigen::Index count = screen.primary_count();
    if (drive.fractions.size() == 0)
        return Eigen::VectorXd::Zero(count);
    ISOSEAM_CHECK_EQ(drive.fractions.size(), count);
    const Drive codes = rounded_to_codes(drive, screen.bits);
    Eigen::VectorXd linear(count);
    for (Eigen::Index i = 0; i < count; ++i)
        linear[i] = screen.tones[static_cast<std::size_t>(i)].linear_from_drive(codes.fractions[i]);
    return linear;
}

// Each primary against the mean of the others.
Eigen::VectorXd after_interaction(const Eigen::VectorXd& linear, double interaction) {
    const auto others = static_cast<double>(std::max<Eigen::Index>(linear.size() - 1, 1));
    const Eigen::ArrayXd mean_of_others = (linear.sum() - linear.array()) / others;
    return linear.array() * (1.0 - interaction * mean_of_others);
}

double share_left_by_area(const SimulatedScreen& screen, const Eigen::VectorXd& patch,
                          const Eigen::VectorXd& surround, const PatchPlace& place) {
    const double area = place.width * place.height;
    const double load = area * patch.mean() + (1.0 - area) * surround.mean();
    const double above = std::max(0.0, (load - screen.dimming_from) / (1.0 - screen.dimming_from));
    return 1.0 - screen.dimming * above;
}

double share_left_by_place(const SimulatedScreen& screen, const PatchPlace& place) {
    const double x = 2.0 * place.x - 1.0;
    const double y = 2.0 * place.y - 1.0;
    return 1.0 - screen.corner_loss * (x * x + y * y) / 2.0;
}

double share_at_time(const SimulatedScreen& screen, double at_s) {
    return (1.0 + screen.warm_up_excess * std::exp(-at_s / screen.warm_up_s)) *
           (1.0 + screen.drift_per_hour * at_s / 3600.0);
}

}  // namespace

SimulatedScreen simulated_screen(const std::string& name, const std::string& key) {
    for (const auto& [known, change] : ready_screens()) {
        if (known == name) {
            SimulatedScreen screen = without_faults();
            screen.name = name;
            change(screen);
            return screen;
        }
    }
    throw InputError(key, fmt::format("there is no simulated screen '{}'", name),
                     fmt::format("write one of: {}", fmt::join(simulated_screen_names(), ", ")));
}

std::vector<std::string> simulated_screen_names() {
    std::vector<std::string> names;
    for (const auto& [name, change] : ready_screens())
        names.push_back(name);
    return names;
}

Eigen::VectorXd simulated_light(const SimulatedScreen& screen, const Drive& drive, const Drive& surround,
                                const PatchPlace& place, double at_s) {
    const Eigen::VectorXd patch = linear_of(screen, drive);
    const double by_area = share_left_by_area(screen, patch, linear_of(screen, surround), place);
    const Eigen::VectorXd linear = by_area * after_interaction(patch, screen.interaction);
    return share_left_by_place(screen, place) * share_at_time(screen, at_s) *
           (screen.black + screen.primaries * linear);
}

}  // namespace isoseam
