#include "runner/measuring/measuring_loop.h"

#include <catch2/catch.hpp>
#include <deque>
#include <map>

#include "calibration/instruments/simulated_instrument.h"
#include "support/temporary_folder.h"

using namespace isoseam;
using Catch::Contains;

namespace {

// A simulated screen's instrument that first gives these failures at these readings.
class TroubledInstrument : public Instrument {
  public:
    InstrumentRecord record() const override { return real_.record(); }
    ReadingOutcome read(const ShownPatch& shown) override {
        ++asked;
        std::deque<ReadingFailure>& due = troubles[shown.reading];
        if (due.empty())
            return real_.read(shown);
        ReadingFailure failure = due.front();
        due.pop_front();
        return failure;
    }
    std::map<int, std::deque<ReadingFailure>> troubles;
    int asked = 0;

  private:
    SimulatedInstrument real_{simulated_screen("additive", ""), 1};
};

// Shows nothing; is disturbed when told so, and hears what is pressed after so many waits.
class ScriptedScreen : public NoPatchScreen {
  public:
    ScriptedScreen() : NoPatchScreen(8) {}
    void show(const ShownPatch& patch) override { shown.push_back(patch.step); }
    std::optional<ReadingFailure> disturbance() override {
        const auto due = disturbances.find(++looks);
        return due == disturbances.end() ? std::nullopt : std::optional(due->second);
    }
    Press wait(double timeout_s) override {
        const auto due = presses.find(++waits);
        NoPatchScreen::wait(timeout_s);
        return due == presses.end() ? Press::none : due->second;
    }
    bool is_seen() const override { return true; }
    std::vector<std::string> shown;
    std::map<int, ReadingFailure> disturbances;
    std::map<int, Press> presses;
    int looks = 0;
    int waits = 0;
};

struct Scene {
    test::TemporaryFolder folder;
    TroubledInstrument instrument;
    ScriptedScreen screen;
    std::vector<std::string> told;
    std::deque<std::string> answers;
    std::optional<MeasuringLog> log;

    explicit Scene(int places = 0) {
        MeasurementHeader header;
        header.started_utc = "2026-11-25T16:03:12Z";
        header.plan.kind = PlanKind::quick;
        header.plan.warm_up = false;
        header.plan.places = places;
        log.emplace(MeasuringLog::create(folder.path(), header));
    }
    LoopOutcome run() {
        const PersonAtTerminal person{[&](const std::string& line) { told.push_back(line); },
                                      [](const std::string&) {},
                                      [&](const std::string& prompt) -> std::optional<std::string> {
                                          told.push_back(prompt);
                                          if (answers.empty())
                                              return std::nullopt;
                                          std::string answer = answers.front();
                                          answers.pop_front();
                                          return answer;
                                      }};
        return run_measurement(*log, instrument, screen, person, LoopOptions{}, 0.0);
    }
    std::string all_told() const {
        std::string all;
        for (const std::string& line : told)
            all += line + "\n";
        return all;
    }
    int planned() const { return planned_readings(*log->state().plan); }
    int kept() const { return static_cast<int>(log->state().readings.size()); }
};

ReadingFailure trouble(Trouble kind) {
    return {kind, "found", "remedy"};
}

}  // namespace

TEST_CASE("every planned patch is shown and read once") {
    Scene scene;
    CHECK(scene.run().end == LoopEnd::all_read);
    CHECK(scene.kept() == scene.planned());
    CHECK(scene.instrument.asked == scene.planned());
    CHECK(static_cast<int>(scene.screen.shown.size()) == scene.planned());
}

TEST_CASE("what may pass is tried again, and told and recorded each time") {
    Scene scene;
    scene.instrument.troubles[5] = {trouble(Trouble::time_out), trouble(Trouble::unplugged)};
    CHECK(scene.run().end == LoopEnd::all_read);
    CHECK(scene.kept() == scene.planned());
    REQUIRE(scene.log->state().remarks.size() == 2);
    CHECK_THAT(scene.log->state().remarks[0], Contains("time out: found; remedy"));
    CHECK_THAT(scene.all_told(), Contains("unplugged: found; remedy"));
}

TEST_CASE("what stays is asked about: again, leave out, stop, and nobody there is stop") {
    Scene scene;
    const std::deque<ReadingFailure> thrice(3, trouble(Trouble::garbled));
    scene.instrument.troubles[5] = thrice;
    scene.instrument.troubles[9] = thrice;
    scene.instrument.troubles[12] = {trouble(Trouble::saturated)};
    scene.answers = {"hm", "again", "leave"};
    const LoopOutcome outcome = scene.run();
    CHECK(outcome.end == LoopEnd::trouble);
    CHECK(outcome.failure->trouble == Trouble::saturated);
    CHECK(scene.kept() == 12);
    int left_out = 0;
    for (const StepProgress& step : scene.log->state().steps)
        left_out += step.left_out.empty() ? 0 : 1;
    CHECK(left_out == 1);
}

TEST_CASE("a reading during which the screen was disturbed is thrown away and made again") {
    Scene scene;
    scene.screen.disturbances[4] = {Trouble::disturbed, "the window was moved",
                                    "leave it"};  // after the 2nd reading
    CHECK(scene.run().end == LoopEnd::all_read);
    CHECK(scene.kept() == scene.planned());
    CHECK(scene.instrument.asked == scene.planned() + 1);
    CHECK_THAT(scene.all_told(), Contains("disturbed: the window was moved; leave it"));
}

TEST_CASE("a spectrum that cannot be one is not kept") {
    Scene scene;
    class Dark : public Instrument {
      public:
        InstrumentRecord record() const override { return {}; }
        ReadingOutcome read(const ShownPatch&) override {
            return InstrumentSpectrum{{400.0, 500.0, 600.0, 700.0}, {0.0, 0.0, 0.0, 0.0}};
        }
    } dark_instrument;
    const LoopOutcome outcome = run_measurement(*scene.log, dark_instrument, scene.screen,
                                                {[](const std::string&) {}, [](const std::string&) {},
                                                 [](const std::string&) { return std::nullopt; }},
                                                {}, 0.0);
    CHECK(outcome.end == LoopEnd::trouble);
    CHECK(outcome.failure->trouble == Trouble::implausible);
    CHECK(scene.kept() == 0);
}

TEST_CASE("Escape leaves with all that was read, the space bar pauses and goes on") {
    Scene scene;
    scene.screen.presses = {
        {4, PatchScreen::Press::pause}, {5, PatchScreen::Press::pause}, {8, PatchScreen::Press::leave}};
    const LoopOutcome outcome = scene.run();
    CHECK(outcome.end == LoopEnd::left);
    CHECK_THAT(scene.all_told(), Contains("paused: the space bar goes on, Escape leaves"));
    CHECK(scene.kept() > 2);
    CHECK(scene.kept() < 8);
}

TEST_CASE("for other places the person is asked to aim, and presses Return in the window") {
    Scene scene(5);
    for (int wait = 1; wait < 2000; ++wait)
        scene.screen.presses[wait] = PatchScreen::Press::go_on;
    CHECK(scene.run().end == LoopEnd::all_read);
    int asked = 0;
    for (const std::string& line : scene.told)
        asked += line.starts_with("aim the instrument at the patch ") ? 1 : 0;
    CHECK(asked == 5);
    CHECK_THAT(scene.all_told(),
               Contains("at the patch 17 % from the left and 17 % from the top, then press Return in the "
                        "measuring window"));
}
