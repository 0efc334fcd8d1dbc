#include "runner/simulated_station.h"

#include "colorimetry/population.h"
#include "runner/word_station.h"

namespace isoseam {
namespace {

// Reaction times of the simulated hand: this at least, plus up to as much again.
constexpr double kReactionSeconds = 0.25;
constexpr double kReadingTimeSeconds = 8.0;

// Counters kept apart for one simulated observer.
constexpr std::uint64_t kDrawsPerObserver = std::uint64_t{1} << 32U;

// What still flickers once colours fuse: the contrast of the eye's own V_F.
double luminance_contrast(const Eigen::Vector3d& contrast, const Observer& eye, const DisplayModel& display,
                          const LinearDrive& reference) {
    const Eigen::Vector2d excitations = display.lms(reference, eye).vector().head<2>();
    const Eigen::Vector2d weights = eye.luminous_efficiency_weights().cwiseProduct(excitations);
    return weights.dot(contrast.head<2>()) / weights.sum();
}

}  // namespace

SimulatedStation::SimulatedStation(const Setup& setup, std::uint64_t seed, std::uint64_t index,
                                   const SettingNoise& noise, DitherKind dither)
    : setup_(setup),
      settings_{seed, kStreamSimulatedSetting},
      reactions_{seed, kStreamSimulatedReaction},
      noise_(noise),
      eye_(sampled_eye(setup.observer().parameters(), seed, index).eye),
      sources_(sources_as_calibrated(setup)),
      trials_(index * kDrawsPerObserver),
      responses_(index * kDrawsPerObserver) {
    for (SourceRecord& source : sources_)
        source.dither = to_string(dither);
}

std::vector<SourceRecord> SimulatedStation::sources() const {
    return sources_;
}

LinearDrive SimulatedStation::emitted(const LinearDrive& linear, int source) const {
    return shown_linear(linear, setup_.solver(source).display(), depth_of(*this, source));
}

std::unique_ptr<SimulatedHand> SimulatedStation::new_hand(const FieldLights& lights) {
    const Half reference = setup_.reference_half();
    const int source = setup_.protocol().rig.half_source[static_cast<std::size_t>(reference)];
    AdjustmentProblem problem;
    problem.solver = &setup_.solver(setup_.protocol().adjusted);
    problem.space = setup_.protocol().space;
    problem.axes = setup_.protocol().axes;
    problem.predicted =
        setup_.solver(source).lms(emitted(lights.halves[static_cast<std::size_t>(reference)], source));
    Eigen::Vector3d aim(noise_.l * settings_.normal(3 * trials_),
                        noise_.m * settings_.normal(3 * trials_ + 1),
                        noise_.s * settings_.normal(3 * trials_ + 2));
    if (setup_.protocol().flicker)
        aim.setConstant(aim[0]);
    ++trials_;
    return std::make_unique<SimulatedHand>(problem, eye_, aim);
}

double SimulatedStation::show_field(const FieldLights& lights) {
    if (!hand_)
        hand_ = new_hand(lights);
    const Half adjusted = setup_.protocol().adjusted;
    const Half reference = setup_.reference_half();
    const auto source = [&](Half half) {
        return setup_.protocol().rig.half_source[static_cast<std::size_t>(half)];
    };
    const auto light = [&](Half half) {
        return emitted(lights.halves[static_cast<std::size_t>(half)], source(half));
    };
    seen_ = contrast_seen(eye_, setup_.solver(source(adjusted)).display(), light(adjusted),
                          setup_.solver(source(reference)).display(), light(reference));
    if (setup_.protocol().flicker)
        seen_.setConstant(
            luminance_contrast(seen_, eye_, setup_.solver(source(reference)).display(), light(reference)));
    matching_ = true;
    return clock_s_;
}

double SimulatedStation::reaction_s() {
    return kReactionSeconds * (1.0 + reactions_.uniform(responses_++));
}

Action SimulatedStation::wait(double timeout_s) {
    if (timeout_s < kReactionSeconds) {  // a countdown is running: nothing to respond to
        clock_s_ += timeout_s;
        return {};
    }
    if (!matching_) {
        clock_s_ += kReadingTimeSeconds;
        return {Action::Kind::accept, {}};
    }
    clock_s_ += reaction_s();
    const AdjustmentResponse response = hand_->next(seen_);
    if (response.kind == AdjustmentResponse::Kind::accept)
        return {Action::Kind::accept, {}};
    return {Action::Kind::step, response};
}

nlohmann::json SimulatedStation::description() const {
    const ObserverParameters& eye = eye_.parameters();
    return {{"eye",
             {{"description", eye_.description()},
              {"lens_percent", eye.lens_percent},
              {"macular_percent", eye.macular_percent},
              {"density_l_percent", eye.density_l_percent},
              {"density_m_percent", eye.density_m_percent},
              {"density_s_percent", eye.density_s_percent},
              {"shift_l_nm", eye.shift_l_nm},
              {"shift_m_nm", eye.shift_m_nm},
              {"shift_s_nm", eye.shift_s_nm}}},
            {"setting_noise_contrast", {noise_.l, noise_.m, noise_.s}}};
}

}  // namespace isoseam
