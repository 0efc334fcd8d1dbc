#pragma once
// A station that plays a list of actions and remembers what it was asked to show.

#include <deque>
#include <string>
#include <vector>

#include "protocols/setup/setup.h"
#include "runner/station/station.h"
#include "runner/station/word_station.h"

namespace isoseam::test {

class ScriptedStation : public Station {
  public:
    ScriptedStation(const Setup& setup, std::deque<Action> actions)
        : setup_(setup), actions_(std::move(actions)) {}

    std::vector<SourceRecord> sources() const override { return sources_as_calibrated(setup_); }
    std::vector<ScreenRecord> screens() const override { return {}; }
    void show_page(const Instruction& page) override { shown.push_back("page: " + page.heading); }
    void show_adaptation(double) override {
        if (shown.empty() || shown.back() != "adaptation")
            shown.emplace_back("adaptation");
    }
    double show_field(const FieldLights&) override {
        shown.emplace_back("field");
        return clock_s;
    }
    Action wait(double timeout_s) override {
        if (timeout_s <= 0.1) {  // a countdown
            clock_s += timeout_s;
            return {};
        }
        clock_s += 1.0;
        if (actions_.empty())
            return Escaped{};
        const Action action = actions_.front();
        actions_.pop_front();
        return action;
    }
    double now_s() override { return clock_s; }
    void forget_presses() override {}

    std::vector<std::string> shown;
    double clock_s = 100.0;

  private:
    const Setup& setup_;
    std::deque<Action> actions_;
};

inline Action accept() {
    return Accepted{};
}
inline Action escape() {
    return Escaped{};
}
inline Action step(int axis, int direction, bool coarse = false) {
    return StepTaken{.axis = axis, .direction = direction, .coarse = coarse};
}

}  // namespace isoseam::test
