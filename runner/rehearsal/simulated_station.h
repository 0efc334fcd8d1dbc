#pragma once
// A rehearsal's observer: a simulated eye, hand and judgement in the participant's seat, without a screen.

#include <cstdint>
#include <memory>
#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <string>
#include <vector>

#include "protocols/setup/setup.h"
#include "runner/rehearsal/setting_noise.h"
#include "runner/rehearsal/simulated_judge.h"
#include "runner/rehearsal/simulated_observer.h"
#include "runner/station/station.h"

namespace isoseam {

// What all simulated observers of a rehearsal have in common.
struct SimulatedTraits {
    SettingNoise noise{};
    double lapses = 0.0;  // The share of answers given at random, 0 to 1.
    // How far aim and criterion drift in an hour, in standard deviations of the noise. The direction is drawn
    // for each observer.
    double drift_per_hour = 0.0;
};

// A station that a simulated observer sits at. Its clock is moved only by its waits and reaction times, so
// that a rehearsal with a given seed is the same every time.
class SimulatedStation : public Station {
  public:
    // `index` is the observer's number in the rehearsal. `setup` outlives the station.
    SimulatedStation(const Setup& setup, std::uint64_t seed, std::uint64_t index,
                     const SimulatedTraits& traits, DitherKind dither = DitherKind::none);

    std::vector<SourceRecord> sources() const override { return sources_; }
    std::vector<ScreenRecord> screens() const override { return {}; }
    FrameDepth depth(int source) const override { return depths_[static_cast<std::size_t>(source)]; }
    void show_page(const Instruction&) override { page_ = true; }
    void show_adaptation(double) override { page_ = false; }
    double show_field(const FieldLights& lights) override;
    Action wait(double timeout_s) override;
    double now_s() override { return clock_s_; }
    void forget_presses() override;
    void expect(const Expected& expected) override;

    // The eye's parameters and how the observer sets and answers, for the session's record.
    nlohmann::json description() const;
    // How the observer answers to a target beside this light.
    JudgeTraits judge_traits(const LinearDrive& reference, int source) const;
    const EyeOnScreen& eye_on(int source) const { return screens_[static_cast<std::size_t>(source)]; }
    // What the observer compares when it sets a match, from the excitations of its own cones: the contrast of
    // each cone. For lights that flicker it is the contrast of the observer's own luminance, written three
    // times.
    Eigen::Vector3d contrast_seen(const Eigen::Vector3d& adjusted, const Eigen::Vector3d& reference) const;

  private:
    LinearDrive emitted(const LinearDrive& linear, int source) const;
    std::unique_ptr<SimulatedHand> new_hand(const ExpectAdjustment& wanted);
    double drift_now() const;
    double reaction_s();
    Action act();
    Action steer();
    Action answer(const ExpectAnswer& wanted);
    Action fill_in(const std::string& text);

    const Setup& setup_;
    RandomStream settings_, reactions_, answers_;
    SimulatedTraits traits_;
    Observer eye_;
    double criterion_;
    int drift_direction_;
    std::vector<SourceRecord> sources_;
    std::vector<FrameDepth> depths_;
    std::vector<EyeOnScreen> screens_;  // By source.

    double clock_s_ = 0.0;
    bool page_ = true;  // Whether a page is shown, not a light.
    Expected expected_;
    std::optional<double> due_s_;        // When the next response comes, if one is due.
    std::optional<std::string> typing_;  // What is left to type into a question.
    std::uint64_t trials_ = 0, responses_ = 0, answered_ = 0;
    Eigen::Vector3d seen_ = Eigen::Vector3d::Zero();
    std::unique_ptr<SimulatedHand> hand_;
};

}  // namespace isoseam
