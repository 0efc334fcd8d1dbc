#pragma once
// An invented screen whose light is known exactly, and readings of it as an instrument would give them.

#include <Eigen/Core>
#include <cmath>
#include <vector>

#include "base/random.h"
#include "calibration/readings.h"

namespace isoseam::test {

struct SimulatedPanel {
    std::vector<double> wavelengths_nm;
    Eigen::VectorXd black;
    Eigen::MatrixXd primaries;  // columns, W/(sr m2 nm) at full drive
    std::vector<ToneResponse> tones;
    double interaction =
        0.0;  // what each primary loses when the other two are at full, in proportion to their mean
    double dimming = 0.0;  // what a panel loses that is white all over, in proportion to lit area and light
    double drift_per_hour = 0.0;  // share
    // Of one reading: each sample by a share of its light, all of them by one factor, and each by a share of
    // white's largest sample.
    double sample_noise = 0.002;
    double factor_noise = 0.0;
    double floor_noise = 2e-5;

    Eigen::VectorXd light(const Eigen::VectorXd& drive, double area = 0.1, double at_s = 0.0) const {
        Eigen::Vector3d linear;
        for (int i = 0; i < 3; ++i)
            linear[i] = tones[static_cast<std::size_t>(i)].linear_from_drive(drive[i]);
        Eigen::Vector3d left = linear;
        for (int i = 0; i < 3; ++i)
            left[i] *= 1.0 - interaction * 0.5 * (linear.sum() - linear[i]);
        left *= 1.0 - dimming * area * linear.mean();
        return (black + primaries * left) * (1.0 + drift_per_hour * at_s / 3600.0);
    }
};

// Some 120 cd/m2, tone responses of the gain-offset-gamma form.
inline SimulatedPanel simulated_panel(double step_nm = 4.0) {
    SimulatedPanel panel;
    const auto samples = static_cast<Eigen::Index>(400.0 / step_nm) + 1;
    panel.primaries.resize(samples, 3);
    for (Eigen::Index i = 0; i < samples; ++i) {
        const double nm = 380.0 + step_nm * static_cast<double>(i);
        panel.wavelengths_nm.push_back(nm);
        const auto bell = [nm](double centre_nm, double width_nm) {
            return std::exp(-0.5 * std::pow((nm - centre_nm) / width_nm, 2.0));
        };
        panel.primaries.row(i) << 1.6e-3 * bell(611.0, 19.0) + 1e-5 * bell(540.0, 30.0),
            1.6e-3 * bell(537.0, 24.0), 2.3e-3 * bell(453.0, 12.0) + 4e-5 * bell(540.0, 35.0);
    }
    panel.black = 8e-4 * panel.primaries.rowwise().mean();
    panel.tones = {ToneResponse::of_form(ToneForm::gain_offset_gamma, {0.03, 2.25}),
                   ToneResponse::of_form(ToneForm::gain_offset_gamma, {0.05, 2.2}),
                   ToneResponse::of_form(ToneForm::gain_offset_gamma, {0.02, 2.35})};
    return panel;
}

// Takes readings one after the other, 5 s each.
class SimulatedReader {
  public:
    SimulatedReader(const SimulatedPanel& panel, std::uint64_t seed) : panel_(panel), random_{seed, 902} {
        readings_.wavelengths_nm = panel.wavelengths_nm;
        readings_.unit = ReadingUnit::w_sr_m2_nm;
        readings_.primaries = {"r", "g", "b"};
        top_ = panel.light(Eigen::Vector3d::Ones()).maxCoeff();
    }
    void read(const Eigen::Vector3d& drive, int times = 1, const std::string& step = "", double area = 0.1) {
        for (int i = 0; i < times; ++i) {
            const double side = std::sqrt(area);
            Reading reading;
            reading.drive.fractions = drive;
            reading.place = {0.5, 0.5, side, side};
            reading.at_s = at_s_;
            reading.step = step;
            const Eigen::VectorXd light = panel_.light(drive, area, at_s_);
            const double factor = 1.0 + panel_.factor_noise * random_.normal(draw_++);
            for (const double sample : light) {
                const double share = panel_.sample_noise * random_.normal(draw_++);
                const double floor = panel_.floor_noise * top_ * random_.normal(draw_++);
                reading.values.push_back(sample * factor * (1.0 + share) + floor);
            }
            at_s_ += 5.0;
            readings_.rows.push_back(std::move(reading));
        }
    }
    double uniform() { return random_.uniform(draw_++); }
    const Readings& readings() const { return readings_; }

  private:
    SimulatedPanel panel_;
    RandomStream random_;
    std::uint64_t draw_ = 0;
    double at_s_ = 0.0;
    double top_ = 0.0;
    Readings readings_;
};

inline double level(int k, int of) {
    return std::round(std::pow(static_cast<double>(k) / of, 1.6) * 255.0) / 255.0;
}

// Black, ramps that are denser near black, a white ramp and mixtures of two primaries, in a mixed order;
// white again in between.
inline void read_plan(SimulatedReader& reader, int levels = 13, int repeats = 2) {
    std::vector<Eigen::Vector3d> colours;
    for (int k = 1; k <= levels; ++k) {
        for (int i = 0; i < 3; ++i)
            colours.push_back(level(k, levels) * Eigen::Vector3d::Unit(i));
        colours.push_back(Eigen::Vector3d::Constant(level(k, levels)));
    }
    for (const double a : {0.5, 1.0}) {
        for (const double b : {0.5, 1.0}) {
            for (int i = 0; i < 3; ++i)
                colours.push_back(a * Eigen::Vector3d::Unit(i) + b * Eigen::Vector3d::Unit((i + 1) % 3));
        }
    }
    reader.read(Eigen::Vector3d::Zero(), 3);
    int since_white = 0;
    for (const int i : shuffled_order({1, 903}, static_cast<int>(colours.size()))) {
        reader.read(colours[static_cast<std::size_t>(i)], repeats);
        if (++since_white % 8 == 0)
            reader.read(Eigen::Vector3d::Ones());
    }
    reader.read(Eigen::Vector3d::Zero(), 3);
    reader.read(Eigen::Vector3d::Ones());
}

// Half of them anywhere, half near a grey.
inline void read_verification(SimulatedReader& reader, int colours = 24, int repeats = 2) {
    for (int i = 0; i < colours; ++i) {
        const double grey = 0.2 + 0.6 * reader.uniform();
        Eigen::Vector3d drive;
        for (double& value : drive)
            value = i % 2 == 0 ? reader.uniform() : grey + 0.2 * (reader.uniform() - 0.5);
        reader.read(drive, repeats, "verification." + std::to_string(i + 1));
    }
}

}  // namespace isoseam::test
