#pragma once
// A rehearsal's observer: a simulated eye and hand in the participant's seat, without a screen.

#include <cstdint>
#include <memory>
#include <nlohmann/json.hpp>
#include <vector>

#include "runner/simulated_observer.h"
#include "runner/station.h"

namespace isoseam {

// A clock of its own, which only its waits and reaction times move: a rehearsal of a given seed is the same
// every time.
class SimulatedStation : public Station {
  public:
    // Observer number `index` of the rehearsal. `setup` outlives the station.
    SimulatedStation(const Setup& setup, std::uint64_t seed, std::uint64_t index, const SettingNoise& noise,
                     DitherKind dither = DitherKind::none);

    std::vector<SourceRecord> sources() const override;
    std::vector<ScreenRecord> screens() const override { return {}; }
    void show_page(const Instruction&) override { matching_ = false; }
    void show_adaptation(double) override { matching_ = false; }
    double show_field(const FieldLights& lights) override;
    Action wait(double timeout_s) override;
    double now_s() override { return clock_s_; }
    void forget_presses() override { hand_.reset(); }

    // For the session's record: the eye's parameters and the noise of the hand.
    nlohmann::json description() const;

  private:
    LinearDrive emitted(const LinearDrive& linear, int source) const;
    std::unique_ptr<SimulatedHand> new_hand(const FieldLights& lights);
    double reaction_s();

    const Setup& setup_;
    RandomStream settings_;
    RandomStream reactions_;
    SettingNoise noise_;
    Observer eye_;
    std::vector<SourceRecord> sources_;
    double clock_s_ = 0.0;
    bool matching_ = false;
    std::uint64_t trials_ = 0;
    std::uint64_t responses_ = 0;
    Eigen::Vector3d seen_ = Eigen::Vector3d::Zero();
    std::unique_ptr<SimulatedHand> hand_;
};

}  // namespace isoseam
