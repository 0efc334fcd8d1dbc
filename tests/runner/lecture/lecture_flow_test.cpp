// A lecture on the projector: scenes, steering by the class, what is left behind.

#include <algorithm>
#include <catch2/catch.hpp>
#include <deque>
#include <map>

#include "results_schema/session_folder.h"
#include "runner/lecture/lecture_flow.h"
#include "runner/lecture/lecture_record.h"
#include "stimuli/flash_limits.h"
#include "support/seats/class_lecture.h"
#include "support/seats/obedient_station.h"
#include "support/temporary_folder.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

// A projector whose lecturer does one thing a second of its clock; then leaves.
class Projector : public ObedientStation {
  public:
    using ObedientStation::ObedientStation;
    Action wait(double timeout_s) override {
        clock_s += timeout_s;
        // Escape, and again on the page that asks.
        if (!std::holds_alternative<ExpectSceneTurn>(expected))
            return stays ? Action(Accepted{}) : Escaped{};
        if (clock_s < next_s)
            return {};
        next_s = clock_s + 1.0;
        if (todo.empty())
            return Escaped{};
        const auto act = todo.front();
        todo.pop_front();
        return act();
    }
    std::deque<std::function<Action()>> todo;
    double next_s = 101.0;
    bool stays = false;
};

struct Given {
    explicit Given(SystemCalls calls = SystemCalls::real(), const std::map<std::size_t, Words>& captions = {})
        : calls_(std::move(calls)), setup(class_lecture(captions)) {}

    void turns(int way) {
        projector.todo.emplace_back([way] { return Moved{way}; });
    }
    void then(std::function<void()> what) {
        projector.todo.emplace_back([what] {
            what();
            return NoAction{};
        });
    }
    void waits(int seconds) {
        for (int i = 0; i < seconds; ++i)
            then([] {});
    }
    SessionFolder run() {
        SessionHeader header = describe_lecture(setup, projector);
        header.started_utc = "2026-11-26T00:00:00.000Z";
        std::string folder;
        {
            SessionLog log = SessionLog::create(out.path(), header, Durability::at_end, calls_);
            folder = log.folder();
            outcome = run_lecture(setup, {"en", "http://hall.example:8080/"}, hall, projector, log,
                                  {"a warning"}, [this](const std::string& text) { told.push_back(text); });
        }
        return read_session_folder(folder);
    }

    SystemCalls calls_;
    const LectureSetup setup;
    LectureHall hall{setup.lecture(), {"K7QX2P", "desk-secret"}, "en", [] { return 0.0; }};
    Projector projector{setup.stage()};
    const TemporaryFolder out;
    LectureOutcome outcome;
    std::vector<std::string> told;
};

std::vector<std::string> kinds_of(const SessionFolder& folder) {
    std::vector<std::string> kinds;
    for (const Event& event : folder.events)
        kinds.push_back(event.kind);
    return kinds;
}

}  // namespace

TEST_CASE("a lecture goes on and back by keys and desk, and leaves a sound folder of nobody in particular") {
    Given given;
    given.turns(+1);
    given.turns(+1);
    given.turns(-1);
    given.then([&] { CHECK(command(given.hall, {{"do", "go"}, {"scene", 6}}) == 204); });
    given.turns(+1);
    const SessionFolder folder = given.run();
    CHECK(folder.faults.empty());
    CHECK(folder.state == SessionState::complete);
    CHECK(given.outcome.finished);
    CHECK(folder.header.kind == "lecture");
    CHECK(folder.header.participant == "class");
    CHECK(folder.header.protocol.file == "class.yaml");
    std::vector<int> scenes;
    for (const Event& event : folder.events) {
        if (event.kind == "scene_shown")
            scenes.push_back(event.data.at("scene"));
    }
    CHECK(scenes == std::vector<int>{1, 2, 1, 6});
    const std::vector<Instruction>& pages = given.projector.pages;
    REQUIRE(pages.size() >= 3);
    CHECK(pages[0].heading == "Two greys");
    CHECK(pages[0].paragraphs.at(0).find("http://hall.example:8080/") != std::string::npos);
    CHECK(pages[0].paragraphs.at(1).find("K7Q X2P") != std::string::npos);
    CHECK(pages[1].heading == "Welcome");
    CHECK(given.projector.shown.at(2) == "field");
}

TEST_CASE("a scene's caption goes to the projector with its field, in the projector's language") {
    Given given(SystemCalls::real(), {{1, {{{"en", "Two greys"}, {"de", "Zwei Grau"}}}},
                                      {4, {{{"en", "Yours"}, {"de", "Ihres"}}}}});
    for (const int scene : {2, 3, 5})
        given.then([&given, scene] { CHECK(command(given.hall, {{"do", "go"}, {"scene", scene}}) == 204); });
    given.waits(1);
    given.then([&] {
        CHECK(answer(given.hall, join(given.hall), {{"scene", 5}, {"sliders", {0.1}}}) == 204);
    });
    given.waits(3);
    given.run();
    std::vector<std::string> captions;
    for (const FieldLights& field : given.projector.fields) {
        if (captions.empty() || captions.back() != field.caption)
            captions.push_back(field.caption);
    }
    // The third scene has none; the fifth has its caption in every step that the class steers.
    CHECK(captions == std::vector<std::string>{"Two greys", "", "Yours"});
    CHECK(given.projector.fields.size() > 20);
}

TEST_CASE("a lecture that is ended before its last scene was left, and escape alone does not end it") {
    Given given;
    given.turns(+1);
    CHECK(given.run().state == SessionState::left_early);
    CHECK_FALSE(given.outcome.finished);

    Given slip;
    slip.projector.stays = true;
    slip.projector.todo.emplace_back([] { return Escaped{}; });
    slip.turns(+1);
    slip.then([&] { CHECK(command(slip.hall, {{"do", "end"}}) == 204); });
    const std::vector<std::string> kinds = kinds_of(slip.run());
    CHECK(std::count(kinds.begin(), kinds.end(), "scene_shown") == 1);
}

TEST_CASE("the class's median drives the field softly, and is a setting when its scene is left") {
    Given given;
    std::vector<std::string> tickets;
    given.then([&] { CHECK(command(given.hall, {{"do", "go"}, {"scene", 5}}) == 204); });
    given.waits(1);
    given.then([&] {
        for (const double share : {0.1, 0.2, 0.9}) {
            tickets.push_back(join(given.hall));
            CHECK(answer(given.hall, tickets.back(), {{"scene", 5}, {"sliders", {share}}}) == 204);
        }
    });
    given.waits(12);
    given.turns(+1);
    given.turns(+1);
    const SessionFolder folder = given.run();
    REQUIRE(folder.faults.empty());
    CHECK(given.outcome.people == 3);
    REQUIRE(folder.settings.size() == 1);
    const SettingRecord& setting = folder.settings.front();
    CHECK(setting.condition == "match");
    CHECK(setting.adjusted_half == "right");
    CHECK(setting.axes == std::vector<std::string>{"L", "M", "S"});
    // Held against the lecture's own lights at the median.
    const std::array<LinearDrive, 2> wanted = given.setup.lights(4, {0.2});
    for (std::size_t i = 0; i < 3; ++i)
        CHECK(setting.adjusted.linear[i] ==
              Approx(wanted[1].fractions[static_cast<Eigen::Index>(i)]).margin(1.0 / 65536));
    CHECK(setting.predicted_lms == setting.reference.lms);
    // From 0.9 to 0.2 at a quarter a second takes 2.8 s at least: no jump in between.
    const std::vector<FieldLights>& fields = given.projector.fields;
    const double way = (given.setup.lights(4, {1.0})[1].fractions - given.setup.lights(4, {0.0})[1].fractions)
                           .cwiseAbs()
                           .maxCoeff();
    double largest = 0.0;
    for (std::size_t i = 1; i < fields.size(); ++i)
        largest = std::max(
            largest,
            (fields[i].halves[1].fractions - fields[i - 1].halves[1].fractions).cwiseAbs().maxCoeff());
    CHECK(fields.size() > 60);
    CHECK(largest <= way * kSteeringPerSecond * 0.031 + 1e-12);
    CHECK((fields.back().halves[1].fractions - wanted[1].fractions).cwiseAbs().maxCoeff() < 1e-3);
    // The reveal is of what the class found.
    CHECK(given.projector.pages.back().heading != "");
}

TEST_CASE("whatever a class does with its sliders, the field stays below three flashes a second") {
    // The worst that a median can do: it jumps from end to end just when that gives most.
    for (const double beat_s : {0.05, 0.15, 0.25, 0.4, 0.5, 0.8, 1.2}) {
        std::vector<double> at{0.5};
        FlashingArea area;
        area.frames_per_s = 60.0;
        area.white_cd_m2 = 100.0;
        area.solid_angle_sr = 0.5;
        area.screen_share = 1.0;
        for (int frame = 0; frame < 600; ++frame) {
            const bool up = static_cast<int>(frame / 60.0 / beat_s) % 2 == 0;
            at = moved_towards(at, {up ? 1.0 : 0.0}, 1.0 / 60.0);
            // A slider from dark to the screen's white.
            area.frames.push_back({95.0 * at[0], 100.0 * at[0], 108.0 * at[0]});
        }
        CAPTURE(beat_s);
        const FlashCounts counts = count_flashes(area);
        CHECK(counts.wcag_general <= kMostFlashesPerSecond);
        CHECK(counts.bt1702_luminance <= kMostFlashesPerSecond);
    }
    // It arrives, and never overshoots.
    std::vector<double> at{0.0, 1.0};
    for (int i = 0; i < 1200; ++i) {
        const std::vector<double> next = moved_towards(at, {0.7, 0.1}, 1.0 / 60.0);
        CHECK(next[0] >= at[0]);
        CHECK(next[1] <= at[1]);
        at = next;
    }
    CHECK(at[0] == Approx(0.7).margin(1e-9));
    CHECK(at[1] == Approx(0.1).margin(1e-9));
    CHECK(moved_towards({0.3}, {0.8}, -1.0) == std::vector<double>{0.3});
}

TEST_CASE("scenes follow each other no faster than the flash limits allow, and no wish is lost") {
    Given given;
    given.then([&] {
        for (const char* word : {"next", "next", "back", "next", "next"})
            CHECK(command(given.hall, {{"do", word}}) == 204);
    });
    given.waits(4);
    const SessionFolder folder = given.run();
    std::vector<double> times;
    std::vector<int> scenes;
    for (const Event& event : folder.events) {
        if (event.kind != "scene_shown")
            continue;
        times.push_back(event.time_s);
        scenes.push_back(event.data.at("scene"));
    }
    CHECK(scenes == std::vector<int>{1, 2, 1, 2, 3});
    for (std::size_t i = 1; i < times.size(); ++i)
        CHECK(times[i] - times[i - 1] >= kLeastSceneSeconds - 1e-9);
}

TEST_CASE("a full disk does not stop a lecture, and nothing that was answered is lost") {
    auto full = std::make_shared<bool>(false);
    SystemCalls calls = SystemCalls::real();
    calls.write = [full](int fd, const void* bytes, std::size_t count) -> ssize_t {
        if (*full) {
            errno = ENOSPC;
            return -1;
        }
        return ::write(fd, bytes, count);
    };
    Given given(calls);
    given.then([&] { CHECK(command(given.hall, {{"do", "go"}, {"scene", 3}}) == 204); });
    given.waits(1);
    given.then([&] {
        *full = true;
        CHECK(answer(given.hall, join(given.hall), {{"scene", 3}, {"choice", 2}}) == 204);
    });
    given.waits(3);
    given.then([&] { *full = false; });
    given.waits(3);
    const SessionFolder folder = given.run();
    CHECK(folder.faults.empty());
    REQUIRE_FALSE(given.told.empty());
    CHECK(given.told.front().find("cannot be saved at the moment") != std::string::npos);
    const std::vector<std::string> kinds = kinds_of(folder);
    CHECK(std::count(kinds.begin(), kinds.end(), "class_answer") == 1);
    CHECK(std::count(kinds.begin(), kinds.end(), "person_joined") == 1);
}
